"""What DuckDB and the disk say when a ledger cannot be used, put plainly.

In: their errors. Out: errors of `errors.LedgerUnavailable`, with the ledger, what is wrong and the way out.
An error that is not about the file is a bug of ours and passes through as it is.
"""

import errno
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import duckdb

from pipelines.errors import LedgerDamaged, LedgerInUse, LedgerUnavailable

_FULL = ("No space left", "File too large", "quota exceeded")
_FORBIDDEN = ("Permission denied", "Read-only file system", "Operation not permitted")
_DAMAGED = ("not a valid DuckDB", "Could not read enough bytes", "Corrupt", "checksum", "Failed to deserialize", "replaying WAL")
_NEWER = ("Trying to read a database file with version number",)
_LOCKED = ("Could not set lock", "Unique file handle conflict")
_NUMBERS = {
    errno.ENOSPC: "full",
    errno.EFBIG: "full",
    errno.EDQUOT: "full",
    errno.EACCES: "forbidden",
    errno.EROFS: "forbidden",
    errno.EPERM: "forbidden",
    errno.ENOENT: "forbidden",
}


def is_locked(fault: duckdb.Error) -> bool:
    """Whether another program has the file open."""
    return any(words in str(fault) for words in _LOCKED)


def not_a_ledger(ledger: Path, why: str) -> LedgerDamaged:
    """Say that a file is not a sound ledger, and the ways out with a backup and without."""
    return LedgerDamaged(
        f"{ledger}: not a sound towless ledger ({why}). Nothing changed. If it is meant to be one, bring a backup back: "
        f"towless restore BACKUP --ledger {ledger}. Without a backup, take your files in again: towless intake FOLDER --ledger "
        f"{ledger.with_name(f'{ledger.stem}-new{ledger.suffix}')}"
    )


def not_a_backup(file: Path, why: str) -> LedgerDamaged:
    """Say that a file cannot be brought back, and the ways out with another backup and without."""
    return LedgerDamaged(
        f"{file}: not a sound copy of a ledger ({why}). Nothing changed; the ledger stands as it was. Name another copy. "
        "If none is sound, take your files in again: towless intake FOLDER --ledger NEW.duckdb"
    )


@contextmanager
def told_plainly(ledger: Path, damaged: Callable[[Path, str], LedgerUnavailable] = not_a_ledger) -> Iterator[None]:
    """Raise what goes wrong with the file `ledger` in the block as an error that says the way out.

    Parameters
    ----------
    ledger
        The file.
    damaged
        What is said of a file that is not sound.

    Raises
    ------
    LedgerInUse
        If another program has it open.
    LedgerDamaged
        If it is not a sound DuckDB file.
    LedgerUnavailable
        If the disk is full or may not be written, or the file was made by a newer program.
    """
    try:
        yield
    except duckdb.Error as fault:
        if (plain := _of_words(ledger, str(fault), damaged)) is None:
            raise
        raise plain from fault
    except OSError as fault:
        if (sort := _NUMBERS.get(fault.errno or 0)) is None:
            raise
        raise _PLAIN[sort](ledger, fault.strerror or "") from fault


def _of_words(ledger: Path, words: str, damaged: Callable[[Path, str], LedgerUnavailable]) -> LedgerUnavailable | None:
    for sort, signs in (("full", _FULL), ("forbidden", _FORBIDDEN), ("newer", _NEWER), ("locked", _LOCKED), ("damaged", _DAMAGED)):
        if any(sign in words for sign in signs):
            return (_PLAIN | {"damaged": damaged})[sort](ledger, words.splitlines()[0])
    return None


def _full(ledger: Path, why: str) -> LedgerUnavailable:
    return LedgerUnavailable(f"{ledger}: the disk is full ({why}). Nothing changed. Make room in {ledger.parent} and run it again.")


def _forbidden(ledger: Path, why: str) -> LedgerUnavailable:
    return LedgerUnavailable(
        f"{ledger}: cannot be written there ({why}). Nothing changed. Name a ledger in a folder of your own with --ledger."
    )


def _newer(ledger: Path, why: str) -> LedgerUnavailable:
    return LedgerUnavailable(f"{ledger}: made by a newer towless ({why}). Nothing changed. Update towless and run it again.")


def _locked(ledger: Path, why: str) -> LedgerUnavailable:
    return LedgerInUse(f"{ledger}: another program has it open ({why}). Nothing changed. Close it there and run it again.")


_PLAIN = {"full": _full, "forbidden": _forbidden, "newer": _newer, "locked": _locked}
