"""Sheets to a PDF file: set offline with the typesetter's own fonts, written whole or not at all.

In: sheets of blocks. Out: a file. The same sheets give the same bytes on one machine; nothing is asked of the internet.
Elsewhere: what stands on the sheets (the other modules of this folder), how it looks (`paper.typ`).
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from importlib import resources
from pathlib import Path
from typing import Any

import typst

from pipelines.exports.papers.blocks import Sheet, as_data, printable
from pipelines.exports.whole_file import write_whole
from pipelines.terms.cautions import DEFERENCE
from pipelines.terms.papers import SIZES


@dataclass(frozen=True)
class Imprint:
    """What stands in the head of every page: title, last day known, version of the ledger; `size` is a key of `SIZES`."""

    title: str
    as_of: date
    version: int
    size: str = "a4"


def typeset(sheets: Sequence[Sheet], imprint: Imprint) -> bytes:
    """Return the sheets as a PDF."""
    whole = {
        "title": printable(imprint.title),
        "as_of": imprint.as_of.isoformat(),
        "version": imprint.version,
        "size": SIZES[imprint.size],
        "deference": DEFERENCE,
        "sheets": as_data(tuple(sheets)),
    }
    look = (resources.files("pipelines.exports.papers") / "paper.typ").read_bytes()
    set_on = datetime.combine(imprint.as_of, time(), UTC)
    # The typesetter takes files by name with their bytes; its stubs know only a path or the text itself.
    files: Any = {"main.typ": look, "paper.json": json.dumps(whole).encode()}
    return typst.compile(files, format="pdf", timestamp=int(set_on.timestamp()))


def write_paper(sheets: Sequence[Sheet], imprint: Imprint, file: Path) -> None:
    """Write the sheets to `file` as a PDF.

    Raises
    ------
    WrongInput
        If the file cannot be written.
    """
    write_whole(typeset(sheets, imprint), file)
