"""A place where tables are made: one DuckDB connection with `accepted`, `derived` and `about`.

In: SQL and frames. Out: `Workbench`, and `scratch()`, an empty one in memory.
Elsewhere: the file that readers get (`publishing`), how it is read (`reading`), what is made on a workbench (`lives`, `fits`, `advice`).
"""

from typing import Self

import duckdb
import polars as pl

from pipelines.ledger.connection import Parameters, frame_of, in_memory, lent
from pipelines.ledger.tables_from_terms import create_accepted, create_derived
from pipelines.terms.tables import RECORD_KINDS
from pipelines.terms.vocabulary import VOCABULARY_TABLES

SCHEMAS = ("accepted", "derived", "about")


class Workbench:
    """One DuckDB connection on which tables are made from other tables.

    One thread uses a workbench at a time. It is a context manager; leaving it closes it.
    """

    def __init__(self, connection: duckdb.DuckDBPyConnection) -> None:
        self._connection = connection

    def run(self, sql: str, parameters: Parameters = ()) -> None:
        """Run one statement, or several with `;` between when there are no parameters."""
        self._connection.execute(sql, parameters or None)

    def frame(self, sql: str, parameters: Parameters = ()) -> pl.DataFrame:
        """Run one query and return its rows.

        Parameters
        ----------
        sql
            One query; `?` or `$name` where a parameter goes.
        parameters
            Values in order, or by name.

        Returns
        -------
        pl.DataFrame
            One row a row; whole-number sums as Int64, decimals as Float64.
        """
        return frame_of(self._connection, sql, parameters)

    def put(self, table: str, frame: pl.DataFrame) -> None:
        """Make `table` (such as `derived.fits`) from a frame, in place of one of that name; a column of nulls only is text."""
        with lent(self._connection, frame):
            self._connection.execute(f"create or replace table {table} as select * from incoming")

    def close(self) -> None:
        """Let the connection go."""
        self._connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *fault: object) -> None:
        self.close()


def make_schemas(bench: Workbench) -> None:
    """Make the schemas every workbench has."""
    for schema in SCHEMAS:
        bench.run(f"create schema {schema}")


def scratch() -> Workbench:
    """Return an empty workbench in memory with every accepted table and the schemas `derived` and `about`."""
    bench = Workbench(in_memory())
    make_schemas(bench)
    for kind in RECORD_KINDS.values():
        bench.run(create_accepted(kind))
    for table in VOCABULARY_TABLES.values():
        bench.run(create_derived(table, "accepted"))
    return bench
