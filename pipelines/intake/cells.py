"""Text of cells to typed values, a whole column at a time.

In: a column of text, what it is declared as, and what the file shows. Out: the typed column and a column of faults.
Each distinct text is read once and joined back, because dates, words and costs repeat many times over.
Elsewhere: the readings themselves (`dates`, `numbers`), what is required of a row (`checks`).
"""

from dataclasses import dataclass, field
from datetime import date, datetime, time

import polars as pl

from pipelines.intake import dates, numbers
from pipelines.intake.names import fold
from pipelines.terms.codes import MISSING, NO, YES
from pipelines.terms.columns import Column, ColumnType
from pipelines.terms.spreadsheets import QUOTED

BELOW = "below"
NOT_YES_NO = "not yes or no"
LONGEST_MISSING = max(map(len, MISSING))
WHOLE_LIMIT = 2.0**53
"""Whole numbers above this are not exact as read."""


@dataclass(frozen=True)
class Reading:
    """How the texts of one column are read.

    Attributes
    ----------
    order
        Order of day and month, as for `dates.parse`.
    mark
        Decimal mark.
    latest
        Last day that can be; a later one is a slip.
    words
        {folded word of the fleet: our word}, put in place before reading.
    """

    order: str = ""
    mark: numbers.Mark = field(default_factory=numbers.Mark)
    latest: date = date(2100, 1, 1)
    words: tuple[tuple[str, str], ...] = ()


def cleaned(text: pl.Expr) -> pl.Expr:
    """Trim spaces of every width, make each spelling of `missing` null, and take off the apostrophe that keeps a formula from running."""
    trimmed = text.str.strip_chars().str.strip_chars("\u200b\ufeff\u00a0 \t\r\n")
    short = trimmed.str.len_chars() <= LONGEST_MISSING
    missing = short & trimmed.str.to_lowercase().is_in(list(MISSING))
    return pl.when(missing).then(None).otherwise(trimmed.str.replace(QUOTED.pattern, "${1}"))


def read_column(texts: pl.Series, column: Column, reading: Reading) -> pl.DataFrame:
    """Read a cleaned column.

    Parameters
    ----------
    texts
        Cleaned texts; null is missing.
    column
        What the column is declared as.
    reading
        How it is read.

    Returns
    -------
    pl.DataFrame
        `value` of the column's type, and `fault`: null, or the name of what is wrong; one row a text, in order.
    """
    if reading.words and not column.coded_as:
        texts = _replaced(texts, dict(reading.words))
    if column.type is ColumnType.TEXT:
        return pl.DataFrame({"value": _ids(texts) if is_id(column) else texts}).with_columns(fault=pl.lit(None, pl.String))
    distinct = texts.drop_nulls().unique().alias("text")
    read = _read_distinct(distinct, column, reading)
    joined = texts.alias("text").to_frame().join(read, on="text", how="left", maintain_order="left")
    return joined.select("value", "fault")


def _read_distinct(distinct: pl.Series, column: Column, reading: Reading) -> pl.DataFrame:
    if column.type is ColumnType.YES_NO:
        return _yes_no(distinct)
    if column.type in (ColumnType.DATE, ColumnType.MOMENT):
        return _in_time(dates.parse(distinct, reading.order), column, reading.latest)
    read = numbers.parse(distinct, column.unit, reading.mark)
    return _in_range(_whole(read) if column.type is ColumnType.WHOLE else read, column)


def _replaced(texts: pl.Series, words: dict[str, str]) -> pl.Series:
    distinct = [text for text in texts.unique() if text is not None and fold(text) in words]
    return texts.replace({text: words[fold(text)] for text in distinct}) if distinct else texts


def is_id(column: Column) -> bool:
    """Whether a column names something: the decimals of a number in it mean nothing."""
    return column.name.endswith("_id") or column.name == "line_no"


def _ids(texts: pl.Series) -> pl.Series:
    """Take the decimals off numbers that name something: `14.0` from a spreadsheet is `14`."""
    return texts.str.replace(r"^(\d+)\.0+$", "${1}") if texts.str.contains(".0", literal=True).any() else texts


def _yes_no(distinct: pl.Series) -> pl.DataFrame:
    word = pl.col("text").str.to_lowercase().str.replace(r"^(-?\d+)\.0+$", "${1}").str.strip_chars(".")
    value = pl.when(word.is_in(list(YES))).then(True).when(word.is_in(list(NO))).then(False)
    fault = pl.when(value.is_null()).then(pl.lit(NOT_YES_NO))
    return distinct.to_frame().select("text", value=value, fault=fault)


def _in_time(read: pl.DataFrame, column: Column, latest: date) -> pl.DataFrame:
    moment = pl.col("value")
    early, late = moment < dates.EARLIEST, moment > datetime.combine(latest, time.max)
    fault = pl.coalesce("fault", pl.when(early).then(pl.lit(dates.TOO_EARLY)).when(late).then(pl.lit(dates.TOO_LATE)))
    return read.select("text", value=pl.when(fault.is_null()).then(moment).cast(column.polars_type), fault=fault)


def _whole(read: pl.DataFrame) -> pl.DataFrame:
    value = pl.col("value")
    fault = pl.coalesce("fault", pl.when((value != value.floor()) | (value.abs() > WHOLE_LIMIT)).then(pl.lit(numbers.NOT_WHOLE)))
    return read.select("text", value=pl.when(fault.is_null()).then(value).cast(pl.Int64), fault=fault)


def _in_range(read: pl.DataFrame, column: Column) -> pl.DataFrame:
    if column.low is None:
        return read
    fault = pl.coalesce("fault", pl.when(pl.col("value") < column.low).then(pl.lit(BELOW)))
    return read.select("text", value=pl.when(fault.is_null()).then(pl.col("value")), fault=fault)
