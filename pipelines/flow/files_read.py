"""The files of a wish to what is taken of them: those in already are told by their hash alone, large ones are read by parts.

In: files, the open ledger, a mapping. Out: what was read of each, and the files that are in already.
Elsewhere: reading (`intake`), writing (`ledger`), the whole of taking in (`taking`).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from pipelines.intake import slicing
from pipelines.intake.mapping import Mapping
from pipelines.intake.parts import sha256_of
from pipelines.intake.slicing import NeedsWhole, NotUtf8, Progress, ShowsOtherwise, Sliced, open_sliced, recoded
from pipelines.intake.taking import Taken, read_file
from pipelines.ledger.counts import FileIn, TakenIn
from pipelines.ledger.store import Ledger

OfFile = list[Taken] | list[Sliced]
Said = Callable[[str, int, int], None]
"""Told the name of a file, and how many of its bytes of how many are done."""


@dataclass(frozen=True)
class How:
    """How files are read: with which mapping, as which kind (empty: as their columns say), and who is told how far it is."""

    mapping: Mapping
    kind: str = ""
    said: Said | None = None
    today: date | None = None


def read_files(files: Sequence[Path], ledger: Ledger, mapping_text: str, how: How) -> tuple[dict[Path, OfFile], list[FileIn]]:
    """Read files, and name those that are in already: the same bytes, read with the same mapping as the same kind.

    Raises
    ------
    UnreadableFile, UnknownKind, WrongMapping
        As `read_file`.
    """
    read: dict[Path, OfFile] = {}
    known: list[FileIn] = []
    for file in files:
        digest = sha256_of(file)
        counts = ledger.file_in(digest, mapping_text)
        if counts and set(counts) == {how.kind or kind for kind in counts}:
            known.append(FileIn(file.name, counts))
        else:
            read[file] = _read(file, digest, how)
    return read, known


def written(read: dict[Path, OfFile], write: Callable[[list[Taken | Sliced]], TakenIn], how: How) -> TakenIn:
    """Write what was read; a file whose later part shows another form is looked through whole and all is written anew."""
    while True:
        try:
            return write([taken for each in read.values() for taken in each])
        except ShowsOtherwise as otherwise:
            read[otherwise.sliced.path] = _settled(otherwise.sliced, how)
        except NotUtf8 as other:
            read[other.path] = _read(other.path, read[other.path][0].sha256, how, utf8=False)
        except NeedsWhole as whole:
            read[whole.path] = read_file(whole.path, how.mapping, how.kind, how.today)


def _read(file: Path, digest: str, how: How, *, utf8: bool = True) -> OfFile:
    if file.stat().st_size >= slicing.FROM_BYTES:
        try:
            if sliced := open_sliced(file, digest, how.mapping, how.kind, how.today, None if utf8 else recoded(file)):
                return [_told(sliced, how)]
        except NeedsWhole:
            pass
    return read_file(file, how.mapping, how.kind, how.today)


def _settled(sliced: Sliced, how: How) -> OfFile:
    try:
        return [_told(sliced.settle(), how)]
    except NotUtf8:
        return _read(sliced.path, sliced.sha256, how, utf8=False)
    except NeedsWhole:
        return read_file(sliced.path, how.mapping, how.kind, how.today)


def _told(sliced: Sliced, how: How) -> Sliced:
    if how.said is not None:
        said, name = how.said, sliced.file
        sliced.progress = _progress(said, name)
    return sliced


def _progress(said: Said, name: str) -> Progress:
    return lambda done, of: said(name, done, of)
