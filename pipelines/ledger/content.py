"""What a ledger holds, told so that two can be compared value by value.

In: a connection with an attached ledger. Out: `Content`.
Elsewhere: who compares (`backup`, `migrating`).
"""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass

import duckdb

from pipelines.ledger.connection import frame_of
from pipelines.ledger.layout import Columns, columns_in
from pipelines.ledger.tables_from_terms import quoted


@dataclass(frozen=True)
class Content:
    """What a ledger holds.

    Attributes
    ----------
    rows
        Rows that ever came in.
    digest
        Of every value of every table, whatever the order of rows; comparable within one version of DuckDB.
    """

    rows: int
    digest: str

    def __str__(self) -> str:
        return f"{self.rows:,} row{'' if self.rows == 1 else 's'}, each value checked (digest {self.digest[:12]})"


def content_of(connection: duckdb.DuckDBPyConnection, name: str, columns: Columns | None = None) -> Content:
    """Return what the attached ledger `name` holds; a digest is the same for the same values, in whatever order the rows stand.

    Parameters
    ----------
    connection, name
        Where the ledger is attached, and under which name.
    columns
        The columns to look at; `None`: all it has.
    """
    tables: dict[str, list[str]] = {}
    for schema, table, column in sorted(columns_in(connection, name) if columns is None else columns):
        tables.setdefault(f"{schema}.{table}", []).append(column)
    lines = [_table_line(connection, name, table, columns) for table, columns in tables.items()]
    rows = frame_of(connection, f"select count(*) from {name}.received.rows").item()
    return Content(rows, hashlib.sha256("\n".join(lines).encode()).hexdigest())


def _table_line(connection: duckdb.DuckDBPyConnection, name: str, table: str, columns: Iterable[str]) -> str:
    row = ", ".join(map(quoted, columns))
    counted = f"select count(*), cast(sum(cast(hash({row}) as hugeint)) as varchar) from {name}.{table}"
    return f"{table} {row} {frame_of(connection, counted).row(0)}"
