"""A row of typed cells as it came, written as one JSON object.

In: header and cell columns. Out: an expression. Used where a file has no text of its own for a row: workbooks and Parquet.
Elsewhere: the fleet's own columns of a row (`taking`).
"""

import json
from collections.abc import Sequence

import polars as pl


def as_objects(header: Sequence[str], columns: Sequence[str]) -> pl.Expr:
    """Write the filled cells of each row as a JSON object under the names of the header; a cell without a name stands under its place."""
    used: set[str] = set()
    pairs = []
    for index, (name, column) in enumerate(zip(header, columns, strict=True), 1):
        shown = name if name and name not in used else f"{name or 'column'} {index}".strip()
        used.add(shown)
        pairs.append(_pair(shown, pl.col(column)))
    return pl.format("{{{}}}", pl.concat_str(pairs, separator=",", ignore_nulls=True))


def _pair(name: str, cell: pl.Expr) -> pl.Expr:
    """Write one cell as `"name":"value"`, escaped as JSON; null where the cell is."""
    as_object = pl.struct(cell.alias("x")).struct.json_encode()
    value = as_object.str.strip_prefix('{"x":').str.strip_suffix("}")
    return pl.when(cell.is_not_null()).then(pl.concat_str([pl.lit(json.dumps(name, ensure_ascii=False) + ":"), value]))
