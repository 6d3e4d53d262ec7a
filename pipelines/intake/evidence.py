"""What a file itself shows about the order of its dates and the mark of its numbers.

In: tables of text. Out: `Evidence`: for each column and for the whole file, the order of day and month and the decimal mark.
A mapping outranks what the file shows. A column's own evidence outranks the file's: one hand wrote the column, several the file.
Elsewhere: reading by that order (`dates`) and mark (`numbers`).
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

import polars as pl

from pipelines.intake import dates, numbers

CLEAR_MAJORITY = 10
"""One mark is taken when it is shown this many times as often as the other; the few others are then slips of the pen."""
SLIPS_OF_ORDER = 100
"""The same for the order of dates: a date read the other way round is a wrong date that nobody sees, so one in ten is no slip."""
FEWEST_FOR_YEAR_FIRST = 8
"""Distinct two-digit dates that must all begin above 12 before the first number is taken for the year."""


ORDERED = ("day first", "month first")
YEAR_FIRST = "year first"


@dataclass(frozen=True)
class Shown:
    """How often each reading is shown: by column, and over the whole file."""

    counts: dict[str, tuple[int, int]] = field(default_factory=dict)

    @property
    def whole(self) -> tuple[int, int]:
        """Counts over the whole file."""
        return sum(first for first, _ in self.counts.values()), sum(second for _, second in self.counts.values())

    def of(self, column: str) -> tuple[int, int]:
        """Return the counts of a column if it shows anything, else those of the whole file."""
        own = self.counts.get(column, (0, 0))
        return own if any(own) else self.whole


@dataclass(frozen=True)
class Evidence:
    """What a file shows.

    Attributes
    ----------
    orders
        Distinct dates that show the day first, and the month first.
    marks
        Distinct numbers that show a decimal point, and a decimal comma.
    year_first
        Columns whose two-digit dates begin with the year.
    point
        Mark that the form of the file settles when no number does; empty: none.
    """

    orders: Shown = field(default_factory=Shown)
    marks: Shown = field(default_factory=Shown)
    year_first: frozenset[str] = frozenset()
    point: str = ""

    def order(self, column: str) -> str:
        """Return the order of a column for `dates.parse`."""
        if column in self.year_first:
            return YEAR_FIRST
        return _decided(self.orders.of(column), *ORDERED, dates.MIXED, SLIPS_OF_ORDER)

    def mark(self, column: str) -> str:
        """Return the decimal mark of a column for `numbers.parse`; empty: open."""
        return _decided(self.marks.of(column), ".", ",", "", CLEAR_MAJORITY) or ("" if any(self.marks.of(column)) else self.point)

    def remarks(self, file: str, *, order_said: bool = False, mark_said: bool = False) -> list[str]:
        """Return a sentence for each thing that looking at the file settled, and that no mapping said."""
        said = [] if order_said else [f"{file}: {sentence}" for sentence in self._orders_told()]
        _, comma = self.marks.whole
        marks = [f"{file}: numbers are read with a decimal comma, as {comma:,} of its numbers show."]
        return said + (marks if comma and not mark_said else [])

    def _orders_told(self) -> list[str]:
        """Say the order of the file's dates: once if its columns agree, else column by column."""
        orders = {column: self.order(column) for column, counts in self.orders.counts.items() if any(counts)}
        if len(set(orders.values())) == 1 and (order := next(iter(orders.values()))) in ORDERED:
            shown = self.orders.whole[ORDERED.index(order)]
            return [f"dates are read with the {order}, as {shown:,} of its dates show."]
        return [self._order_told(column, order) for column, order in orders.items()]

    def _order_told(self, column: str, order: str) -> str:
        day, month = self.orders.counts[column]
        if order in ORDERED:
            return f"dates of {column} are read with the {order}, as {(day, month)[ORDERED.index(order)]:,} of them show."
        if order == YEAR_FIRST:
            return f"dates of {column} are read with the year first, as all of them show."
        return (
            f"{column} holds dates of both orders: {day:,} show the day first, {month:,} the month first. Those that can be read either "
            'way are left out; set date_order = "day first" or "month first" in a mapping.'
        )


def _decided(counts: tuple[int, int], first: str, second: str, mixed: str, majority: int) -> str:
    one, two = counts
    if one == two == 0:
        return ""
    if one >= majority * two:
        return first
    return second if two >= majority * one else mixed


def gather(
    date_columns: Iterable[tuple[str, pl.Series]], number_columns: Iterable[tuple[str, str, pl.Series, bool]], point: str = ""
) -> Evidence:
    """Look through a file's columns.

    Parameters
    ----------
    date_columns
        Column name and distinct texts; the same name may come again from another sheet.
    number_columns
        Column name, unit, distinct texts, and whether numbers of the file were numbers before they were text.
    point
        Mark that the form of the file settles.
    """
    orders: dict[str, tuple[int, int]] = {}
    year_first = set()
    for name, texts in date_columns:
        found = dates.numbered(texts)
        orders[name] = _added(orders.get(name), _order_counts(found))
        if _year_leads(found):
            year_first.add(name)
    marks: dict[str, tuple[int, int]] = {}
    for name, unit, texts, typed in number_columns:
        marks[name] = _added(marks.get(name), numbers.marks_shown(texts, unit, typed=typed))
    return Evidence(Shown(orders), Shown(marks), frozenset(year_first), point)


def _added(before: tuple[int, int] | None, more: tuple[int, int]) -> tuple[int, int]:
    return (before[0] + more[0], before[1] + more[1]) if before else more


def _order_counts(found: pl.DataFrame) -> tuple[int, int]:
    day = (pl.col("one").is_between(13, 31) & pl.col("two").is_between(1, 12)).sum()
    month = (pl.col("two").is_between(13, 31) & pl.col("one").is_between(1, 12)).sum()
    counted = found.select(day.alias("day"), month.alias("month")).row(0)
    return int(counted[0]), int(counted[1])


def _year_leads(found: pl.DataFrame) -> bool:
    """Whether two-digit dates begin with the year: all first numbers above 12, last ones that are days also below."""
    narrow = found.filter(~pl.col("wide"))
    if narrow.height < FEWEST_FOR_YEAR_FIRST or narrow.height < found.height:
        return False
    least_one, most_two, least_year = narrow.select(pl.col("one").min(), pl.col("two").max(), year=pl.col("year").min()).row(0)
    return least_one > 12 and most_two <= 12 and least_year <= 12
