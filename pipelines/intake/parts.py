"""The lines of a file, read by parts of whole lines.

In: a path. Out: `Lines`, which gives parts of whole lines, looks ahead, and moves on by what was used.
Elsewhere: what the lines hold (`slicing`).
"""

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import BinaryIO

from pipelines.errors import UnreadableFile

LINE_END = b"\n"
MARK = b"\xef\xbb\xbf"
AT_ONCE = 1 << 20
Recode = Callable[[bytes], bytes]


@dataclass
class Lines:
    """The lines of one open file from where the reading is.

    Attributes
    ----------
    line
        Number of the next line, from 1.
    done, size
        Bytes used so far, and bytes of the file.
    recode
        Makes UTF-8 of whole lines; `None`: they are given as they stand.
    """

    file: BinaryIO
    size: int
    recode: Recode | None = None
    line: int = 1
    done: int = 0
    _held: bytes = b""

    @classmethod
    @contextmanager
    def of(cls, path: Path, recode: Recode | None = None) -> Iterator["Lines"]:
        """Open a file; leaving the block says whether it is still the same file.

        Raises
        ------
        UnreadableFile
            If it cannot be opened, or was changed meanwhile.
        """
        with opened(path) as file:
            lines = cls(file, os.fstat(file.fileno()).st_size, recode)
            lines._fill(len(MARK))
            if lines._held.startswith(MARK):
                lines._held = lines._held[len(MARK) :]
            yield lines

    def part(self, size: int) -> bytes:
        """Return about `size` bytes of whole lines without moving on; nothing at the end of the file."""
        self._fill(size)
        if len(self._held) <= size:
            # Read on to the end of the line, so that nothing is left over to be copied.
            self._held += b"" if self._held.endswith(LINE_END) else self._more(0)
            return self._held
        cut = self._held.rfind(LINE_END, 0, size) + 1 or self._held.find(LINE_END, size) + 1
        while not cut and self._fill(len(self._held) + AT_ONCE):
            cut = self._held.find(LINE_END, size) + 1
        return self._held[:cut] if cut else self._held

    def ahead(self, start: int, count: int) -> bytes:
        """Return so many whole lines from `start` bytes on, or all that are left."""
        end, found = start, 0
        while found < count:
            at = self._held.find(LINE_END, end)
            if at < 0:
                if not self._fill(len(self._held) + AT_ONCE):
                    return self._held[start:]
            else:
                end, found = at + 1, found + 1
        return self._held[start:end]

    def take(self, used: int) -> None:
        """Move on by so many bytes of whole lines."""
        self.line += self._held.count(LINE_END, 0, used)
        self.done += used
        self._held = self._held[used:]

    def take_lines(self, count: int | None, at_most: int) -> None:
        """Move on by so many lines, or by `at_most` bytes."""
        end = at_most
        if count is not None:
            end = 0
            for _ in range(count):
                end = self._held.index(LINE_END, end) + 1
        self.take(end)

    def _fill(self, size: int) -> bool:
        """Hold at least `size` bytes if the file has them; say whether there were any more."""
        more = self._more(size - len(self._held)) if len(self._held) < size else b""
        self._held = self._held + more if self._held else more
        return bool(more)

    def _more(self, size: int) -> bytes:
        """Read on by so many bytes, or where lines are made UTF-8 or nothing is asked for to the end of the line."""
        read = self.file.read(size)
        if self.recode is None:
            return read or (self.file.readline() if not size else b"")
        return self.recode(read + (b"" if read.endswith(LINE_END) else self.file.readline()))


@contextmanager
def opened(path: Path) -> Iterator[BinaryIO]:
    """Open a file for reading, and refuse it at the end if it was written to meanwhile.

    Raises
    ------
    UnreadableFile
        If it cannot be opened, or was changed while it was read.
    """
    try:
        file = path.open("rb")
    except OSError as fault:
        raise UnreadableFile(f"{path}: cannot be opened: {fault.strerror}. Check the name and that you may read it.") from fault
    with file:
        before = _state(path)
        yield file
    if _state(path) != before:
        raise UnreadableFile(f"{path.name}: was changed while it was read, so nothing of it was taken. Give it again when it is whole.")


def sha256_of(path: Path) -> str:
    """Return the SHA-256 of a file's bytes in hex, read by parts; raises as `opened`."""
    made = sha256()
    with opened(path) as file:
        while data := file.read(AT_ONCE):
            made.update(data)
    return made.hexdigest()


def _state(path: Path) -> tuple[int, int] | None:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_size, found.st_mtime_ns
