"""One writer at a time: a lock file beside the ledger that says who writes.

In: the lock's path, who asks and how long they wait. Out: the lock held, or `LedgerInUse` with who has it.
The lock goes with the process that holds it, however that ends; the file's words are only for people.
Elsewhere: what is written under it (`writing`).
"""

import fcntl
import json
import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

from pipelines.errors import LedgerInUse

LOOK_AGAIN_S = 0.05


@contextmanager
def held(lock: Path, verb: str, wait_s: float) -> Iterator[None]:
    """Hold the lock while the block runs.

    Parameters
    ----------
    lock
        The lock file; made if it is not there, gone afterwards.
    verb
        What is being done, for the one who has to wait.
    wait_s
        How long to wait for another holder, in seconds.

    Raises
    ------
    LedgerInUse
        If another process or thread still holds it then; the message says which, since when and doing what.
    OSError
        If the file cannot be made.
    """
    descriptor = _taken(lock, wait_s)
    try:
        _sign(descriptor, verb)
        yield
    finally:
        _let_go(lock, descriptor)


def is_held(lock: Path) -> bool:
    """Whether somebody writes now."""
    try:
        descriptor = os.open(lock, os.O_RDWR)
    except OSError:
        return False
    try:
        return not _locked(descriptor)
    finally:
        os.close(descriptor)


def _taken(lock: Path, wait_s: float) -> int:
    until = time.monotonic() + wait_s
    while (descriptor := _try(lock)) is None:
        if time.monotonic() >= until:
            ledger = lock.with_suffix("")
            raise LedgerInUse(f"{ledger}: {_holder(lock)}. Waited {wait_s:g} s; nothing changed. Try again when that has ended.")
        time.sleep(LOOK_AGAIN_S)
    return descriptor


def _try(lock: Path) -> int | None:
    descriptor = os.open(lock, os.O_RDWR | os.O_CREAT, 0o666)
    if _locked(descriptor) and _is_still(lock, descriptor):
        return descriptor
    os.close(descriptor)
    return None


def _locked(descriptor: int) -> bool:
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


def _is_still(lock: Path, descriptor: int) -> bool:
    """Whether the file that was locked still bears the name: the holder before may have taken the name away meanwhile."""
    try:
        return os.path.samestat(os.fstat(descriptor), os.stat(lock))
    except FileNotFoundError:
        return False


def _sign(descriptor: int, verb: str) -> None:
    words = {"pid": os.getpid(), "verb": verb, "since": datetime.now().astimezone().isoformat(timespec="seconds")}
    os.ftruncate(descriptor, 0)
    os.pwrite(descriptor, json.dumps(words).encode(), 0)


def _let_go(lock: Path, descriptor: int) -> None:
    if _is_still(lock, descriptor):
        lock.unlink()
    os.close(descriptor)


def _holder(lock: Path) -> str:
    try:
        words = json.loads(lock.read_text(encoding="utf-8"))
        return f"in use by process {words['pid']}, which has been at '{words['verb']}' since {words['since']}"
    except (OSError, ValueError, KeyError):
        return "in use by another process"
