"""Parquet and JSON lines to grids.

In: bytes or text. Out: `Grid`; every value as text, a date as ISO 8601; the line is the row of the Parquet file, or the line of the text.
A nested value stands as JSON. A line that is not one JSON object is torn: handed over with its text, and reading goes on below it.
Elsewhere: reading the texts (`cells`).
"""

import json
from collections.abc import Iterable
from io import BytesIO
from typing import Any

import polars as pl
import pyarrow.parquet as pq

from pipelines.errors import UnreadableFile
from pipelines.intake.decoding import Source
from pipelines.intake.delimited import WIDEST
from pipelines.intake.grids import TORN_SCHEMA, Grid
from pipelines.intake.guarded import guarded
from pipelines.intake.json_rows import as_objects

PARQUET_MARK = b"PAR1"
MOST_VALUES = 2_000_000_000
"""Values that a Parquet file may unpack to: runs of one value pack to almost nothing."""
NOT_AN_OBJECT = 'A line is one JSON object such as {"vessel_id": "B14"}.'


def is_parquet(data: bytes) -> bool:
    """Tell a Parquet file by its first bytes."""
    return data.startswith(PARQUET_MARK)


def read_parquet(source: Source) -> Grid:
    """Read a Parquet file.

    Raises
    ------
    UnreadableFile
        If it is broken or unpacks to more values than memory holds.
    """
    with guarded(source.name, "a sound Parquet file"):
        about = pq.read_metadata(BytesIO(source.data))
        if about.num_rows * about.num_columns > MOST_VALUES or about.num_columns > WIDEST:
            raise UnreadableFile(f"{source.name}: unpacks to {about.num_rows:,} rows of {about.num_columns:,} columns. Give it in parts.")
        frame = pl.read_parquet(BytesIO(source.data), use_pyarrow=False)
        cells = frame.select(_as_text(frame[name]).alias(f"c{index}") for index, name in enumerate(frame.columns))
    names = cells.columns
    filled = pl.any_horizontal(pl.all().is_not_null()) if names else pl.lit(False)
    rows = cells.with_columns(filled=filled).with_row_index("line", offset=1).filter("filled").drop("filled").cast({"line": pl.Int64})
    header = tuple(frame.columns)
    return Grid(source.name, "", header, rows.select("line", as_objects(header, names).alias("raw"), *names), typed=True)


def _as_text(values: pl.Series) -> pl.Series:
    kind = values.dtype
    if isinstance(kind, pl.Datetime):
        return values.dt.replace_time_zone(None).dt.to_string("%Y-%m-%d %H:%M:%S")
    if isinstance(kind, pl.List | pl.Array | pl.Struct):
        as_object = pl.struct("x").struct.json_encode().str.strip_prefix('{"x":').str.strip_suffix("}")
        return values.to_frame("x").select(pl.when(pl.col("x").is_not_null()).then(as_object)).to_series()
    if isinstance(kind, pl.Binary):
        return values.cast(pl.String, strict=False)
    return _without_decimals(values) if kind.is_float() else values.cast(pl.String)


def _without_decimals(values: pl.Series) -> pl.Series:
    """Write a whole float as a whole number: ids become floats where a column had an empty cell."""
    return values.cast(pl.String).str.replace(r"^(-?\d+)\.0$", "${1}")


def is_json_lines(text: str) -> bool:
    """Tell JSON lines by the first sign that is no space."""
    return text.lstrip()[:1] in ("{", "[")


def read_json_lines(file: str, text: str) -> Grid:
    """Read JSON lines.

    Raises
    ------
    UnreadableFile
        If no line is a JSON object.
    """
    if text.lstrip().startswith("["):
        raise UnreadableFile(f"{file}: is one JSON list. {NOT_AN_OBJECT} Write one object on each line, without the list around them.")
    found: list[tuple[int, str, dict[str, Any]]] = []
    torn: list[tuple[int, str, str, str]] = []
    for line, raw in enumerate(text.split("\n"), 1):
        if raw.strip():
            fault = _read_line(line, raw.rstrip("\r"), found)
            torn += [(line, raw.rstrip("\r"), raw.rstrip("\r"), fault)] if fault else []
    if not found:
        raise UnreadableFile(f"{file}: no line is a JSON object. {NOT_AN_OBJECT}")
    header = tuple(dict.fromkeys(name for _, _, row in found for name in row))
    if len(header) > WIDEST:
        raise UnreadableFile(f"{file}: its objects have {len(header):,} different names. Give a table of fewer than {WIDEST:,} columns.")
    rows = pl.DataFrame(
        {
            "line": [line for line, _, _ in found],
            "raw": [raw for _, raw, _ in found],
            **{f"c{index}": _texts(row.get(name) for _, _, row in found) for index, name in enumerate(header)},
        },
        schema_overrides={f"c{index}": pl.String for index in range(len(header))},
    )
    return Grid(file, "", header, rows, pl.DataFrame(torn, schema=TORN_SCHEMA, orient="row"), typed=True)


def _read_line(line: int, raw: str, found: list[tuple[int, str, dict[str, Any]]]) -> str:
    """Add the object of a line to `found`; return what is wrong, or nothing."""
    try:
        row = json.loads(raw, parse_float=str, parse_int=str, parse_constant=str)
        if "\\u" in raw:
            json.dumps(row, ensure_ascii=False).encode()
    except json.JSONDecodeError as fault:
        return f"Not JSON: {fault.msg.lower()} at sign {fault.pos + 1}. {NOT_AN_OBJECT}"
    except RecursionError:
        return f"Nested too deep. {NOT_AN_OBJECT}"
    except UnicodeEncodeError:
        return f"Half of a pair of signs (\\ud800 to \\udfff) stands alone, so it is not text. {NOT_AN_OBJECT}"
    if not isinstance(row, dict):
        return NOT_AN_OBJECT
    found.append((line, raw, row))
    return ""


def _texts(values: Iterable[Any]) -> list[str | None]:
    return [value if isinstance(value, str) or value is None else json.dumps(value, ensure_ascii=False) for value in values]
