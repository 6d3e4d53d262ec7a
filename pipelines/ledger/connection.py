"""How this room talks to DuckDB: settings, SQL files, frames in and out.

In: SQL, as text of one line or as a file of this room, and frames. Out: frames.
Elsewhere: which tables there are (`tables_from_terms`), who may write (`writing`).
"""

import os
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import duckdb
import polars as pl
import pyarrow as pa

from pipelines.terms.columns import POLARS_TYPES, ColumnType

Parameters = Sequence[Any] | Mapping[str, Any]


def in_memory(spill: Path | None = None) -> duckdb.DuckDBPyConnection:
    """Return a DuckDB of its own in memory, to which files are attached; no extension is ever fetched.

    Parameters
    ----------
    spill
        Folder for what does not fit in memory; by default one of this process among the machine's temporary files.
    """
    return duckdb.connect(
        ":memory:",
        config={
            "autoinstall_known_extensions": "false",
            "autoload_known_extensions": "false",
            "python_enable_replacements": "false",
            "temp_directory": str(spill or Path(tempfile.gettempdir()) / f"towless-{os.getpid()}.tmp"),
        },
    )


def attach(connection: duckdb.DuckDBPyConnection, file: Path, name: str, *, read_only: bool = False) -> None:
    """Attach a database file under a name of ours, so that no file name can be mistaken for a schema."""
    place = str(file).replace("'", "''")
    # Named as what it is: by its ending alone a .csv would be opened as another sort of database.
    connection.execute(f"attach '{place}' as {name} (type duckdb{', read_only' if read_only else ''})")


def frame_of(connection: duckdb.DuckDBPyConnection, sql: str, parameters: Parameters = ()) -> pl.DataFrame:
    """Run one query and return its rows; sums of whole numbers come as whole numbers, decimals as numbers."""
    frame = connection.sql(sql, params=parameters or None).pl()
    kinds = {name: pl.Float64 if kind.scale else pl.Int64 for name, kind in frame.schema.items() if isinstance(kind, pl.Decimal)}
    return frame.cast(kinds) if kinds else frame


@contextmanager
def lent(connection: duckdb.DuckDBPyConnection, frame: pl.DataFrame) -> Iterator[None]:
    """Let SQL read a frame as `incoming` while the block runs; a column of nulls only is text."""
    connection.register("incoming", frame.with_columns(pl.col(pl.Null).cast(pl.String)))
    try:
        yield
    finally:
        connection.unregister("incoming")


def poured(connection: duckdb.DuckDBPyConnection, frame: pl.DataFrame, sql: str) -> None:
    """Run one statement that reads a frame as `incoming`, once; a column of nulls only is text.

    What was lent to a transaction is held until its end, so a large import would hold every part; a stream holds nothing once it is read.
    Empty columns are told by their type alone.
    """
    told = [name for name in frame.columns if frame[name].null_count() < frame.height] or frame.columns[:1]
    table = frame.select(told).with_columns(pl.col(pl.Null).cast(pl.String)).to_arrow(compat_level=pl.CompatLevel.newest())
    schema, batches = table.schema, table.to_batches()
    del table
    columns = [f'"{name}"' if name in told else f'null::{_duckdb_type(kind)} as "{name}"' for name, kind in frame.schema.items()]
    connection.register("told", pa.RecordBatchReader.from_batches(schema, (batches.pop(0) for _ in range(len(batches)))))
    try:
        connection.execute(f"with incoming as (select {', '.join(columns)} from told) {sql}")
    finally:
        connection.unregister("told")


def _duckdb_type(kind: pl.DataType) -> str:
    return next((declared.value for declared, theirs in POLARS_TYPES.items() if theirs == kind), ColumnType.TEXT.value)


@cache
def script(name: str) -> tuple[str, ...]:
    """Statements of the SQL file `name` of this room."""
    text = files("pipelines.ledger").joinpath(f"{name}.sql").read_text(encoding="utf-8")
    return tuple(statement.strip() for statement in text.split(";\n") if statement.strip())


def run_script(connection: duckdb.DuckDBPyConnection, name: str, **values: Any) -> None:
    """Run the SQL file `name`, giving each statement those of `values` that it asks for as `$name`."""
    for statement in script(name):
        connection.execute(statement, {key: value for key, value in values.items() if f"${key}" in statement} or None)
