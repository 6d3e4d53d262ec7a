"""Delimited text to rows of cells, with the physical line and the exact text of each row.

In: text and what a header looks like. Out: `Grid`. The delimiter is the one of `, ; tab |` that shows the most known names.
Quotes: `"` around a cell, doubled inside it; a quoted cell may hold delimiters and line ends; a quote inside an unquoted cell is
itself (`3" hose`). A row whose quotes do not match is torn: it is handed over with its line and text, and reading goes on below it.
Elsewhere: bytes to text (`decoding`).
"""

import re
from dataclasses import dataclass
from functools import cached_property

import polars as pl

from pipelines.errors import UnreadableFile
from pipelines.intake.grids import TORN_SCHEMA, Grid, Score, header_row

DELIMITERS = (",", ";", "\t", "|")
LONGEST_ROW = 200
"""Lines that one quoted cell may run over; beyond this a quote was opened and not closed."""
PREVIEW = 60
WIDEST = 2000
WIDE = 5
"""Columns from which on a table is wide."""
UNMATCHED = "A quote is opened and not closed, or stands inside a quoted cell; write a quote inside a quoted cell twice."
NOT_TEXT = "The row holds zero bytes, so it is not text; write it again or delete it."


@dataclass(frozen=True)
class Layout:
    """How a file is cut: its delimiter, and where its header stands and what it says once that is known."""

    delimiter: str
    line: int = 1
    header: tuple[str, ...] = ()

    @cached_property
    def strict(self) -> str:
        """Pattern of a row whose cells are each quoted whole or hold no quote."""
        mark = re.escape(self.delimiter)
        cell = f'(?:"(?:[^"]|"")*"|[^"{mark}]*)'
        return f"^{cell}(?:{mark}{cell})*$"

    @cached_property
    def _cell(self) -> re.Pattern[str]:
        """One cell and what ends it: quoted (group 1), or unquoted and not beginning with a quote (group 2)."""
        mark = re.escape(self.delimiter)
        return re.compile(f'(?: *"((?:[^"]|"")*)" *|((?! *")[^{mark}\\n]*))({mark}|\\Z)')

    def cut(self, text: str) -> list[str] | None:
        """Return the cells of one whole row; `None` if a quote in it is not matched."""
        cells: list[str] = []
        at = 0
        while match := self._cell.match(text, at):
            quoted, plain, ended_by = match.groups()
            cells.append(plain if quoted is None else quoted.replace('""', '"'))
            if not ended_by:
                return cells
            at = match.end()
        return None

    @property
    def swallowed_at_most(self) -> int:
        """Lines inside a quoted cell that may look like whole rows before the quote is taken for one left open.

        A line of a note seldom has as many delimiters as a wide table, but now and then as many as a narrow one.
        """
        return 0 if len(self.header) >= WIDE else 2

    def is_whole(self, line: str) -> bool:
        """Whether one line without quotes by itself fills the header."""
        return '"' not in line and len(self.header) > 1 and line.count(self.delimiter) + 1 == len(self.header)


def read_delimited(file: str, text: str, score: Score) -> Grid:
    """Read delimited text into a grid.

    Parameters
    ----------
    file
        Name for messages.
    text
        Whole text; lines end in a line feed, or in a carriage return and a line feed.
    score
        How many cells of a row are known names; picks the delimiter and finds the header below title rows.

    Raises
    ------
    UnreadableFile
        If the header is wider than any table.
    """
    lines = _lines(text)
    told = re.match(r"^sep=(.)$", lines["raw"][0].strip())
    layout = _layout(lines[1:] if told else lines, score, (told.group(1),) if told else DELIMITERS)
    records, torn = _records(lines.filter(pl.col("line") >= layout.line), layout)
    return _grid(file, records, torn, layout)


def _lines(text: str) -> pl.DataFrame:
    raw = pl.Series("raw", [text]).str.split("\n").explode(empty_as_null=True, keep_nulls=True)
    numbered = raw.to_frame().with_row_index("line", offset=1)
    return numbered.select(pl.col("line").cast(pl.Int64), "raw", strict=pl.col("raw").str.strip_suffix("\r"))


def _layout(lines: pl.DataFrame, score: Score, delimiters: tuple[str, ...]) -> Layout:
    """Find the delimiter and the header: the most known names, then the most rows of like width, then the widest."""
    sample = lines.filter(pl.col("raw").str.strip_chars() != "").head(PREVIEW)
    found = []
    for delimiter in delimiters:
        records, _ = _records(sample, Layout(delimiter))
        rows = [(Layout(delimiter).cut(text) or [])[:WIDEST] for text in records["strict"]] or [[""]]
        row = header_row(rows, score)
        alike = sum(len(other) == len(rows[row]) for other in rows) if len(rows[row]) > 1 else 0
        line = records["line"][row] if records.height else 1
        found.append(((score(rows[row]), alike, len(rows[row])), Layout(delimiter, line, tuple(rows[row]))))
    return max(found, key=lambda each: each[0])[1]


def _records(lines: pl.DataFrame, layout: Layout) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Join lines to rows: `line`, `raw`, `strict` (the same row with plain quoting); and the torn ones."""
    text = pl.col("strict")
    quoted = text.str.contains('"', literal=True)
    odd = lines.filter((quoted & ~text.str.contains(layout.strict)) | text.str.contains("\x00", literal=True))
    mended, torn, taken = _mend(lines, odd["line"].to_list(), layout)
    rest = lines.filter(~pl.col("line").is_in(taken)) if taken else lines
    records = pl.concat([rest, pl.DataFrame(mended, schema=rest.schema, orient="row")]).sort("line") if mended else rest
    bare = records.with_columns(pl.col("raw").str.strip_suffix("\r"))
    return _filled(bare, layout.delimiter), pl.DataFrame(torn, schema=TORN_SCHEMA, orient="row")


def _filled(records: pl.DataFrame, delimiter: str) -> pl.DataFrame:
    """Leave out rows with nothing in them: they are not records."""
    return records.filter(pl.col("strict").str.strip_chars(delimiter + '" \t\r') != "")


Mended = list[tuple[int, str, str]]
Torn = list[tuple[int, str, str, str]]


def _mend(lines: pl.DataFrame, odd: list[int], layout: Layout) -> tuple[Mended, Torn, list[int]]:
    """Read the rows whose quotes are not plain, one by one; return them, the torn ones, and all lines they stand on."""
    mended: Mended = []
    torn: Torn = []
    taken: list[int] = []
    raw, numbers = lines["raw"], lines["line"]
    for line in odd:
        if taken and line <= taken[-1]:
            continue
        start = numbers.search_sorted(line)
        text, cells = _whole_row(raw, start, layout)
        if cells is None:
            shown = text.removesuffix("\r").replace("\x00", "\u2400")
            torn.append((line, shown, shown, NOT_TEXT if "\x00" in text else UNMATCHED))
        else:
            mended.append((line, text, _strictly(cells, layout.delimiter)))
        taken.extend(numbers[start : start + text.count("\n") + 1])
    return mended, torn, taken


def _whole_row(raw: pl.Series, start: int, layout: Layout) -> tuple[str, list[str] | None]:
    """Return the text and cells of the row that begins at `start`; its first line and `None` if no reading of it is sound."""
    first = raw[start]
    text, whole = "", 0
    for end in range(start, min(start + LONGEST_ROW, len(raw))):
        whole += end > start and layout.is_whole(raw[end])
        if "\x00" in raw[end] or whole > layout.swallowed_at_most:
            break
        text = f"{text}\n{raw[end]}" if end > start else first
        cells = layout.cut(text.removesuffix("\r").replace("\r\n", "\n"))
        if cells is not None:
            return text, cells
    return first, None


def _strictly(cells: list[str], delimiter: str) -> str:
    return delimiter.join(
        f'"{cell.replace(chr(34), chr(34) * 2)}"' if re.search(f'["\n{re.escape(delimiter)}]', cell) else cell for cell in cells
    )


def _grid(file: str, records: pl.DataFrame, torn: pl.DataFrame, layout: Layout) -> Grid:
    width = max(len(layout.header), 1)
    if width >= WIDEST:
        raise UnreadableFile(f"{file}, line {layout.line}: {width:,} columns or more. Give a table of fewer than {WIDEST:,} columns.")
    rows = records.filter(pl.col("line") > layout.line)
    names = layout.delimiter.join(f"c{index}" for index in range(width))
    text = "\n".join([names, *rows["strict"]]).encode()
    cells = pl.read_csv(text, separator=layout.delimiter, infer_schema=False, truncate_ragged_lines=True)
    sound, too_wide = _by_width(pl.concat([rows, cells], how="horizontal"), layout)
    point = "." if layout.delimiter == "," else ""
    return Grid(file, "", layout.header, sound.drop("strict"), pl.concat([torn, too_wide]).sort("line"), point)


def _by_width(rows: pl.DataFrame, layout: Layout) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Part the rows that hold more filled cells than there are columns: an unquoted delimiter has moved their cells."""
    bare = pl.col("strict").str.replace_all('"(?:[^"]|"")*"', "q")
    counted = rows.with_columns(
        width=bare.str.strip_chars_end(layout.delimiter + " ").str.count_matches(layout.delimiter, literal=True) + 1
    )
    over = pl.col("width") > max(len(layout.header), 1)
    reason = pl.format(
        "{} cells under {} column names; a cell that holds {} must stand in quotes.",
        pl.col("width"),
        pl.lit(len(layout.header)),
        pl.lit(repr(layout.delimiter)),
    )
    torn = counted.filter(over).select("line", "raw", value=pl.col("raw"), reason=reason)
    return counted.filter(~over).drop("width"), torn
