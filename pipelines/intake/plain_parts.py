"""A part of a large file whose lines are plain: cut and typed all at once.

In: whole lines as bytes, and how the file is read. Out: `Plain`, whose rows are those that reading cell by cell gives; or nothing, where
the lines are not plain: quotes inside cells, cells over several lines, zero bytes, rows that are too wide, headers that are repeated.
Columns of few distinct texts are read by the distinct ones; numbers with a decimal point are cast, and what cannot be is read with care.
Elsewhere: parts that are not plain (`slicing`), the readings themselves (`cells`), the checks (`checks`).
"""

from dataclasses import dataclass, replace
from datetime import date

import polars as pl

from pipelines.intake.cells import Reading, cleaned, read_column
from pipelines.intake.checks import Read
from pipelines.intake.evidence import Evidence
from pipelines.intake.layouts import Layout
from pipelines.intake.tables import Table
from pipelines.intake.taking import IN_NUMBERS, IN_TIME, Taken, assembled, reading_of
from pipelines.terms.columns import Column, ColumnType

QUOTE, LINE_END = b'"', b"\n"
NEEDS_NO_CLEANING = r"^[!-&(-~][!-~]*[0-9]$|^[0-9]$"
"""Texts without spaces or an apostrophe at their ends that are no spelling of `missing`: none of those ends in a figure."""
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
    cells = plain_cells(form, data)
    if cells is None or _repeats_header(form.layout.header, cells, data):
        return None
    showing: dict[str, pl.Series] = {}
    reads = [_read(form, column, cells, showing) for column in form.table.kind.columns if column.name in form.table.ours.columns]
    own = cells.select(_cleaned_cells(cells[f"c{index}"]).alias(name) for index, name in form.table.own_names.items())
    lines = pl.int_range(first_line, first_line + cells.height, dtype=pl.Int64, eager=True).alias("line")
    raw = pl.Series([None], dtype=pl.String).new_from_index(0, cells.height).alias("raw")
    grid = replace(form.table.grid, rows=pl.DataFrame([lines, raw]), torn=form.table.grid.torn.clear())
    taken = assembled(replace(form.table, grid=grid, own=own), reads, "")
    return Plain(_with_raw(taken, first_line, data, form.layout), showing)


def plain_cells(form: PlainForm, data: bytes) -> pl.DataFrame | None:
    """Cut plain lines into cells, `c0`, `c1`, ..., the columns of few texts as categories; nothing if they are not plain."""
    if not _is_plain(data, form.layout.delimiter.encode()):
        return None
    schema = {f"c{index}": _cell_type(form, index) for index in range(len(form.layout.header))}
    try:
        cells = pl.read_csv(data, separator=form.layout.delimiter, has_header=False, schema=schema)
    except pl.exceptions.PolarsError:
        return None
    return cells if cells.height == data.count(LINE_END) + (not data.endswith(LINE_END)) else None


def _is_plain(data: bytes, delimiter: bytes) -> bool:
    """Whether each quote begins or ends a cell that holds none, no cell runs over a line end, and lines end in one way."""
    if b"\x00" in data or (b"\r" in data and data.count(b"\r") != data.count(b"\r\n")):
        return False
    between = data.split(QUOTE)
    outside, inside = between[0::2], between[1::2]
    if len(outside) == len(inside) or any(LINE_END in text for text in inside):
        return False
    ends = {text[-1:] for text in outside[1:-1]} | {outside[0][-1:] or LINE_END if inside else LINE_END}
    begins = {text[:1] for text in outside[1:-1]} | {outside[-1][:1] or LINE_END if inside else LINE_END}
    return ends <= {delimiter, LINE_END} and begins <= {delimiter, LINE_END, b"\r"}


def _cell_type(form: PlainForm, index: int) -> pl.DataType:
    target = form.table.fit.targets[index]
    if target and form.table.kind.column(target).type in IN_NUMBERS:
        return pl.String()
    known = form.table.ours[target] if target else form.table.own[form.table.own_names[index]]
    few = known.n_unique() <= FEW * max(known.len(), 1)
    return pl.Categorical(pl.Categories.random()) if few else pl.String()


def _repeats_header(header: tuple[str, ...], cells: pl.DataFrame, data: bytes) -> bool:
    index, name = next(((index, name.strip()) for index, name in enumerate(header) if name.strip()), (0, ""))
    if not name or name.encode() not in data:
        return False
    return bool((cells[f"c{index}"].cast(pl.String).str.strip_chars() == name).any())


def _read(form: PlainForm, column: Column, cells: pl.DataFrame, showing: dict[str, pl.Series]) -> Read:
    reading = reading_of(form.table, column, form.evidence, form.latest)
    if column.name not in form.table.fit.targets:
        return _constant(form, column, reading, cells.height)
    texts = cells[f"c{form.table.fit.targets.index(column.name)}"]
    if isinstance(texts.dtype, pl.Categorical):
        read = _by_distinct(texts, column, reading)
    elif column.type is ColumnType.NUMBER and reading.mark.sign == "." and not reading.words:
        return _numbers(texts, column, reading, showing)
    else:
        read = _each(texts, column, reading)
    if column.type in (*IN_TIME, *IN_NUMBERS):
        showing[column.name] = read.texts.unique()
    return replace(read, latest=reading.latest.isoformat())


def _constant(form: PlainForm, column: Column, reading: Reading, height: int) -> Read:
    text = pl.Series([form.table.rules.constants[column.name]])
    read = read_column(text, column, reading)
    return Read(column, text.new_from_index(0, height), read["value"].new_from_index(0, height), read["fault"].new_from_index(0, height))


def _by_distinct(texts: pl.Series, column: Column, reading: Reading) -> Read:
    """Read each distinct text once and put the results where the texts stand."""
    distinct = texts.unique().drop_nulls()
    places, plain = distinct.to_physical(), _cleaned(distinct.cast(pl.String))
    read = read_column(plain, column, reading)
    at = texts.to_physical()
    return Read(
        column,
        _placed(plain, places, at),
        _placed(read["value"], places, at),
        _placed(read["fault"], places, at) if read["fault"].null_count() < read.height else _nothing(texts.len()),
    )


def _placed(values: pl.Series, places: pl.Series, at: pl.Series) -> pl.Series:
    if not values.len():
        return pl.Series([None], dtype=values.dtype).new_from_index(0, at.len())
    table = pl.Series([None], dtype=values.dtype).new_from_index(0, int(places.max()) + 1)  # type: ignore[arg-type]
    return table.scatter(places, values).gather(at)


def _numbers(texts: pl.Series, column: Column, reading: Reading, showing: dict[str, pl.Series]) -> Read:
    """Cast numbers with a decimal point, and read with care what cannot be cast, is below the least, or is written with an exponent."""
    values = texts.cast(pl.Float64, strict=False)
    least = column.low if column.low is not None else -float("inf")
    exponents = texts.str.contains("e", literal=True) | texts.str.contains("E", literal=True)
    sound = (values.is_finite() & (values >= least) & ~exponents) | texts.is_null()
    rest = (~sound.fill_null(False)).arg_true()
    if rest.is_empty():
        return Read(column, texts, values, _nothing(texts.len()))
    plain = _cleaned(texts.gather(rest))
    read = read_column(plain, column, reading)
    showing[column.name] = plain.unique()
    faults = _nothing(texts.len()).scatter(rest, read["fault"])
    return Read(column, texts.scatter(rest, plain), values.scatter(rest, read["value"]), faults, reading.latest.isoformat())


def _each(texts: pl.Series, column: Column, reading: Reading) -> Read:
    plain = _cleaned(texts)
    read = read_column(plain, column, reading)
    return Read(column, plain, read["value"], read["fault"])


def _cleaned(texts: pl.Series) -> pl.Series:
    """Clean texts; the many that are plain words ending in a figure, as ids do, need only a look."""
    rest = (~texts.str.contains(NEEDS_NO_CLEANING).fill_null(True)).arg_true()
    if rest.is_empty():
        return texts
    cleaned_rest = texts.gather(rest).alias("text").to_frame().select(cleaned(pl.col("text"))).to_series()
    return texts.scatter(rest, cleaned_rest)


def _cleaned_cells(texts: pl.Series) -> pl.Series:
    if not isinstance(texts.dtype, pl.Categorical):
        return _cleaned(texts)
    distinct = texts.unique().drop_nulls()
    return _placed(_cleaned(distinct.cast(pl.String)), distinct.to_physical(), texts.to_physical())


def _nothing(height: int) -> pl.Series:
    return pl.Series([None], dtype=pl.String).new_from_index(0, height)


def _with_raw(taken: Taken, first_line: int, data: bytes, layout: Layout) -> Taken:
    """Give the rows left out their text, and drop those with nothing in them; the others stand in the lines of the part."""
    if taken.left_out.is_empty():
        return replace(taken, text=(first_line, data))
    lines = data.split(LINE_END)
    raw = [lines[line - first_line].removesuffix(b"\r").decode("utf-8") for line in taken.left_out["line"]]
    out = taken.left_out.with_columns(pl.Series("raw", raw, pl.String))
    filled = pl.col("raw").str.strip_chars(layout.delimiter + '" \t\r') != ""
    return replace(taken, left_out=out.filter(filled), text=(first_line, data))
