"""Rows that a person made on a form or at the command line, as if they had come in a file of their own.

In: values by column. Out: `Taken`, so that they are kept, counted, corrected and undone like any other rows.
Elsewhere: rows from files (`taking`).
"""

import json
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any

import polars as pl

from pipelines.intake.identity import identified
from pipelines.intake.taking import LEFT_OUT_SCHEMA, Taken
from pipelines.terms.tables import RECORD_KINDS


def made_by_hand(kind: str, rows: Sequence[Mapping[str, Any]], source: str) -> Taken:
    """Make checked rows from values that are typed already.

    Parameters
    ----------
    kind
        Record kind.
    rows
        Value by column of the kind; a column that is not there is empty. `extra` may hold columns of the fleet's own as a JSON object.
    source
        What stands in place of a file name, such as "adopted by hand".
    """
    declared = RECORD_KINDS[kind]
    schema = {column.name: column.polars_type for column in declared.columns}
    frame = pl.DataFrame([{name: row.get(name) for name in schema} for row in rows], schema=schema)
    placed = frame.with_columns(
        pl.int_range(1, pl.len() + 1, dtype=pl.Int64).alias("line"),
        pl.Series("extra", [row.get("extra") for row in rows], pl.String),
        pl.Series("raw", [_as_it_came(row) for row in rows], pl.String),
    )
    known = identified(placed, declared, source).select(*schema, "line", "extra", "made", "raw")
    return Taken(kind, source, "", "", tuple(schema), known, pl.DataFrame(schema=LEFT_OUT_SCHEMA))


def _as_it_came(row: Mapping[str, Any]) -> str:
    held = {name: value.isoformat() if isinstance(value, date | datetime) else value for name, value in row.items() if value is not None}
    return json.dumps(held, ensure_ascii=False)
