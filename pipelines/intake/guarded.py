"""A fault inside a reading library, told as a fault of the file.

In: a file name and what the file should be. Out: `guarded`, a context in which any failure of a library becomes `UnreadableFile`.
Elsewhere: what the libraries read (`workbooks`, `columnar`).
"""

from collections.abc import Iterator
from contextlib import contextmanager

from pipelines.errors import TowlessError, UnreadableFile

LONGEST = 160


@contextmanager
def guarded(file: str, should_be: str) -> Iterator[None]:
    """Turn what a reading library raises into `UnreadableFile`.

    A library written in another language may panic on damaged bytes; a panic is not an `Exception`, so it is known by its name.
    Interrupts and errors raised on purpose pass.
    """
    try:
        yield
    except TowlessError:
        raise
    except BaseException as fault:
        if not isinstance(fault, Exception) and type(fault).__name__ != "PanicException":
            raise
        why = " ".join(str(fault).split())[:LONGEST] or type(fault).__name__
        raise UnreadableFile(f"{file}: is not {should_be} ({why}). Save it again, or give it as CSV.") from fault
