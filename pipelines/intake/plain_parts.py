"""A part of a large file whose lines are plain: typed all at once.

In: whole lines as bytes, and how the file is read. Out: `Plain`, whose rows are those that reading cell by cell gives; or nothing, where
the lines are not plain, or headers are repeated.
Columns of few distinct texts are read by the distinct ones; numbers with a decimal point are cast, and what cannot be is read with care.
Elsewhere: cutting (`plain_cells`), parts that are not plain (`slicing`), the readings themselves (`cells`), the checks (`checks`).
"""

from dataclasses import dataclass, replace
from datetime import date

import polars as pl

from pipelines.intake import dates
from pipelines.intake.cells import Reading, cleaned, is_id, read_column
from pipelines.intake.checks import Read
from pipelines.intake.evidence import Evidence
from pipelines.intake.layouts import Layout
from pipelines.intake.plain_cells import Cells, lines_at, plain_cells, text_of
from pipelines.intake.tables import Table
from pipelines.intake.taking import IN_NUMBERS, IN_TIME, Taken, assembled, reading_of
from pipelines.terms.columns import Column, ColumnType

PLAIN_WORD = r"^[!-&(-~][!-~]*[0-9]$|^[0-9]$"
"""Texts without spaces or an apostrophe at their ends that are no spelling of `missing`: none of those ends in a figure."""
PLAIN_ID = r"^[!-&(-\-/-~][!-\-/-~]*[0-9]$|^[0-9]$"
"""The same without a point, so that no decimals are to be taken off."""
PLAIN_DAY = r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$"
EXPONENT = "[eE]"
FEW = 0.3
"""Share of distinct texts below which a column is read by them."""


@dataclass(frozen=True)
class PlainForm:
    """How the parts of one file are read: a table of its first lines, how it is cut, what it shows, the last day that can be."""

    table: Table
    layout: Layout
    evidence: Evidence
    latest: date


@dataclass(frozen=True)
class Plain:
    """A plain part: its rows, and of its dates and numbers the texts that could show a form: {column: texts}."""

    taken: Taken
    showing: dict[str, pl.Series]


def plain_part(form: PlainForm, first_line: int, data: bytes) -> Plain | None:
    """Read a part of a file if its lines are plain.

    Parameters
    ----------
    form
        How the file is read.
    first_line
        Number of the part's first line.
    data
        Whole lines, UTF-8.
    """
    few = tuple(_has_few(form, index) for index in range(len(form.layout.header)))
    cells = plain_cells(data, form.layout.delimiter, few)
    if cells is None or _repeats_header(form.layout.header, cells, data):
        return None
    showing: dict[str, pl.Series] = {}
    lines = pl.int_range(first_line, first_line + cells[0].height, dtype=pl.Int64, eager=True).alias("line")
    reads = [_read(form, column, cells, showing) for column in form.table.kind.columns if column.name in form.table.ours.columns]
    own = [_own(cells[index]).alias(name) for index, name in form.table.own_names.items()]
    rows = lines.to_frame().with_columns(raw=pl.lit(None, pl.String))
    grid = replace(form.table.grid, rows=rows, torn=form.table.grid.torn.clear())
    taken = assembled(replace(form.table, grid=grid, own=pl.DataFrame(own)), reads, "")
    return Plain(_with_raw(taken, first_line, data, form.layout), showing)


def _has_few(form: PlainForm, index: int) -> bool:
    """Whether the first lines have few distinct texts in a column; numbers are read one by one, and days are few."""
    target = form.table.fit.targets[index]
    if target and (kind := form.table.kind.column(target).type) in (*IN_NUMBERS, ColumnType.DATE):
        return kind is ColumnType.DATE
    known = form.table.ours[target] if target else form.table.own[form.table.own_names[index]]
    return known.n_unique() <= FEW * max(known.len(), 1)


def _repeats_header(header: tuple[str, ...], cells: list[Cells], data: bytes) -> bool:
    index, name = next(((index, name.strip()) for index, name in enumerate(header) if name.strip()), (0, ""))
    if not name or name.encode() not in data:
        return False
    return bool((cells[index].texts.str.strip_chars() == name).any())


def _read(form: PlainForm, column: Column, cells: list[Cells], showing: dict[str, pl.Series]) -> Read:
    reading = reading_of(form.table, column, form.evidence, form.latest)
    if column.name not in form.table.fit.targets:
        return _constant(form, column, reading, cells[0].height)
    of_column = cells[form.table.fit.targets.index(column.name)]
    texts, values, faults = _read_texts(of_column.texts, column, reading, showing)
    spread = of_column.spread(values)
    # What stands as it is written, and faults where there are none, are not spread a second time.
    same = spread if values is texts else of_column.spread(texts)
    no_fault = faults.dtype == pl.Null
    return Read(column, same, spread, _nothing(spread.len()) if no_fault else of_column.spread(faults), reading.latest.isoformat())


def _constant(form: PlainForm, column: Column, reading: Reading, height: int) -> Read:
    text = pl.Series([form.table.rules.constants[column.name]])
    read = read_column(text, column, reading)
    texts, values, faults = (each.new_from_index(0, height) for each in (text, read["value"], read["fault"]))
    return Read(column, texts, values, faults)


def _read_texts(
    texts: pl.Series, column: Column, reading: Reading, showing: dict[str, pl.Series]
) -> tuple[pl.Series, pl.Series, pl.Series]:
    """Return cleaned texts, values and faults; what is not of plain form is read with care, and told in `showing`."""
    values, plain = _read_plain(texts, column, reading)
    rest = (~plain.fill_null(False) & texts.is_not_null()).arg_true()
    if rest.is_empty():
        return texts, values, _nothing(texts.len())
    odd = texts.gather(rest).alias("text").to_frame().select(cleaned(pl.col("text"))).to_series()
    read = read_column(odd, column, reading)
    if column.type in (*IN_TIME, *IN_NUMBERS):
        showing[column.name] = odd.unique()
    faulty = read["fault"].null_count() < rest.len()
    faults = _nothing(texts.len()).cast(pl.String).scatter(rest, read["fault"]) if faulty else _nothing(texts.len())
    now = texts.scatter(rest, odd)
    return now, now if values is texts and read["value"].equals(odd) else values.scatter(rest, read["value"]), faults


def _read_plain(texts: pl.Series, column: Column, reading: Reading) -> tuple[pl.Series, pl.Series]:
    """Return the values of texts of plain form, and which are: words, numbers with a decimal point and no exponent, days of ISO 8601."""
    if reading.words and not column.coded_as:
        return _all_odd(texts, column)
    if column.type is ColumnType.TEXT:
        return texts, texts.str.contains(PLAIN_ID if is_id(column) else PLAIN_WORD)
    if column.type is ColumnType.NUMBER and reading.mark.sign == ".":
        values = texts.cast(pl.Float64, strict=False)
        least = column.low if column.low is not None else -float("inf")
        return values, values.is_finite() & (values >= least) & ~texts.str.contains(EXPONENT)
    if column.type in IN_TIME:
        days = texts.str.to_date("%Y-%m-%d", strict=False)
        return days.cast(column.polars_type), days.is_between(dates.EARLIEST, reading.latest) & texts.str.contains(PLAIN_DAY)
    return _all_odd(texts, column)


def _all_odd(texts: pl.Series, column: Column) -> tuple[pl.Series, pl.Series]:
    nothing = _nothing(texts.len()).cast(column.polars_type)
    return nothing, nothing.is_not_null()


def _nothing(height: int) -> pl.Series:
    """Return so many nulls, which take no memory."""
    return pl.repeat(None, height, dtype=pl.Null, eager=True)


def _own(cells: Cells) -> pl.Series:
    return cells.spread(cells.texts.alias("text").to_frame().select(cleaned(pl.col("text"))).to_series())


def _with_raw(taken: Taken, first_line: int, data: bytes, layout: Layout) -> Taken:
    """Give the rows left out their text, and drop those with nothing in them; the others stand in the lines of the part."""
    if taken.left_out.is_empty():
        return replace(taken, text=(first_line, data))
    raw = [text_of(data, line) for line in lines_at(data, (taken.left_out["line"] - first_line).to_list())]
    out = taken.left_out.with_columns(pl.Series("raw", raw, pl.String))
    filled = pl.col("raw").str.strip_chars(layout.delimiter + '" \t\r') != ""
    return replace(taken, left_out=out.filter(filled), text=(first_line, data))
