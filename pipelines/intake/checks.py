"""What is wrong with a row, said with its value, its place and the way out.

In: texts, typed values and faults of cells. Out: one line a fault. The checks are made from the declarations in `terms.tables`:
required, type, lowest value; and a few that look at two columns of a row.
Elsewhere: reading the texts (`cells`), counting the rows left out (`taking`).
"""

from dataclasses import dataclass

import polars as pl

from pipelines.intake import cells, dates, numbers
from pipelines.intake.recognise import ONE_OF
from pipelines.terms.columns import Column, ColumnType
from pipelines.terms.tables import RecordKind

EMPTY = "empty"
SHOWN = 60
"""Characters of a value that a message shows."""

IN_ORDER = {
    "trips": (("out_at", "back_at"),),
    "vessels": (("in_service_on", "withdrawn_on"),),
    "engines": (("commissioned_on", "withdrawn_on"),),
}
"""Pairs of days of which the second cannot be before the first."""

_QUANTITIES = {
    "engine hours": ("Hours", "1240.5", "it was not read"),
    "hours": ("Hours", "1.5", "it is not known"),
    "money": ("Money", "45.50", "it is not known"),
    "money per position": ("Money", "45.50", "it is not known"),
}
FAULTS_SCHEMA = {"row": pl.UInt32(), "column": pl.String(), "value": pl.String(), "advice": pl.String()}


@dataclass(frozen=True)
class Read:
    """One column of a table as text and as read.

    Attributes
    ----------
    column
        Its declaration.
    texts
        Cleaned texts.
    values
        Typed values, null where missing or at fault.
    faults
        Name of what is wrong, else null.
    latest
        Last day that a date here can have, as text.
    """

    column: Column
    texts: pl.Series
    values: pl.Series
    faults: pl.Series
    latest: str = ""


def find_faults(kind: RecordKind, columns: list[Read], height: int) -> pl.DataFrame:
    """Return every fault of a table.

    Returns
    -------
    pl.DataFrame
        `row` (from 0), `column`, `value` (as written; `empty` if nothing is) and `advice`, in order of row and column.
    """
    found = [_cell_faults(read) for read in columns]
    there = {read.column.name: read for read in columns}
    found += [_empty_faults(column, there.get(column.name), height) for column in kind.columns if column.required]
    if kind.name in ONE_OF:
        found.append(_one_of_faults(ONE_OF[kind.name], there, height))
    found += [_order_faults(there[first], there[last]) for first, last in IN_ORDER.get(kind.name, ()) if first in there and last in there]
    order = {name: index for index, name in enumerate(kind.column_names)}
    rank = pl.col("column").replace_strict(order, default=-1, return_dtype=pl.Int32)
    return pl.concat(found).sort("row", rank) if found else pl.DataFrame(schema=FAULTS_SCHEMA)


def shown(value: pl.Expr) -> pl.Expr:
    """Quote a value, cut to what a message shows; zero bytes and line ends made visible."""
    flat = value.str.replace_all("\x00", "\u2400", literal=True).str.replace_all(r"\s+", " ")
    short = pl.when(flat.str.len_chars() > SHOWN).then(flat.str.slice(0, SHOWN) + "...").otherwise(flat)
    return pl.format("'{}'", short)


def _cell_faults(read: Read) -> pl.DataFrame:
    if read.faults.null_count() == read.faults.len():
        return pl.DataFrame(schema=FAULTS_SCHEMA)
    frame = pl.DataFrame({"text": read.texts, "fault": read.faults}).with_row_index("row").filter(pl.col("fault").is_not_null())
    advice = {fault: advice_for(read.column, fault, read.latest) for fault in frame["fault"].unique()}
    return frame.select(
        pl.col("row").cast(pl.UInt32),
        column=pl.lit(read.column.name),
        value=pl.col("text"),
        advice=pl.col("fault").replace_strict(advice, return_dtype=pl.String) if advice else pl.lit("", pl.String),
    ).cast(FAULTS_SCHEMA)  # type: ignore[arg-type]


def _empty_faults(column: Column, read: Read | None, height: int) -> pl.DataFrame:
    if read is None:
        way_out = f"There is no column {column.name} here; say in a mapping which column it is."
        return _said(pl.Series([True] * height, dtype=pl.Boolean), column.name, way_out)
    return _said(read.texts.is_null(), column.name, f"It must be filled: {column.meaning[0].lower()}{column.meaning[1:]}")


def _one_of_faults(names: tuple[str, ...], there: dict[str, Read], height: int) -> pl.DataFrame:
    frame = pl.DataFrame({name: there[name].texts for name in names if name in there})
    empty = frame.select(pl.all_horizontal(pl.all().is_null())).to_series() if frame.width else pl.Series([True] * height, dtype=pl.Boolean)
    return _said(empty, names[0], f"One of {' and '.join(names)} must be filled, to say where the work was done.")


def _order_faults(first: Read, last: Read) -> pl.DataFrame:
    advice = f"It is before {first.column.name} of the same row; one of the two is wrong."
    frame = pl.DataFrame({"text": last.texts, "wrong": last.values < first.values}).with_row_index("row").filter("wrong")
    return frame.select(pl.col("row"), column=pl.lit(last.column.name), value="text", advice=pl.lit(advice)).cast(FAULTS_SCHEMA)  # type: ignore[arg-type]


def _said(empty: pl.Series, column: str, advice: str) -> pl.DataFrame:
    rows = empty.arg_true()
    none = pl.lit(None, pl.String)
    return rows.alias("row").to_frame().select("row", column=pl.lit(column), value=none, advice=pl.lit(advice)).cast(FAULTS_SCHEMA)  # type: ignore[arg-type]


def advice_for(column: Column, fault: str, latest: str = "") -> str:
    """Return what a person is told about one fault of one column: what it should look like, and what to do when it is not known."""
    quantity, example, why_empty = _QUANTITIES.get(column.unit, (_capital(column.unit), "12.5", "it is not known"))
    put_right = "put it right" if column.required else f"put it right, or leave it empty if {why_empty}"
    otherwise = "it must be filled" if column.required else f"leave it empty if {why_empty}"
    written = {
        dates.UNREAD: f"A date is written as 2024-07-14{' or 2024-07-14 09:30' if column.type is ColumnType.MOMENT else ''}; {otherwise}.",
        dates.AMBIGUOUS: "No date of this file shows whether the day or the month comes first;"
        ' set date_order = "day first" or "month first" in a mapping.',
        dates.BOTH_ORDERS: "Dates of this column show the day first, others the month first, and this one can be read either way;"
        ' set date_order = "day first" or "month first" in a mapping.',
        dates.NO_SUCH_DAY: f"There is no such day or time; {put_right}.",
        dates.TOO_EARLY: f"It is before {dates.EARLIEST.year}, so it is a slip or an empty date; {put_right}.",
        dates.TOO_LATE: f"It is after {latest}, the last day it can be; {put_right}.",
        numbers.UNREAD: f"{quantity} are a number such as {example}; {otherwise}.",
        numbers.OPEN: 'It can be read with a decimal or a thousands mark; set decimal = "," or decimal = "." in a mapping.',
        numbers.NOT_WHOLE: f"{quantity} are a whole number such as 3; {otherwise}.",
        cells.BELOW: f"{quantity} cannot be below {column.low or 0:g}; {otherwise}.",
        cells.NOT_YES_NO: f"Write yes or no; {otherwise}.",
    }
    return written[fault].replace("Money are", "Money is").replace("KW are", "Power in kW is")


def _capital(unit: str) -> str:
    return f"{unit[:1].upper()}{unit[1:]}" or "Values"
