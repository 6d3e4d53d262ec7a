"""What an import or its undoing did, to be told.

In: nothing. Out: `Counts`, `TakenIn`, `Undone`.
Elsewhere: the import itself (`taking_in`).
"""

from collections.abc import Mapping
from dataclasses import astuple, dataclass, field


@dataclass(frozen=True)
class Counts:
    """What became of rows; `rows_in` is the sum of the other four."""

    rows_in: int = 0
    accepted: int = 0
    repeated: int = 0
    superseded: int = 0
    left_out: int = 0

    def __add__(self, other: "Counts") -> "Counts":
        return Counts(*(ours + theirs for ours, theirs in zip(astuple(self), astuple(other), strict=True)))


@dataclass(frozen=True)
class FileIn:
    """A file that is in already: its name, and how many rows of which record kind are in of it."""

    file: str
    rows_in: Mapping[str, int]


@dataclass(frozen=True)
class TakenIn:
    """What an import did.

    Attributes
    ----------
    import_id
        The number `--undo` takes; `None`: nothing was written.
    counts
        By record kind, of the rows that were given.
    corrected
        By record kind, rows of earlier imports that these superseded.
    files_again
        Names of files that were in already; their rows are counted as repeated and nothing of them was written.
    """

    import_id: int | None
    counts: Mapping[str, Counts]
    corrected: Mapping[str, int] = field(default_factory=dict)
    files_again: tuple[str, ...] = ()

    @property
    def total(self) -> Counts:
        """Over all record kinds."""
        return sum(self.counts.values(), Counts())


@dataclass(frozen=True)
class Undone:
    """What undoing an import did.

    Attributes
    ----------
    import_id
        The import that was undone.
    rows_out
        By record kind, its rows: kept, marked, out of every count.
    restored
        By record kind, rows of other imports that count as accepted again.
    """

    import_id: int
    rows_out: Mapping[str, int]
    restored: Mapping[str, int]
