"""What a paper is made of: sheets of blocks, each a plain statement of what stands there and nothing of how it looks.

In: words. Out: `Sheet` and its blocks. Elsewhere: how they look (`paper.typ`), setting them (`typesetting`).
"""

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass, fields, is_dataclass
from typing import Any

from pipelines.exports.withholding import withheld

BOX = "☐"
"""A cell or line end that is drawn as a box to tick."""
NOTHING = "–"


@dataclass(frozen=True)
class Heading:
    """A heading inside a sheet."""

    text: str


@dataclass(frozen=True)
class Words:
    """A paragraph; `faint` for what explains."""

    text: str
    faint: bool = False


@dataclass(frozen=True)
class Facts:
    """Labels with their values, side by side."""

    pairs: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Column:
    """Heading of a column; `to` is left, right or center, `share` of the width that is left over (0: as wide as it needs)."""

    head: str
    to: str = "left"
    share: float = 0.0


@dataclass(frozen=True)
class Table:
    """Rows of cells under headings."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Bullets:
    """Lines, each with a mark; `boxes`: each with a box to tick."""

    lines: tuple[str, ...]
    boxes: bool = False


@dataclass(frozen=True)
class Cautions:
    """What can hurt someone at this work."""

    lines: tuple[str, ...]


@dataclass(frozen=True)
class Fields:
    """Labels with a line to write on."""

    labels: tuple[str, ...]


@dataclass(frozen=True)
class Share:
    """One bar of a small picture: what, how many, its share of all (0 to 1) and the words beside it."""

    label: str
    share: float
    words: str
    unknown: bool = False


@dataclass(frozen=True)
class Bars:
    """Bars under one another, all on one measure."""

    bars: tuple[Share, ...]


Block = Heading | Words | Facts | Table | Bullets | Cautions | Fields | Bars


@dataclass(frozen=True)
class Sheet:
    """One sheet of a paper: title, what it is about, and its blocks; longer ones run over to further pages."""

    title: str
    about: str
    blocks: tuple[Block, ...]


def as_data(value: Any) -> Any:
    """Return sheets as JSON can hold them; each block says its sort, and signs that cannot be printed are left out."""
    if is_dataclass(value) and not isinstance(value, type):
        told = {item.name: as_data(getattr(value, item.name)) for item in fields(value)}
        return {"sort": type(value).__name__.lower(), **told}
    if isinstance(value, tuple | list):
        return [as_data(item) for item in value]
    return printable(value) if isinstance(value, str) else value


def printable(words: str) -> str:
    """Return words without control, direction and private signs or craft identification numbers; a line break becomes a space."""
    kept = (" " if sign in "\n\r\t" else sign for sign in words)
    return withheld("".join(sign for sign in kept if unicodedata.category(sign) not in ("Cc", "Cf", "Cs", "Co", "Cn")))


def table(columns: Iterable[Column], rows: Iterable[Iterable[str | None]]) -> Table:
    """Return a table; an empty cell is a dash."""
    return Table(tuple(columns), tuple(tuple(cell or NOTHING for cell in row) for row in rows))
