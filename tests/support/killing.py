"""Changes of a ledger that are cut off by kill -9, and what must be true of the ledger after that.

In: a folder. Out: `Change`s to make there; `content`, what a ledger holds apart from times of day; `check_whole`.
Elsewhere: who kills (`tests.whole.kills`), the tests (`tests.ledger.test_never_half`).
"""

import shutil
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import duckdb
import polars as pl

from pipelines.intake.taking import Taken
from pipelines.ledger.backup import backup, restore
from pipelines.ledger.beside import Beside
from pipelines.ledger.connection import attach, frame_of, in_memory
from pipelines.ledger.content import Content, content_of
from pipelines.ledger.layout import columns_in
from pipelines.ledger.publishing import publish
from pipelines.ledger.reading import is_owed, open_published
from pipelines.ledger.store import Ledger
from pipelines.ledger.writing import open_for_writing
from tests.support.ledgers import boats, ledger_of, taking, uncoded
from tests.support.older import older_ledger
from tests.support.writers import many_boats

ROWS = 4_000
BY = "A. Tester"
NOT_HELD = {"made_at", "taken_at", "undone_at", "settled_at", "version", "layout"}
"""Columns that differ from run to run, or say nothing of records."""


@dataclass(frozen=True)
class Change:
    """A change of a ledger: what it needs beforehand, and what it does; both in a folder of its own."""

    prepare: Callable[[Path], None]
    act: Callable[[Path], None]


def ledger_in(folder: Path) -> Path:
    """Return where the ledger of a folder stands."""
    return folder / "fleet.duckdb"


def content(path: Path) -> Content:
    """Return what a ledger holds apart from times, version and layout; columns that hold nothing are not looked at."""
    connection = in_memory()
    try:
        attach(connection, path, "ledger", read_only=True)
        asked = frozenset(one for one in columns_in(connection, "ledger") if one[2] not in NOT_HELD and _says(connection, one))
        return content_of(connection, "ledger", asked)
    finally:
        connection.close()


def check_whole(folder: Path, allowed: tuple[Content, ...]) -> bool:
    """Hold a ledger and its readers to being before or after a change; finish what is owed; return whether anything was.

    Raises
    ------
    AssertionError
        If anything is between.
    """
    path = ledger_in(folder)
    seen = _published(path)
    assert content(path) in allowed
    with open_for_writing(path, "check") as ledger:
        rows_in, *fates = _sums(ledger.reconciliation())
    assert rows_in == sum(fates)
    assert content(path) in allowed
    _check_kept(folder, allowed)
    owed = is_owed(path)
    assert owed or seen == fates[0]
    with open_for_writing(path, "records") as ledger:
        publish(ledger, uncoded)
    assert not is_owed(path)
    assert Beside.of(path).leftovers() == []
    assert _published(path) == fates[0]
    return owed


def _check_kept(folder: Path, allowed: tuple[Content, ...]) -> None:
    """A backup bears its name only when it is whole; a ledger kept aside is the one there was."""
    for kept in (folder / "made.duckdb", *folder.glob("fleet.before-*.duckdb")):
        if kept.exists():
            assert content(kept) == allowed[0]


def _sums(counts: pl.DataFrame) -> tuple[int, ...]:
    return tuple(int(counts[name].sum()) for name in ("rows_in", "accepted", "repeated", "superseded", "left_out"))


def _published(path: Path) -> int | None:
    """Rows that readers see as accepted, the same by the account and by the tables; `None`: nothing was published."""
    if Beside.of(path).target() is None:
        return None
    with open_published(path) as copy:
        told = int(copy.frame("select coalesce(sum(accepted), 0) from about.reconciliation").item())
        held = copy.frame("select (select count(*) from accepted.vessels) + (select count(*) from accepted.plan)").item()
    assert told == held
    return told


def _says(connection: duckdb.DuckDBPyConnection, column: tuple[str, str, str]) -> bool:
    schema, table, name = column
    return frame_of(connection, f'select count("{name}") from ledger.{schema}.{table}').item() > 0


def _first(folder: Path) -> None:
    ledger_of(ledger_in(folder), boats(*(f"W{number}=name {number}" for number in range(ROWS)), sha256="first"))


def _second(folder: Path) -> None:
    _first(folder)
    backup(ledger_in(folder), folder / "kept.duckdb")
    ledger_of(ledger_in(folder), _more())


def _unpublished(folder: Path) -> None:
    _first(folder)
    with open_for_writing(ledger_in(folder), "test") as ledger:
        ledger.take_in([_more()], BY)


def _older(folder: Path) -> None:
    older_ledger(ledger_in(folder), ROWS)
    shutil.copy(ledger_in(folder), folder / "as it was.duckdb")


def _more() -> Taken:
    return boats(*many_boats(ROWS), faulty=3, sha256="second")


def _written(change: Callable[[Ledger], object]) -> Callable[[Path], None]:
    """Make what a person does to an open ledger a change that publishes."""

    def act(folder: Path) -> None:
        with open_for_writing(ledger_in(folder), "test") as ledger:
            change(ledger)
            publish(ledger, uncoded)

    return act


def _nothing(_: Ledger) -> None:
    """Open it and publish, no more."""


def _restore(folder: Path) -> None:
    restore(folder / "kept.duckdb", ledger_in(folder))
    _written(_nothing)(folder)


def _back_up(folder: Path) -> None:
    backup(ledger_in(folder), folder / "made.duckdb")


PLAN = [{"component": "drive belt", "task": "renew", "every_h": 200.0, "adopted_by": BY}]
PUT_OFF = pl.DataFrame(
    {
        "engine_id": ["W1-E"],
        "vessel_id": ["W1"],
        "component": ["drive belt"],
        "position": pl.Series([None], dtype=pl.String),
        "task": ["renew"],
        "until_on": [date(2026, 7, 1)],
        "until_h": pl.Series([None], dtype=pl.Float64),
        "put_off_on": [date(2026, 6, 1)],
        "put_off_by": [BY],
        "because": ["part on order"],
        "due_on": [date(2026, 5, 20)],
    }
)

CHANGES: dict[str, Change] = {
    "import": Change(_first, _written(lambda ledger: ledger.take_in([_more()], BY))),
    "undo": Change(_second, _written(lambda ledger: ledger.undo(2, BY))),
    "adopt": Change(_first, _written(lambda ledger: ledger.take_in([taking("plan", PLAN)], BY, strict=True))),
    "put off": Change(_first, _written(lambda ledger: ledger.put_off(PUT_OFF, BY))),
    "settle": Change(_first, _written(lambda ledger: ledger.settle_word("component", "imp.", "impeller", BY))),
    "restore": Change(_second, _restore),
    "publish": Change(_unpublished, _written(_nothing)),
    "migrate": Change(_older, _written(_nothing)),
    "backup": Change(_first, _back_up),
}
"""What is cut off, by name."""
