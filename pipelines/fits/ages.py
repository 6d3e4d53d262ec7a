"""Lives on one clock, compressed: equal lives become one row with a count.

In: a frame of `derived.lives`, or a table of lives from outside. Out: `Ages`, the only thing a curve or a fit reads.
A life is (entry, low, high]: under observation since age `entry`, surely running at age `low`, failed by age `high`.
low = high: failed at that age. high infinite: not failed by `low` (suspended). low 0, high finite: failed before `high`.
Elsewhere: how records become lives (`lives`), curves (`kaplan_meier`, `inspection_curve`), distributions (`weibull`).
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import polars as pl
from numpy.typing import ArrayLike, NDArray

from pipelines.errors import NoFigure
from pipelines.fits.equal_rows import NAMES, Columns, counted_once

CLOCKS = {"hours": "h", "months": "months"}
"""Clock to the ending of its columns in `derived.lives` (`low_h`, `low_months`)."""

_SHOWN_FAULTS = 3
_GREATEST_AGE = 1e12
_NOT_NUMBERS = {"", "na", "null", "none"}


@dataclass(frozen=True)
class Ages:
    """Lives on one clock, each row a distinct (entry, low, high) with the number of lives that share it.

    Attributes
    ----------
    entry
        Age when the life came under observation, 0 or more; 0: seen from new. All four are arrays of one length.
    low
        Age it surely reached, at least `entry`.
    high
        Age by which it had failed, at least `low`; infinite: it had not failed.
    count
        Lives of that row, whole and above 0, as floating point for the sums they go into.
    zero_length
        Lives left out because they ended at the very age at which they came under observation.
    unknown_age
        Lives left out because their age on this clock is not known.
    """

    entry: NDArray[np.float64]
    low: NDArray[np.float64]
    high: NDArray[np.float64]
    count: NDArray[np.float64]
    zero_length: int = 0
    unknown_age: int = 0

    @cached_property
    def is_failure(self) -> NDArray[np.bool_]:
        """Rows that failed at a known age."""
        return self.low == self.high

    @cached_property
    def is_suspended(self) -> NDArray[np.bool_]:
        """Rows that had not failed."""
        return np.isinf(self.high)

    @cached_property
    def is_interval(self) -> NDArray[np.bool_]:
        """Rows that failed somewhere in (low, high]."""
        return ~(self.is_failure | self.is_suspended)

    @property
    def lives(self) -> int:
        """How many lives there are: failures + interval_censored + suspended."""
        return round(self.count.sum())

    @property
    def failures(self) -> int:
        """How many failed at a known age."""
        return round(self.count[self.is_failure].sum())

    @property
    def interval_censored(self) -> int:
        """How many failed somewhere between two ages."""
        return round(self.count[self.is_interval].sum())

    @property
    def suspended(self) -> int:
        """How many had not failed."""
        return round(self.count[self.is_suspended].sum())

    @property
    def delayed(self) -> int:
        """How many came under observation when already running; cuts across the other counts."""
        return round(self.count[self.entry > 0].sum())

    @cached_property
    def finish(self) -> NDArray[np.float64]:
        """Age at which each row was last watched: when it failed at the latest, or when it was suspended."""
        return np.where(self.is_suspended, self.low, self.high)

    def where(self, rows: NDArray[np.bool_]) -> "Ages":
        """Return the lives of these rows only."""
        return replace(self, entry=self.entry[rows], low=self.low[rows], high=self.high[rows], count=self.count[rows])

    def seen_after(self, age: float) -> "Ages":
        """Return the lives that surely ran past an age, watched from that age on."""
        later = self.where((self.low >= age) & (self.finish > age))
        return replace(later, entry=np.maximum(later.entry, age))

    def at_middles(self) -> "Ages":
        """Return the lives with each failure that is only known to lie between two ages put in the middle of them."""
        middle = np.where(self.is_interval, (self.low + np.where(self.is_suspended, self.low, self.high)) / 2, self.low)
        high = np.where(self.is_suspended, np.inf, middle)
        return compress(self.entry, middle, high, self.count, self.zero_length, self.unknown_age)

    def as_suspended(self) -> "Ages":
        """Return the same lives with every failure turned into a suspension at the age it surely reached."""
        return compress(self.entry, self.low, np.full(self.low.size, np.inf), self.count, self.zero_length, self.unknown_age)


def compress(entry: ArrayLike, low: ArrayLike, high: ArrayLike, count: ArrayLike = 1.0, zero_length: int = 0, unknown_age: int = 0) -> Ages:
    """Make `Ages` of arrays: check them, drop lives of zero length, count equal ones once.

    Parameters
    ----------
    entry, low, high, count
        As in `Ages`; single numbers stand for all rows. An interval that begins before `entry` begins at `entry`:
        the life was running then.
    zero_length, unknown_age
        Lives already left out, carried along.

    Returns
    -------
    Ages
        Rows sorted by entry, low, high.

    Raises
    ------
    NoFigure
        If a life ended before it came under observation, failed before the age it had reached, or has an age below 0,
        not a number, without end or past all sense (above 1e12). The message shows the first of them by row, counted from 1.
    """
    columns = [np.atleast_1d(np.asarray(column, dtype=float)) for column in (entry, low, high, count)]
    rows = np.broadcast_arrays(*columns)
    return _from_arrays((rows[0], rows[1], rows[2], rows[3]), zero_length, unknown_age)


def ages_from_lives(frame: pl.DataFrame, clock: str) -> Ages:
    """Read the ages of `derived.lives` on one clock.

    Parameters
    ----------
    frame
        Rows of `derived.lives`: columns entry_, low_ and high_ of the clock; `life_id` names a life in messages.
        A life whose `low` or `entry` is empty has no known age on this clock: left out and counted in `unknown_age`.
    clock
        `hours` or `months`.

    Raises
    ------
    NoFigure
        As `compress`; the life is named.
    """
    ending = CLOCKS[clock]
    named = pl.col("life_id") if "life_id" in frame.columns else pl.lit("life")
    ages = frame.select(
        named.alias("life"),
        *(pl.col(f"{part}_{ending}").cast(pl.Float64).alias(part) for part in ("entry", "low", "high")),
        pl.lit(1.0).alias("count"),
    )
    known = ages.filter(pl.col("low").is_not_null() & pl.col("entry").is_not_null())
    return _from_frame(known.with_columns(pl.col("high").fill_null(np.inf)), 0, ages.height - known.height)


def ages_from_table(frame: pl.DataFrame) -> Ages:
    """Read a table of lives from outside.

    Parameters
    ----------
    frame
        Columns `low` (needed), `high` (empty or absent: had not failed; low 0: failed before high), `entry` (empty or
        absent: 0), `count` (empty or absent: 1). Text is read as numbers.

    Raises
    ------
    NoFigure
        If `low` is missing or empty, a cell is not a number, a count is not whole, or as `compress`.
    """
    return _from_frame(_read_table(frame), 0, 0)


def ages_by_group(frame: pl.DataFrame) -> dict[str | None, Ages]:
    """Read a table of lives from outside, one `Ages` a word of its column `group`.

    Returns
    -------
    dict
        Group to ages, groups in alphabetical order; the single key `None` where the table has no groups.

    Raises
    ------
    NoFigure
        As `ages_from_table`.
    """
    rows = _read_table(frame)
    if "group" not in frame.columns:
        return {None: _from_frame(rows, 0, 0)}
    rows = rows.with_columns(frame["group"].cast(pl.String).fill_null("").str.strip_chars())
    return {group: _from_frame(rows.filter(pl.col("group") == group), 0, 0) for group in rows["group"].unique().sort().to_list()}


def together(parts: Iterable[Ages]) -> Ages:
    """Put several `Ages` of one clock into one."""
    held = list(parts)
    entry, low, high, count = (np.concatenate([getattr(ages, part) for ages in held] or [np.empty(0)]) for part in NAMES)
    return compress(entry, low, high, count, sum(ages.zero_length for ages in held), sum(ages.unknown_age for ages in held))


def _read_table(frame: pl.DataFrame) -> pl.DataFrame:
    if "low" not in frame.columns:
        raise NoFigure(f"The table has no column `low` (age surely reached); its columns are {', '.join(frame.columns) or 'none'}.")
    given = frame.select(
        pl.format("row {}", pl.int_range(1, pl.len() + 1)).alias("life"),
        _numbers(frame, "entry", 0.0),
        _numbers(frame, "low", None),
        _numbers(frame, "high", np.inf),
        _numbers(frame, "count", 1.0),
    )
    _refuse(
        given,
        pl.col("low").is_null(),
        "low",
        "Give the age that the life surely reached; 0 if it is only known to have failed before `high`.",
    )
    _refuse(given, pl.col("count") % 1 != 0, "count", "A count is a whole number.")
    return given


def _numbers(frame: pl.DataFrame, name: str, absent: float | None) -> pl.Expr:
    if name not in frame.columns:
        return pl.lit(absent, pl.Float64).alias(name)
    cells = frame[name]
    if cells.dtype == pl.String:
        words = cells.str.strip_chars()
        cells = words.set(words.str.to_lowercase().is_in(list(_NOT_NUMBERS)), None)
    numbers = cells.cast(pl.Float64, strict=False)
    wrong = (numbers.is_null() & cells.is_not_null()).arg_true()
    if wrong.len():
        raise NoFigure(f"row {wrong[0] + 1}, {name}: {cells[wrong[0]]!r}. Give a number such as 412.5; leave it empty if it is not known.")
    return pl.lit(numbers).fill_null(absent).alias(name) if absent is not None else pl.lit(numbers).alias(name)


def _from_frame(frame: pl.DataFrame, zero_length: int, unknown_age: int) -> Ages:
    entry, low, high, count = (frame[part].to_numpy() for part in NAMES)
    return _from_arrays((entry, low, high, count), zero_length, unknown_age, frame["life"])


def _from_arrays(columns: Columns, zero_length: int, unknown_age: int, called: pl.Series | None = None) -> Ages:
    """Check rows and count equal ones once; rows without names are told by their number."""
    entry, low, high, count = columns
    finish = np.where(np.isinf(high), low, high)
    # Never true where a figure is not a number.
    least = min(float(part.min(initial=0.0)) for part in (entry, low, count))
    in_reach = least >= 0 and finish.max(initial=0.0) <= _GREATEST_AGE and np.isfinite(entry.sum() + count.sum())
    sound = in_reach and (high >= low).all() and (finish >= entry).all()
    if not sound:
        _refuse_faults(_named(columns, called))
    kept = (finish > entry) & (count > 0)
    dropped = float(count[finish == entry].sum())
    if not kept.all():
        entry, low, high, count = (part[kept] for part in columns)
    return Ages(*counted_once((entry, np.maximum(low, entry), high, count)), zero_length + round(dropped), unknown_age)


def _named(columns: Columns, called: pl.Series | None) -> pl.DataFrame:
    frame = pl.DataFrame(dict(zip(NAMES, columns, strict=True))).with_row_index("row", offset=1)
    return frame.with_columns(pl.format("life {}", "row").alias("life") if called is None else called.alias("life"))


def _refuse_faults(frame: pl.DataFrame) -> None:
    for part in ("entry", "low", "count"):
        _refuse(frame, ~pl.col(part).is_finite() | (pl.col(part) < 0), part, "It is a number from 0 up.")
    for part in ("low", "high"):
        _refuse(frame, pl.col(part).is_finite() & (pl.col(part) > _GREATEST_AGE), part, "No part lasts so long; give hours or months.")
    _refuse(frame, pl.col("high").is_nan(), "high", "Leave it empty if the life had not failed.")
    _refuse(frame, pl.col("high") < pl.col("low"), "high", "It failed before the age it had reached (`low`).")
    finish = pl.when(pl.col("high").is_infinite()).then("low").otherwise("high")
    _refuse(frame, finish < pl.col("entry"), "entry", "It came under observation after it had ended.")


def _refuse(frame: pl.DataFrame, fault: pl.Expr, part: str, way_out: str) -> None:
    wrong = frame.filter(fault)
    if wrong.is_empty():
        return
    shown = "; ".join(f"{life}, {part}: {value}" for life, value in wrong.select("life", part).head(_SHOWN_FAULTS).iter_rows())
    more = f" and {wrong.height - _SHOWN_FAULTS} more" if wrong.height > _SHOWN_FAULTS else ""
    raise NoFigure(f"{shown}{more}. {way_out}")
