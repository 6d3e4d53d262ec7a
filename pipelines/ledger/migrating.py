"""An older ledger brought to the layout of this program.

In: a ledger that has not every table and column that is declared. Out: one that has, in its place, with the same values; the ledger as
it was stays beside it. New columns are empty. Nobody writes SQL for this: what is declared and missing is added.
Elsewhere: what is declared (`layout`), who holds the lock meanwhile (`writing`).
"""

import logging
import os
from contextlib import closing
from pathlib import Path

import duckdb

from pipelines.errors import LedgerUnavailable
from pipelines.ledger.beside import SUFFIX, Beside, put_in_place, sync_folder
from pipelines.ledger.connection import attach, frame_of, in_memory
from pipelines.ledger.content import content_of
from pipelines.ledger.layout import LAYOUT, Columns, columns_in, declared_columns, make_tables
from pipelines.ledger.store import mark_owed

said = logging.getLogger("towless")
"""Where it is told; a line on standard error wherever nobody set it otherwise."""


def is_older(connection: duckdb.DuckDBPyConnection, name: str) -> bool:
    """Return whether the attached ledger `name` lacks anything that is declared."""
    older = frame_of(connection, f"select layout from {name}.received.state").item() < LAYOUT
    return older or bool(declared_columns() - columns_in(connection, name))


def migrate(beside: Beside) -> Path:
    """Put a ledger of this layout in the place of an older one, keep that one beside it and say so.

    The new file is made and compared with the old before it takes its name, so a power cut leaves the one or the other. Its version is
    above any that readers have seen, and they are owed a publication.

    Returns
    -------
    Path
        The ledger as it was.

    Raises
    ------
    LedgerUnavailable
        If what was written does not read back the same; nothing changed then.
    """
    with closing(in_memory(beside.spill)) as connection:
        # Opened to write, so that changes which a power cut left beside the file are folded into it before its bytes are kept.
        attach(connection, beside.ledger, "old")
        connection.execute("checkpoint old")
        before = frame_of(connection, "select layout from old.received.state").item()
        _fill(connection, beside)
    mark_owed(beside)
    kept = _kept(beside)
    put_in_place(beside.fresh, beside.ledger)
    said.warning(
        f"{beside.ledger}: was made by an older towless (layout {before}) and has been brought to layout {LAYOUT} of this one. "
        f"The ledger as it was is kept whole as {kept.name}."
    )
    return kept


def _fill(connection: duckdb.DuckDBPyConnection, beside: Beside) -> None:
    columns = columns_in(connection, "old") & declared_columns()
    held = content_of(connection, "old", columns)
    attach(connection, beside.fresh, "made")
    make_tables(connection, "made")
    for schema, table in sorted({(schema, table) for schema, table, _ in columns}):
        connection.execute(f"insert into made.{schema}.{table} by name {_selected(schema, table, columns)}")
    if content_of(connection, "made", columns) != held:
        raise LedgerUnavailable(f"{beside.fresh}: what was written does not read back the same. Nothing changed; try another disk.")
    seen = max(beside.generations(), default=0)
    connection.execute("update made.received.state set layout = ?, version = greatest(version, ?) + 1", [LAYOUT, seen])
    connection.execute("use memory; detach made; detach old")


def _selected(schema: str, table: str, columns: Columns) -> str:
    names = ", ".join(f'"{column}"' for of, held, column in sorted(columns) if (of, held) == (schema, table))
    return f"select {names} from old.{schema}.{table}"


def _kept(beside: Beside) -> Path:
    """Give the ledger as it was a second name, which it keeps; the same one again after a power cut."""
    for number in range(1, 1000):
        again = "" if number == 1 else f"-{number}"
        kept = beside.folder / f"{beside.stem}.before-layout-{LAYOUT}{again}{SUFFIX}"
        if not kept.exists():
            os.link(beside.ledger, kept)
            sync_folder(beside.folder)
            return kept
        if kept.samefile(beside.ledger):
            return kept
    raise LedgerUnavailable(f"{beside.folder}: holds too many ledgers kept from before a change of layout. Move some of them away.")
