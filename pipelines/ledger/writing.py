"""Opening a ledger to write to it: one at a time, a sound one, or a new one.

In: the ledger's path, what is to be done and how long to wait for another writer. Out: `Ledger`.
Elsewhere: what can be done with it (`store`, `publishing`), how it is only read (`reading`).
"""

import shutil
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import duckdb

from pipelines.errors import LedgerDamaged, LedgerUnavailable, WrongInput
from pipelines.ledger import lock
from pipelines.ledger.beside import Beside, put_in_place
from pipelines.ledger.connection import attach, frame_of, in_memory
from pipelines.ledger.file_faults import is_locked, not_a_ledger, told_plainly
from pipelines.ledger.identity import PROBE, hash_anew, is_hashed_here
from pipelines.ledger.layout import LAYOUT, make_tables
from pipelines.ledger.migrating import is_older, migrate
from pipelines.ledger.store import Ledger
from pipelines.ledger.taking_in import now

DUCKDB_HEADERS = 3 * 4096
"""Bytes before the first block of a DuckDB file."""


@contextmanager
def open_for_writing(path: Path | str, verb: str, wait_s: float = 10.0) -> Iterator[Ledger]:
    """Open a ledger to write to it; a path where nothing is yet gets a new ledger, which stays only if something is taken in or published.

    One of an older layout is brought to this program's first, and kept as it was beside it (`migrating`).

    Parameters
    ----------
    path
        The ledger.
    verb
        What is being done, for whoever has to wait meanwhile.
    wait_s
        How long to wait for another writer, in seconds.

    Raises
    ------
    WrongInput
        If its folder does not exist, or `path` is a folder or a published copy.
    LedgerInUse
        If another is still writing after `wait_s`.
    LedgerDamaged
        If the file is not a sound ledger.
    LedgerUnavailable
        If it was made by a newer towless, the folder cannot be written or the disk is full.
    """
    beside = Beside.of(path)
    refuse_without_folder(beside.ledger)
    until = time.monotonic() + wait_s
    with told_plainly(beside.ledger), lock.held(beside.lock, verb, wait_s):
        _clear_away(beside)
        if beside.ledger.exists():
            with _opened(beside, until) as ledger:
                yield ledger
        else:
            with _new(beside, until) as ledger:
                yield ledger


def refuse_without_folder(file: Path) -> None:
    """Refuse a file whose folder is not there; `WrongInput`."""
    if not file.parent.is_dir():
        raise WrongInput(f"{file}: there is no folder {file.parent}. Make it first, or name a file in a folder that is there.")


def attach_sound(
    connection: duckdb.DuckDBPyConnection,
    file: Path,
    name: str,
    until: float = 0.0,
    refusal: Callable[[Path, str], LedgerDamaged] = not_a_ledger,
) -> None:
    """Attach a ledger read-only after a look at whether it is one.

    Parameters
    ----------
    connection, file, name
        Where, what and under which name.
    until
        Moment of the monotonic clock until which another program's hold on the file is waited for.
    refusal
        What is said of a file that is not sound.

    Raises
    ------
    LedgerDamaged
        If it is a DuckDB file but no ledger, or is cut short.
    LedgerUnavailable
        If its layout is newer than this program knows.
    """
    _patiently(connection, file, name, until, read_only=True)
    needed = f"select block_size * used_blocks + {DUCKDB_HEADERS} from pragma_database_size() where database_name = ?"
    if file.stat().st_size < frame_of(connection, needed, [name]).item():
        raise refusal(file, "it is cut short")
    try:
        layout = frame_of(connection, f"select layout from {name}.received.state").item()
    except (duckdb.CatalogException, duckdb.BinderException, ValueError) as fault:
        raise refusal(file, "another sort of DuckDB file") from fault
    if layout > LAYOUT:
        raise LedgerUnavailable(
            f"{file}: made by a newer towless (layout {layout}; this one knows {LAYOUT}). Nothing changed. Update towless and run it again."
        )


def _clear_away(beside: Beside) -> None:
    """Remove what an interrupted change left: nobody else writes, and no reader knows of it."""
    for file in beside.leftovers():
        file.unlink(missing_ok=True)
    shutil.rmtree(beside.spill, ignore_errors=True)


@contextmanager
def _opened(beside: Beside, until: float) -> Iterator[Ledger]:
    connection = in_memory(beside.spill)
    try:
        attach_sound(connection, beside.ledger, "ledger", until)
        older = is_older(connection, "ledger")
        connection.execute("detach ledger")
        if older:
            migrate(beside)
        _patiently(connection, beside.ledger, "ledger", until)
        connection.execute("use ledger")
        _hash_as_here(connection)
        yield Ledger(connection, beside)
    finally:
        connection.close()


def _hash_as_here(connection: duckdb.DuckDBPyConnection) -> None:
    """Hash the rows anew if another version of DuckDB hashed them; the whole of them or, after a power cut, none."""
    if not is_hashed_here(connection):
        connection.execute("begin transaction")
        hash_anew(connection)
        connection.execute("commit")


@contextmanager
def _new(beside: Beside, until: float) -> Iterator[Ledger]:
    version = make_empty(beside)
    kept = False
    try:
        with _opened(beside, until) as ledger:
            try:
                yield ledger
            finally:
                kept = ledger.version != version or beside.target() == beside.generation(version)
    finally:
        if not kept:
            beside.ledger.unlink(missing_ok=True)
            beside.write_ahead.unlink(missing_ok=True)


def make_empty(beside: Beside) -> int:
    """Put a new ledger in its place, whole; return its version, above that of any generation which stands there from before."""
    version = max(beside.generations(), default=0)
    connection = in_memory()
    try:
        attach(connection, beside.fresh, "ledger")
        make_tables(connection, "ledger")
        connection.execute(f"insert into received.state values (?, ?, ?, ({PROBE}))", [LAYOUT, version, now()])
    finally:
        connection.close()
    put_in_place(beside.fresh, beside.ledger)
    return version


def _patiently(connection: duckdb.DuckDBPyConnection, file: Path, name: str, until: float, *, read_only: bool = False) -> None:
    while True:
        try:
            return attach(connection, file, name, read_only=read_only)
        except duckdb.Error as fault:
            if not is_locked(fault) or time.monotonic() >= until:
                raise
            time.sleep(lock.LOOK_AGAIN_S)
