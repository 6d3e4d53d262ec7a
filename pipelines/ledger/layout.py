"""The tables of a ledger as this program declares them, and what an older ledger has not got of them.

In: a connection with an attached database. Out: its tables made, or told; what marks the tables of a published copy.
Elsewhere: the declarations (`received.sql`, `terms.tables`), how an older ledger gets them (`migrating`).
"""

import hashlib
from contextlib import closing
from functools import cache

import duckdb

from pipelines.ledger.connection import frame_of, in_memory, run_script
from pipelines.ledger.tables_from_terms import create_accepted, create_derived, create_held
from pipelines.terms.account import ACCOUNT_TABLES
from pipelines.terms.derived import DERIVED_TABLES
from pipelines.terms.tables import RECORD_KINDS
from pipelines.terms.vocabulary import VOCABULARY_TABLES

LAYOUT = 3
"""Layout of the tables of a ledger; goes up with each release in which they changed. Tables and columns are only ever added."""

SEAL = "seal"
"""Table of a backup that says what it holds; no table of a ledger."""

Columns = frozenset[tuple[str, str, str]]
"""Columns as (schema, table, column)."""


def make_tables(connection: duckdb.DuckDBPyConnection, name: str) -> None:
    """Make every table of a ledger, empty, in the attached database `name`."""
    connection.execute(f"use {name}")
    run_script(connection, "received")
    for kind in RECORD_KINDS.values():
        connection.execute(create_held(kind))


def columns_in(connection: duckdb.DuckDBPyConnection, name: str) -> Columns:
    """Return the columns of every table of the attached database `name`, but for a seal."""
    listed = (
        "select schema_name, table_name, column_name from duckdb_columns() where database_name = ? and not internal and table_name <> ?"
    )
    return frozenset(frame_of(connection, listed, [name, SEAL]).iter_rows())


@cache
def declared_columns() -> Columns:
    """Return the columns that a ledger of this program has."""
    with closing(in_memory()) as connection:
        connection.execute("attach ':memory:' as declared")
        make_tables(connection, "declared")
        return columns_in(connection, "declared")


@cache
def copy_layout() -> str:
    """Return what tells the tables of a published copy as this program lays them out from those of any other."""
    kinds = [create_accepted(kind) for kind in RECORD_KINDS.values()]
    made = [create_derived(table) for tables in (VOCABULARY_TABLES, ACCOUNT_TABLES, DERIVED_TABLES) for table in tables.values()]
    return hashlib.sha256("\n".join([*kinds, *made]).encode()).hexdigest()[:16]
