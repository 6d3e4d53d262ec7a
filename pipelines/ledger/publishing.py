"""What readers get: a whole copy of a new name for every version, and a pointer that moves onto it at once.

In: an open ledger and what is to be made of its records. Out: the generation file beside it, and the pointer.
A reader sees the version before or the version after; whatever is interrupted is owed, and finished by the next command.
Elsewhere: how it is read (`reading`), what is made of the records (`lives`, `fits`, `advice`), coding (`written`).
"""

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from pipelines.ledger.beside import Beside, put_in_place, sync_folder
from pipelines.ledger.connection import attach, script
from pipelines.ledger.layout import copy_layout
from pipelines.ledger.store import Ledger
from pipelines.ledger.tables_from_terms import ROW_ID, create_derived, held_columns, quoted
from pipelines.ledger.taking_in import now
from pipelines.ledger.workbench import Workbench, make_schemas
from pipelines.ledger.written import SCHEMA as WRITTEN
from pipelines.ledger.written import make_uncoded
from pipelines.terms.tables import RECORD_KINDS, RecordKind
from pipelines.terms.vocabulary import VOCABULARY_TABLES

FROM_RECEIVED = ("imports", "files", "rows", "reconciliation", "left_out", "adoptions", "put_offs", "forecasts", "former_names")
"""Tables of the schema `about` that are made by the SQL file of their name."""
SETTLED = ("settled_pairs", "settled_rows")
"""Tables of the schema `accepted` that hold what people said, made by the SQL file of their name."""


def publish(ledger: Ledger, build: Callable[[Workbench], None], *, anew: bool = False) -> None:
    """Give readers the ledger's present version; nothing is done if they have it.

    Parameters
    ----------
    ledger
        The open ledger.
    build
        Makes `accepted` (`written.apply_codes`), `accepted.catalogue`, `accepted.cause_tree` and `derived` on the workbench it is given.
        There it finds the accepted rows, words as written, in `written.<kind>`, and `about`. What it raises leaves readers with the
        version before, and the publication owed.
    anew
        Make the copy also where readers have that version, because theirs cannot be read.
    """
    beside, version = ledger.beside, ledger.version
    finished = beside.generation(version)
    if anew or beside.target() != finished:
        building = beside.building(version)
        try:
            _build(ledger, building, build)
            building.chmod(0o444)
            put_in_place(building, finished)
        finally:
            building.unlink(missing_ok=True)
        _point(beside, finished)
    beside.owed.unlink(missing_ok=True)


def _build(ledger: Ledger, building: Path, build: Callable[[Workbench], None]) -> None:
    with _generation(ledger, building) as bench:
        make_schemas(bench)
        for table in VOCABULARY_TABLES.values():
            bench.run(create_derived(table, "accepted"))
        _fill_about(ledger)
        for name in SETTLED:
            ledger.connection.execute(f"insert into generation.accepted.{name} {script(name)[0]}")
        bench.run(f"create schema {WRITTEN}")
        for kind in RECORD_KINDS.values():
            ledger.connection.execute(_written_view(kind))
        build(bench)
        make_uncoded(bench)
        bench.run(f"drop schema {WRITTEN} cascade")


@contextmanager
def _generation(ledger: Ledger, building: Path) -> Iterator[Workbench]:
    attach(ledger.connection, building, "generation")
    bench = Workbench(ledger.connection.cursor())
    try:
        bench.run("use generation")
        yield bench
        bench.run("checkpoint generation")
    finally:
        bench.close()
        ledger.connection.execute("detach generation")


def _fill_about(ledger: Ledger) -> None:
    for name in FROM_RECEIVED:
        ledger.connection.execute(f"create table generation.about.{name} as {script(name)[0]}")
    version = "select version as ledger_version, ?::timestamp as published_at, ? as layout from received.state"
    ledger.connection.execute(f"create table generation.about.version as {version}", [now(), copy_layout()])


def _written_view(kind: RecordKind) -> str:
    columns = ", ".join(map(quoted, held_columns(kind)))
    counting = f"select {ROW_ID} from ledger.received.rows where kind = '{kind.name}' and fate = 'accepted'"
    return f"create view generation.{WRITTEN}.{kind.name} as select {columns} from ledger.held.{kind.name} where {ROW_ID} in ({counting})"


def _point(beside: Beside, finished: Path) -> None:
    """Move the pointer, and let go of all generations but this and the one that readers may still be opening."""
    kept = {finished, beside.target()}
    beside.pointing.unlink(missing_ok=True)
    beside.pointing.symlink_to(finished.name)
    os.replace(beside.pointing, beside.pointer)
    sync_folder(beside.folder)
    for generation in beside.generations().values():
        if generation not in kept:
            generation.unlink(missing_ok=True)
