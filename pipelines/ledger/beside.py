"""The files that stand beside a ledger, and how a file is made to last.

In: the path of a ledger. Out: `Beside`, which names its lock, its published generations, the pointer for readers and the
marker of a publication that is owed. Nothing is opened here but folders.
Elsewhere: who may write (`lock`), what is written (`store`), how generations are made (`publishing`) and read (`reading`).
"""

import os
import re
from dataclasses import dataclass
from pathlib import Path

from pipelines.errors import WrongInput

SUFFIX = ".duckdb"
_COPY = re.compile(r"\.(read|g\d{6,})\.duckdb$")


@dataclass(frozen=True)
class Beside:
    """Names of everything that belongs to one ledger; links in its path are followed first, so that two names have one lock.

    Attributes
    ----------
    ledger
        The ledger itself, the one file that is the truth.
    """

    ledger: Path

    @classmethod
    def of(cls, path: Path | str) -> "Beside":
        """Name what stands beside the ledger at `path`.

        Raises
        ------
        WrongInput
            If `path` names a published copy, or a folder.
        """
        given = Path(path)
        if _COPY.search(given.name):
            raise WrongInput(f"{given}: this is a copy for readers, made from a ledger. Name the ledger: {given.with_name(_truth(given))}.")
        if given.is_dir():
            raise WrongInput(f"{given}: this is a folder. Name the ledger's file, such as {given / 'fleet.duckdb'}.")
        return cls(given.resolve())

    @property
    def folder(self) -> Path:
        """Where all of them stand."""
        return self.ledger.parent

    @property
    def stem(self) -> str:
        """What their names begin with."""
        return self.ledger.name.removesuffix(SUFFIX)

    @property
    def lock(self) -> Path:
        """Held by the one who writes; says who that is."""
        return self.folder / f"{self.ledger.name}.lock"

    @property
    def owed(self) -> Path:
        """Stands from before a commit until readers have it."""
        return self.folder / f"{self.ledger.name}.owed"

    @property
    def pointer(self) -> Path:
        """Link that readers follow to the present generation."""
        return self.folder / f"{self.stem}.read{SUFFIX}"

    @property
    def fresh(self) -> Path:
        """A new ledger until it is whole."""
        return self.folder / f"{self.stem}.new.building"

    @property
    def restored(self) -> Path:
        """A ledger brought back from a backup until it is whole."""
        return self.folder / f"{self.stem}.restored.building"

    @property
    def pointing(self) -> Path:
        """The pointer until it takes the place of the one before."""
        return self.folder / f"{self.stem}.read.pointing"

    @property
    def write_ahead(self) -> Path:
        """Changes that were committed and are not yet in the ledger's file."""
        return self.folder / f"{self.ledger.name}.wal"

    @property
    def spill(self) -> Path:
        """Folder for what does not fit in memory while the ledger is written."""
        return self.folder / f"{self.ledger.name}.tmp"

    def generation(self, version: int) -> Path:
        """Return the name of the copy for readers of the ledger at `version`."""
        return self.folder / f"{self.stem}.g{version:06d}{SUFFIX}"

    def generations(self) -> dict[int, Path]:
        """Return every generation that stands here, by version."""
        return {int(found[1]): file for file, found in self._matching(r"\.g(\d{6,})\.duckdb")}

    def building(self, version: int) -> Path:
        """Return the name of a generation until it is whole."""
        return self.folder / f"{self.stem}.g{version:06d}.building"

    def leftovers(self) -> list[Path]:
        """Return what an interrupted publication, restore or new ledger left here."""
        return [file for file, _ in self._matching(r"\.((g\d{6,}|new|restored)\.building(\.wal)?|read\.pointing)")]

    def target(self) -> Path | None:
        """Return the generation that the pointer names now; `None` if there is none or it is gone."""
        try:
            named = self.folder / os.readlink(self.pointer)
        except OSError:
            return None
        return named if named.is_file() else None

    def _matching(self, ending: str) -> list[tuple[Path, re.Match[str]]]:
        wanted = re.compile(re.escape(self.stem) + ending)
        found = ((file, wanted.fullmatch(file.name)) for file in self.folder.iterdir())
        return [(file, match) for file, match in found if match]


def sync_file(path: Path) -> None:
    """Wait until the file's bytes are on the disk. Never the open ledger: closing it here would drop its lock."""
    with path.open("rb") as file:
        os.fsync(file.fileno())


def sync_folder(folder: Path) -> None:
    """Wait until the names in a folder are on the disk."""
    opened = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)


def put_in_place(made: Path, place: Path) -> None:
    """Give a finished file its name at once, in place of what bore it; a reader sees the old or the new, whole."""
    sync_file(made)
    os.replace(made, place)
    sync_folder(place.parent)


def _truth(copy: Path) -> str:
    return _COPY.sub(SUFFIX, copy.name)
