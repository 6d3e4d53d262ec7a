"""Positions over a window of days: how old the part in each is, how both clocks run on, what interval is in force.

In: present parts with their interval, engine hours ahead, the lattice of days, how old parts can be at most. Out: `Ahead`. Positions that
are nearly alike are gathered into one that stands for several, so that a large fleet takes no longer than a middling one.
Elsewhere: which parts are present (`present`), what becomes of them (`demand`).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipelines.advice.age_replacement import Array
from pipelines.advice.day_lattice import Lattice
from pipelines.advice.present import DOWN, RUNNING
from pipelines.advice.seasons import Seasons
from pipelines.advice.use import DAYS_A_MONTH, MONTHS_A_YEAR
from pipelines.fits.ages import CLOCKS
from pipelines.fits.two_clock_block import BOTH

Rows = NDArray[np.intp]
Words = NDArray[np.bool_]

MOST_APART = 40
"""Positions read together that are followed one by one; of more, neighbours in age, use and interval are taken together."""
OLDEST_MONTHS = 240.0
"""How old a part of unknown age can be where nobody knows how old its engine or boat is: our choice."""
_ALIKE = np.log(1.3)
_LEAST, _HARDLY_A_MONTH = 1e-9, 0.1


@dataclass(frozen=True, eq=False)
class Ahead:
    """Positions over a window, p of them; a lattice of n cells.

    Attributes
    ----------
    lattice
        The cells.
    age
        {clock: shape (p,)}: age of the part in place; of no meaning where it is not known.
    run, run_middle
        {clock: shape (p, n + 1)}, {clock: shape (p, n)}: units of the clock run by each edge, and by the middle of each cell; not a number
        where the clock does not run.
    every
        {clock: shape (p,)}: interval in force; not a number: none.
    down, unseen
        Shape (p,): failed and not renewed yet; in place, of unknown age.
    oldest
        Shape (p,), months: how old an unseen part can be.
    hours_a_month
        Shape (p,): usual use.
    times
        Shape (p,): how many positions each stands for.
    first, label
        Shape (p,): row of the parts that each stands for (the first of them), and which positions are read together.
    """

    lattice: Lattice
    age: dict[str, Array]
    run: dict[str, Array]
    run_middle: dict[str, Array]
    every: dict[str, Array]
    down: Words
    unseen: Words
    oldest: Array
    hours_a_month: Array
    times: Rows
    first: Rows
    label: Rows

    def part(self, rows: Rows) -> "Ahead":
        """Return some of the positions."""
        by_clock = (self.age, self.run, self.run_middle, self.every)
        age, run, middle, every = ({clock: held[rows] for clock, held in both.items()} for both in by_clock)
        flags = (self.down[rows], self.unseen[rows], self.oldest[rows], self.hours_a_month[rows])
        return Ahead(self.lattice, age, run, middle, every, *flags, self.times[rows], self.first[rows], self.label[rows])

    def is_known(self, clock: str) -> bool:
        """Whether a clock runs at these positions; `both`: whether either does."""
        return not any(np.isnan(self.run[one]).any() for one in (CLOCKS if clock == BOTH else (clock,)))

    @property
    def has_interval(self) -> bool:
        """Whether an interval is in force at any of them."""
        return any(not np.isnan(every).all() for every in self.every.values())

    def used_alike(self) -> list[Rows]:
        """Give the positions in groups of nearly the same use and interval, for which a new part is read once."""
        return _grouped(self._places())

    def _places(self) -> list[Array]:
        return [_rounded(one) for one in (self.run["hours"][:, -1], *self.every.values())]

    def mean_of(self, held: str) -> dict[str, Array]:
        """Mean over the positions of `run` or `run_middle`, by clock."""
        share = self.times / self.times.sum()
        return {clock: share @ each for clock, each in getattr(self, held).items()}

    def turns(self) -> Array:
        """Present age in intervals, by whichever clock is further on, else in months: what neighbours are told by."""
        turns = reduce(np.fmax, (self.age[clock] / self.every[clock] for clock in CLOCKS))
        return np.where(np.isnan(turns), self.age["months"], turns)

    def gathered(self, most: int = MOST_APART) -> "Ahead":
        """Let neighbours stand for one another where more than so many are read together; those of unknown age always."""
        turns = self.turns()
        sizes = np.ceil(np.bincount(self.label) / most).astype(np.intp)
        bunches: list[Rows] = []
        words = [self.label, self.down, self.unseen, *self._places(), _rounded(np.where(self.unseen, self.oldest, 1.0))]
        for rows in _grouped(words):
            held = rows[np.argsort(turns[rows], kind="stable")]
            size = rows.size if self.unseen[rows[0]] else sizes[self.label[rows[0]]]
            bunches += np.array_split(held, int(np.ceil(rows.size / size)))
        return self if len(bunches) == self.down.size else self._joined(bunches)

    def _joined(self, bunches: list[Rows]) -> "Ahead":
        place = np.concatenate(bunches)
        starts = np.cumsum([0, *(rows.size for rows in bunches[:-1])])
        number = np.array([rows.size for rows in bunches])

        def mean(held: Array) -> Array:
            return (np.add.reduceat(held[place], starts, axis=0).T / number).T

        by_clock = (self.age, self.run, self.run_middle, self.every)
        age, run, middle, every = ({clock: mean(held) for clock, held in both.items()} for both in by_clock)
        first = place[starts]
        plain = (self.down[first], self.unseen[first], mean(self.oldest), mean(self.hours_a_month))
        times = np.add.reduceat(self.times[place], starts)
        return Ahead(self.lattice, age, run, middle, every, *plain, times, self.first[first], self.label[first])


def _rounded(figures: Array) -> Array:
    """Logarithms in steps; what is not known is a step of its own."""
    return np.rint(np.log(np.maximum(np.nan_to_num(figures, nan=_LEAST), _LEAST)) / _ALIKE)


def _grouped(words: Sequence[Array]) -> list[Rows]:
    """Rows that share all words, group by group."""
    _, group = np.unique(np.stack(words, axis=1), axis=0, return_inverse=True)
    order = np.argsort(group, kind="stable")
    return np.split(order, np.cumsum(np.bincount(group))[:-1])


def positions_ahead(
    parts: pl.DataFrame, seasons: Seasons, lattice: Lattice, oldest: pl.Series | None = None, turns: float = 2.0, label: Rows | None = None
) -> Ahead:
    """Read the positions; one whose hours are not known has the mean of the others.

    Parameters
    ----------
    parts
        Present parts with every_h and every_months in force.
    seasons
        Engine hours ahead.
    lattice
        Days.
    oldest
        Age of the engine or boat in months, a row each; empty: not known.
    turns
        A part of unknown age is no older than that, nor than so many of its intervals.
    label
        A number each: positions that are read apart from one another differ in it; `None`: all are read together.
    """
    engines = parts["hours_engine_id"].to_list()
    run = {"hours": _filled(seasons.paths(engines, lattice.edges)), "months": _months(lattice.edges, parts.height)}
    middle = {"hours": _filled(seasons.paths(engines, lattice.middles)), "months": _months(lattice.middles, parts.height)}
    every, age = ({clock: _column(parts, f"{stem}_{ending}") for clock, ending in CLOCKS.items()} for stem in ("every", "age"))
    a_month = _filled(_column(parts, "year_h")[:, None])[:, 0] / MONTHS_A_YEAR
    down = (parts["state"] == DOWN).to_numpy()
    unseen = ~down & ((parts["state"] != RUNNING).to_numpy() | (np.isnan(age["hours"]) & np.isnan(age["months"])))
    known = {"hours": _carried(age["hours"], age["months"] * a_month), "months": _carried(age["months"], age["hours"] / a_month)}
    ages = {clock: np.where(down | unseen | np.isnan(held), 0.0, held) for clock, held in known.items()}
    most = _column(parts.select(oldest.alias("oldest")), "oldest") if oldest is not None else np.full(parts.height, np.nan)
    return Ahead(
        lattice,
        ages,
        run,
        middle,
        every,
        down,
        unseen,
        _oldest(most, every, a_month, turns),
        a_month,
        np.ones(parts.height, dtype=np.intp),
        np.arange(parts.height),
        np.zeros(parts.height, dtype=np.intp) if label is None else label,
    )


def _months(days: Array, count: int) -> Array:
    return np.tile(days / DAYS_A_MONTH, (count, 1))


def _carried(age: Array, other: Array) -> Array:
    return np.where(np.isnan(age), np.where(np.isfinite(other), other, np.nan), age)


def _oldest(most: Array, every: dict[str, Array], a_month: Array, turns: float) -> Array:
    """Months that an unseen part can be old."""
    with np.errstate(divide="ignore", invalid="ignore"):
        by_hours = np.where(a_month > 0, every["hours"] / a_month, np.nan)
    least = np.fmin(np.fmin(most, turns * np.fmin(every["months"], by_hours)), OLDEST_MONTHS)
    return np.maximum(least, _HARDLY_A_MONTH)


def _column(parts: pl.DataFrame, name: str) -> Array:
    return parts[name].cast(pl.Float64).fill_null(np.nan).to_numpy()


def _filled(hours: Array) -> Array:
    """Put the mean of the known rows into the others; all unknown stay so."""
    known = ~np.isnan(hours.sum(axis=1))
    return np.where(known[:, None], hours, hours[known].mean(axis=0)) if known.any() else hours
