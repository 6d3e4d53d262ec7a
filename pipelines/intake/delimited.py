"""Delimited text to rows of cells, with the physical line and the exact text of each row.

In: text and what a header looks like. Out: `Grid`. The delimiter is the one of `, ; tab |` that shows the most known names.
Quotes: `"` around a cell, doubled inside it; a quoted cell may hold delimiters and line ends; a quote inside an unquoted cell is
itself (`3" hose`). A row whose quotes do not match is torn: it is handed over with its line and text, and reading goes on below it.
Elsewhere: bytes to text (`decoding`).
"""

import re

import polars as pl

from pipelines.errors import UnreadableFile
from pipelines.intake.grids import Grid, Score, header_row
from pipelines.intake.layouts import Layout
from pipelines.intake.mending import mend

DELIMITERS = (",", ";", "\t", "|")
PREVIEW = 60
WIDEST = 2000


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
    layout = _layout_of(lines, score)
    records, torn = _records(lines.filter(pl.col("line") >= layout.line), layout)
    return grid_of(file, records, torn, layout)


def layout_of(text: str, score: Score) -> Layout:
    """Find how delimited text is cut and where its header stands; the first lines of a file are enough."""
    return _layout_of(_lines(text), score)


def rows_of(text: str, layout: Layout, first_line: int) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Join the lines of a part of a file, of which the first has a number, to rows: `line`, `raw`, `strict`; and the torn ones."""
    return _records(_lines(text).with_columns(pl.col("line") + (first_line - 1)), layout)


def _layout_of(lines: pl.DataFrame, score: Score) -> Layout:
    told = re.match(r"^sep=(.)$", lines["raw"][0].strip())
    return _layout(lines[1:] if told else lines, score, (told.group(1),) if told else DELIMITERS)


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
    odd = lines.select((quoted & ~text.str.contains(layout.strict)) | text.str.contains("\x00", literal=True)).to_series()
    mended, torn, rest = mend(lines, odd, layout)
    records = pl.concat([rest, mended]).sort("line") if mended.height else rest
    return _filled(records.with_columns(pl.col("raw").str.strip_suffix("\r")), layout.delimiter), torn


def _filled(records: pl.DataFrame, delimiter: str) -> pl.DataFrame:
    """Leave out rows with nothing in them: they are not records."""
    return records.filter(pl.col("strict").str.strip_chars(delimiter + '" \t\r') != "")


def grid_of(file: str, records: pl.DataFrame, torn: pl.DataFrame, layout: Layout) -> Grid:
    """Cut the rows below the header into cells; `UnreadableFile` if the header is wider than any table."""
    width = max(len(layout.header), 1)
    if width >= WIDEST:
        raise UnreadableFile(f"{file}, line {layout.line}: {width:,} columns or more. Give a table of fewer than {WIDEST:,} columns.")
    rows = records.filter(pl.col("line") > layout.line)
    names = layout.delimiter.join(f"c{index}" for index in range(width))
    body = rows.select(pl.col("strict").str.join("\n")).item()
    cells = pl.read_csv(f"{names}\n{body}".encode(), separator=layout.delimiter, infer_schema=False, truncate_ragged_lines=True)
    sound, too_wide = _by_width(pl.concat([rows, cells], how="horizontal"), layout)
    point = "." if layout.delimiter == "," else ""
    return Grid(file, "", layout.header, sound.drop("strict"), pl.concat([torn, too_wide]).sort("line"), point)


def _by_width(rows: pl.DataFrame, layout: Layout) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Part the rows that hold more filled cells than there are columns: an unquoted delimiter has moved their cells."""
    quoted = pl.col("strict").str.contains('"', literal=True)
    bare = pl.when(quoted).then(pl.col("strict").str.replace_all('"(?:[^"]|"")*"', "q")).otherwise("strict")
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
