"""A file written whole or not at all.

In: bytes. Out: a file; it takes its name only when all of it is there.
"""

import os
from pathlib import Path

from pipelines.errors import WrongInput


def write_whole(data: bytes, file: Path) -> None:
    """Write `data` to `file`.

    Raises
    ------
    WrongInput
        If the file cannot be written; nothing is left behind then.
    """
    half = file.with_name(f".{file.name}.half-{os.getpid()}")
    try:
        half.write_bytes(data)
        half.replace(file)
    except OSError as fault:
        half.unlink(missing_ok=True)
        raise WrongInput(f"{file}: cannot be written: {fault.strerror}. Name a file in a folder you may write to.") from fault
