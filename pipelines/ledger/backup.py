"""A whole, checked copy of a ledger, and a ledger brought back from one.

In: a ledger and a file. Out: the copy with a seal of what it holds, or the ledger with the one before kept aside.
Elsewhere: what readers get (`publishing`), which is owed after a ledger was brought back.
"""

import os
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

import duckdb

from pipelines.errors import LedgerDamaged, LedgerUnavailable, NoLedger, WrongInput
from pipelines.ledger import lock
from pipelines.ledger.beside import SUFFIX, Beside, put_in_place, sync_folder
from pipelines.ledger.connection import attach, frame_of, in_memory
from pipelines.ledger.content import Content, content_of
from pipelines.ledger.file_faults import is_locked, not_a_backup, not_a_ledger, told_plainly
from pipelines.ledger.store import mark_owed
from pipelines.ledger.writing import attach_sound, open_for_writing, refuse_without_folder


@dataclass(frozen=True)
class Restored:
    """A ledger brought back: what it holds, its version now, and where the one before was put (`None`: there was none)."""

    content: Content
    version: int
    kept_aside: Path | None

    def __str__(self) -> str:
        before = f"; the ledger before it is kept as {self.kept_aside.name}" if self.kept_aside else ""
        return f"{self.content}; the ledger is at version {self.version} now{before}"


def backup(path: Path | str, file: Path | str, wait_s: float = 10.0) -> Content:
    """Write a copy of the ledger to `file` and read it back to see that it holds the same.

    Raises
    ------
    WrongInput
        If `file` is there already or its folder is not.
    NoLedger
        If there is no ledger at `path`.
    LedgerUnavailable
        If the ledger is in use or damaged, or the copy cannot be written or does not hold the same; nothing is left of it then.
    """
    target = Path(file)
    refuse_without_folder(target)
    if target.exists():
        raise WrongInput(f"{target}: there is a file of that name. Nothing was written over; name a new one.")
    if not Path(path).exists():
        raise NoLedger(f"{path}: there is no ledger there, so there is nothing to copy. Name the ledger with --ledger.")
    of_ledger = partial(_of_ledger, Path(path))
    with open_for_writing(path, "backup", wait_s) as ledger, told_plainly(target, of_ledger), _scrapped(_making(target)) as making:
        content = content_of(ledger.connection, "ledger")
        _write_copy(ledger.connection, making, content)
        put_in_place(making, target)
    return content


def restore(file: Path | str, path: Path | str, wait_s: float = 10.0) -> Restored:
    """Put the ledger that `file` holds in place of the one at `path`, which is kept aside; readers are owed a publication then.

    Parameters
    ----------
    file
        A backup, or any other sound ledger that nobody has open. A backup's content is checked against its seal.
    path
        Where the ledger is to stand; what is there now may be damaged.
    wait_s
        How long to wait for a writer, in seconds.

    Raises
    ------
    WrongInput
        If `file` is not there, or is the ledger itself.
    LedgerDamaged
        If `file` is not a sound ledger, or does not hold what its seal says.
    LedgerInUse
        If the ledger is in use.
    """
    source, beside = Path(file), Beside.of(path)
    refuse_without_folder(beside.ledger)
    if not source.is_file() or source.resolve() == beside.ledger:
        raise WrongInput(f"{source}: not a backup that can be brought back. Name a file that is there and is not the ledger itself.")
    with told_plainly(beside.ledger), lock.held(beside.lock, "restore", wait_s), _scrapped(beside.restored) as making:
        content = _brought(source, making)
        version = _raise_version(making, beside)
        mark_owed(beside)
        aside = _kept_aside(beside)
        put_in_place(making, beside.ledger)
    return Restored(content, version, aside)


def _write_copy(connection: duckdb.DuckDBPyConnection, making: Path, content: Content) -> None:
    attach(connection, making, "made")
    connection.execute("copy from database ledger to made")
    sealed = "create table made.received.seal as select ?::bigint as rows, ? as digest, version() as made_with"
    connection.execute(sealed, [content.rows, content.digest])
    connection.execute("detach made")
    attach(connection, making, "made", read_only=True)
    on_disk = content_of(connection, "made")
    connection.execute("detach made")
    if on_disk != content:
        raise LedgerUnavailable(f"{making}: what was written does not read back the same. Nothing is left of it; try another disk.")


def _brought(source: Path, making: Path) -> Content:
    connection = in_memory()
    with told_plainly(source, not_a_backup), closing(connection):
        attach_sound(connection, source, "backup", refusal=not_a_backup)
        content = content_of(connection, "backup")
        _refuse_unless_sealed(connection, source, content)
        attach(connection, making, "made")
        connection.execute("copy from database backup to made; drop table if exists made.received.seal")
        if content_of(connection, "made") != content:
            raise LedgerUnavailable(f"{making}: what was written does not read back the same. Nothing changed; try another disk.")
    return content


def _refuse_unless_sealed(connection: duckdb.DuckDBPyConnection, source: Path, content: Content) -> None:
    sealed = frame_of(connection, "select 1 from duckdb_tables() where database_name = 'backup' and table_name = 'seal'")
    if sealed.is_empty():
        return  # a ledger that was copied by other means has no seal
    seal = frame_of(connection, "select rows, digest, made_with = version() as comparable from backup.received.seal").row(0, named=True)
    if seal["rows"] != content.rows or (seal["comparable"] and seal["digest"] != content.digest):
        raise not_a_backup(source, "it does not hold what its seal says")


def _raise_version(making: Path, beside: Beside) -> int:
    """Set a version above any that readers have seen, so that nobody takes this ledger for one they know."""
    seen = max(_folded_version(beside), *beside.generations(), 0)
    connection = in_memory()
    with closing(connection):
        attach(connection, making, "made")
        connection.execute("update made.received.state set version = greatest(version, ?) + 1", [seen])
        return frame_of(connection, "select version from made.received.state").item()


def _folded_version(beside: Beside) -> int:
    """Version of the ledger that goes, its last changes folded into its file; 0 if it is not there or not sound."""
    if not beside.ledger.exists():
        return 0
    connection = in_memory()
    with closing(connection):
        try:
            attach(connection, beside.ledger, "going")
            return frame_of(connection, "select version from going.received.state").item()
        except duckdb.Error as fault:
            if is_locked(fault):
                raise
            return 0


def _kept_aside(beside: Beside) -> Path | None:
    if not beside.ledger.exists():
        return None
    aside = beside.folder / f"{beside.stem}.before-restore-{datetime.now(UTC):%Y%m%dT%H%M%S%f}{SUFFIX}"
    os.link(beside.ledger, aside)
    if beside.write_ahead.exists():
        os.replace(beside.write_ahead, aside.with_name(f"{aside.name}.wal"))
    sync_folder(beside.folder)
    return aside


def _of_ledger(ledger: Path, _: Path, why: str) -> LedgerDamaged:
    """Say that the ledger is damaged, and not the copy that was being made of it."""
    return not_a_ledger(ledger, why)


def _making(target: Path) -> Path:
    return target.with_name(f"{target.name}.making")


@contextmanager
def _scrapped(making: Path) -> Iterator[Path]:
    """Let the block make a file, and leave nothing of it that was not put in place."""
    making.unlink(missing_ok=True)
    try:
        yield making
    finally:
        for left in (making, making.with_name(f"{making.name}.wal")):
            left.unlink(missing_ok=True)
