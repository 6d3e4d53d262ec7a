"""Reading what was published; no reader waits for a writer, and each sees one version whole.

In: the ledger's path. Out: `Published`, and `is_owed`, whether a publication waits to be finished.
Elsewhere: how it got there (`publishing`).
"""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

import duckdb
import polars as pl

from pipelines.errors import CopyUnsound, LedgerDamaged, LedgerUnavailable, NoLedger
from pipelines.ledger import lock
from pipelines.ledger.beside import Beside
from pipelines.ledger.connection import Parameters, attach, frame_of, in_memory
from pipelines.ledger.days import known_on
from pipelines.ledger.file_faults import told_plainly
from pipelines.ledger.layout import copy_layout
from pipelines.ledger.workbench import Workbench, make_schemas
from pipelines.terms.account import ACCOUNT_TABLES
from pipelines.terms.tables import RECORD_KINDS
from pipelines.terms.vocabulary import VOCABULARY_TABLES

TRIES = 5
"""A generation can go between following the pointer and opening the file, if two are published meanwhile."""


MADE_ANEW = "No record is lost by that: it is made anew from the ledger, which holds them all. Ask again."


class Published:
    """One published version of a ledger, read-only; threads may share it.

    Attributes
    ----------
    file
        The generation that is read.
    version
        The ledger's version.
    """

    def __init__(self, file: Path) -> None:
        self.file = file
        self._connection = in_memory()
        self._one_at_a_time = threading.Lock()
        try:
            attach(self._connection, file, "generation", read_only=True)
            self.version: int = self._version()
        except BaseException:
            self._connection.close()
            raise

    def frame(self, sql: str, parameters: Parameters = ()) -> pl.DataFrame:
        """Run one query over `accepted`, `derived` and `about` and return its rows.

        Parameters
        ----------
        sql
            One query; `?` or `$name` where a parameter goes.
        parameters
            Values in order, or by name.

        Raises
        ------
        CopyUnsound
            If a page that the query needs is damaged.
        """
        with self._one_at_a_time:
            cursor = self._connection.cursor()
        try:
            with _read_soundly(self.file):
                cursor.execute("use generation")
                return frame_of(cursor, sql, parameters)
        finally:
            cursor.close()

    def as_known_on(self, day: date) -> Workbench:
        """Return a workbench in memory whose `accepted` shows only what was known at the end of `day`; `derived` is empty.

        A row counts by the day it is dated, not the day it was taken in; coding is that of today.
        """
        connection = in_memory()
        attach(connection, self.file, "generation", read_only=True)
        bench = Workbench(connection)
        make_schemas(bench)
        for kind in RECORD_KINDS.values():
            bench.run(f"create view accepted.{kind.name} as {known_on(kind, day, f'generation.accepted.{kind.name}')}")
        for schema, tables in (("accepted", VOCABULARY_TABLES), ("about", ACCOUNT_TABLES)):
            for name in tables:
                bench.run(f"create view {schema}.{name} as select * from generation.{schema}.{name}")
        return bench

    def close(self) -> None:
        """Let the file go."""
        self._connection.close()

    def _version(self) -> int:
        row = self.frame("select * from about.version").row(0, named=True)
        if row.get("layout") != copy_layout():
            raise CopyUnsound(f"{self.file}: this copy for readers was laid out by another towless. {MADE_ANEW}")
        return row["ledger_version"]


@contextmanager
def open_published(path: Path | str) -> Iterator[Published]:
    """Open the published copy of the ledger at `path` for reading; it never waits.

    Raises
    ------
    NoLedger
        If there is neither a copy nor a ledger.
    LedgerUnavailable
        If there is a ledger that nothing was published of yet (`is_owed`).
    CopyUnsound
        If the copy is damaged or was laid out by another towless; it can be made anew from the ledger.
    """
    published = _open(Beside.of(path))
    try:
        yield published
    finally:
        published.close()


def is_owed(path: Path | str) -> bool:
    """Whether readers wait for a publication that nobody is making, so that whoever asks should finish it."""
    beside = Beside.of(path)
    if not beside.ledger.exists():
        return False
    return beside.target() is None or (beside.owed.exists() and not lock.is_held(beside.lock))


def _open(beside: Beside) -> Published:
    for _ in range(TRIES):
        if (file := beside.target()) is None:
            break
        try:
            return Published(file)
        except (LedgerUnavailable, duckdb.Error) as fault:
            if file.exists():
                raise fault if isinstance(fault, CopyUnsound) else _unsound(file) from fault
    raise _nothing_to_read(beside)


@contextmanager
def _read_soundly(file: Path) -> Iterator[None]:
    """Tell a damaged page of a published copy for what it is: no loss, for the ledger holds everything."""
    try:
        with told_plainly(file):
            yield
    except LedgerDamaged as fault:
        raise _unsound(file) from fault


def _unsound(file: Path) -> CopyUnsound:
    return CopyUnsound(f"{file}: this copy for readers is damaged. {MADE_ANEW}")


def _nothing_to_read(beside: Beside) -> LedgerUnavailable:
    if beside.ledger.exists():
        return LedgerUnavailable(f"{beside.ledger}: nothing of it is published yet. Run: towless records --ledger {beside.ledger}")
    return NoLedger(
        f"{beside.ledger}: there is no ledger there. Make one from your records: towless intake FOLDER --ledger {beside.ledger}, "
        f"or look at the sample fleet: towless demo"
    )
