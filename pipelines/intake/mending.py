"""Rows of delimited text whose quotes are not plain: over several lines, with spaces around them, inside a cell, or not matched.

In: lines, and which of them are odd. Out: those rows with plain quoting, and the torn ones. A row that cannot be read costs that row only.
Elsewhere: rows with plain quoting, which are cut all at once (`delimited`).
"""

import re

import polars as pl

from pipelines.intake.grids import TORN_SCHEMA
from pipelines.intake.layouts import Layout

LONGEST_ROW = 200
"""Lines that one quoted cell may run over; beyond this a quote was opened and not closed."""
OPEN_CELL = re.compile(r' *"(?:[^"]|"")*\Z')
"""A quoted cell that a later line may close; anything else that is left of a row no further line can mend."""
UNMATCHED = "A quote is opened and not closed, or stands inside a quoted cell; write a quote inside a quoted cell twice."
NOT_TEXT = "The row holds zero bytes, so it is not text; write it again or delete it."
BLOCK = 4096


def mend(lines: pl.DataFrame, odd: pl.Series, layout: Layout) -> tuple[pl.DataFrame, pl.DataFrame, pl.DataFrame]:
    """Read the rows that begin on odd lines, one by one.

    Parameters
    ----------
    lines
        `line`, `raw` (with a carriage return at its end if the file has them), `strict`.
    odd
        Which lines are not rows with plain quoting by themselves.
    layout
        How the file is cut.

    Returns
    -------
    tuple
        Mended rows (`line`, `raw`, `strict`), torn rows (`line`, `raw`, `value`, `reason`), and the lines that are in neither.
    """
    mended: list[tuple[int, str, str]] = []
    torn: list[tuple[int, str, str, str]] = []
    taken: list[int] = []
    texts, numbers = _Texts(lines["raw"]), lines["line"]
    places = odd.arg_true()
    for place, line in zip(places.to_list(), numbers.gather(places).to_list(), strict=True):
        if taken and place <= taken[-1]:
            continue
        text, cells = _whole_row(texts, place, layout)
        if cells is None:
            shown = text.removesuffix("\r").replace("\x00", "\u2400")
            torn.append((line, shown, shown, NOT_TEXT if "\x00" in text else UNMATCHED))
        else:
            mended.append((line, text, _strictly(cells, layout.delimiter)))
        taken.extend(range(place, place + text.count("\n") + 1))
    return (
        pl.DataFrame(mended, schema=lines.schema, orient="row"),
        pl.DataFrame(torn, schema=TORN_SCHEMA, orient="row"),
        _without(lines, taken) if taken else lines,
    )


class _Texts:
    """Lines as text, fetched a block at a time: most lines of a file are never looked at one by one."""

    def __init__(self, lines: pl.Series) -> None:
        self._lines, self._first, self._block = lines, 0, list[str]()

    def __len__(self) -> int:
        return len(self._lines)

    def __getitem__(self, place: int) -> str:
        if not self._first <= place < self._first + len(self._block):
            self._first = place
            self._block = self._lines.slice(place, BLOCK).to_list()
        return self._block[place - self._first]


def _without(lines: pl.DataFrame, taken: list[int]) -> pl.DataFrame:
    places = pl.DataFrame({"place": taken}, schema={"place": pl.UInt32})
    return lines.with_row_index("place").join(places, on="place", how="anti", maintain_order="left").drop("place")


def _whole_row(texts: _Texts, start: int, layout: Layout) -> tuple[str, list[str] | None]:
    """Return the text and cells of the row that begins at `start`; its first line and `None` if no reading of it is sound."""
    first = texts[start]
    text, whole = "", 0
    for end in range(start, min(start + LONGEST_ROW, len(texts))):
        line = texts[end]
        whole += end > start and layout.is_whole(line)
        if "\x00" in line or whole > layout.swallowed_at_most:
            break
        text = f"{text}\n{line}" if end > start else first
        if '"' not in line:
            continue
        cells, rest = layout.scan(text.removesuffix("\r").replace("\r\n", "\n"))
        if not rest:
            return text, cells
        if not OPEN_CELL.match(rest):
            break
    return first, None


def _strictly(cells: list[str], delimiter: str) -> str:
    return delimiter.join(_quoted(cell, delimiter) for cell in cells)


def _quoted(cell: str, delimiter: str) -> str:
    if '"' in cell or "\n" in cell or delimiter in cell:
        doubled = cell.replace('"', '""')
        return f'"{doubled}"'
    return cell
