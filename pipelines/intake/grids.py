"""What every reader hands over: a header and rows of text, each with its line.

In: nothing. Out: `Grid`, and `place_of` for messages.
Elsewhere: the readers (`delimited`, `workbooks`, `columnar`), which kind a grid is (`recognise`).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import polars as pl

Score = Callable[[Sequence[str | None]], int]
"""How many cells of a row are names of columns that towless knows; finds the header below title rows."""

HEADER_WITHIN = 40
"""A header is looked for among this many first rows that hold anything."""

TORN_SCHEMA = {"line": pl.Int64(), "raw": pl.String(), "value": pl.String(), "reason": pl.String()}


def no_torn() -> pl.DataFrame:
    """Return an empty table of rows that could not be cut into cells."""
    return pl.DataFrame(schema=TORN_SCHEMA)


@dataclass(frozen=True)
class Grid:
    """One table of text: a delimited file, a sheet, a Parquet file, a file of JSON lines.

    Attributes
    ----------
    file, sheet
        Where it stands; `sheet` is empty unless the file is a workbook.
    header
        Names as written, in order; may be empty or repeated.
    rows
        `line` (physical line or spreadsheet row, from 1), `raw` (the row as it came) and one text column `c0`, `c1`, ... a header cell.
    torn
        Rows that could not be cut into cells: `line`, `raw`, `value`, `reason`.
    point
        Decimal mark that the form of the file settles where no number shows it; empty: none.
    typed
        Whether numbers were numbers before they became text here, as in a workbook.
    """

    file: str
    sheet: str
    header: tuple[str, ...]
    rows: pl.DataFrame
    torn: pl.DataFrame = field(default_factory=no_torn)
    point: str = ""
    typed: bool = False

    @property
    def place(self) -> str:
        """File and sheet as they stand in messages."""
        return place_of(self.file, self.sheet)


def place_of(file: str, sheet: str) -> str:
    """File and sheet as they stand in messages."""
    return f"{file}, sheet {sheet.strip()}" if sheet else file


def header_row(rows: Sequence[Sequence[str | None]], score: Score) -> int:
    """Return the index of the row with the most known names, the first of equals; without any known name the first row that is filled."""
    scores = [score(row) for row in rows[:HEADER_WITHIN]]
    best = max(scores, default=0)
    if best:
        return scores.index(best)
    return next((index for index, row in enumerate(rows) if any(row)), 0)
