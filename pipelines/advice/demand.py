"""How many renewals positions of a part will need by each of several days: planned ones, failures, and damage from outside.

In: present parts of one component with their interval in force, estimates, engine hours ahead, lives, how parts end. Out: `Counted`, which
tells for any of the positions what they want together: `Wanted`, distributions of events, not yet of pieces. Three doubts widen them: the
laws of the part (its posterior), how much the boats will be out (a factor that all parts share), and the age of parts whose fitting nobody
wrote down, over which the count is spread. Laws without memory and without a plan give Poisson counts exactly.
Elsewhere: what becomes of each position (`ends_ahead`), sums (`sums`), positions (`positions_ahead`), pieces and orders (`shelf`).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipelines.advice.age_replacement import Array
from pipelines.advice.case import Estimate
from pipelines.advice.chances import matched
from pipelines.advice.counts import NOTHING, Demand, added, gamma_poisson
from pipelines.advice.day_lattice import lattice
from pipelines.advice.ends_ahead import PLAIN, EventCounts, Levelled, Manner, event_counts
from pipelines.advice.forecast import LEVELS, levelled, over_levels
from pipelines.advice.laws import representative
from pipelines.advice.positions_ahead import Ahead, Rows, positions_ahead
from pipelines.advice.seasons import Seasons
from pipelines.advice.sums import summed
from pipelines.fits.ages import CLOCKS
from pipelines.fits.posterior import RANDOM, Block

LAWS = 100
NEVER_FAILS = Block(RANDOM, "exponential", "months", np.ones(1), np.full(1, 1e15), np.ones(1))
"""Stands in where no law is known: planned renewals only."""
_HARDLY_ANY = 0.02


@dataclass(frozen=True, eq=False)
class Wanted:
    """Events by each of several days, counted from today.

    Attributes
    ----------
    days
        Shape (m,), rising.
    demands
        One a day.
    failing, planned, damaged
        Mean events by the last day: parts that fail or are caught failing, renewals by plan, damage from outside.
    """

    days: Array
    demands: tuple[Demand, ...]
    failing: float = 0.0
    planned: float = 0.0
    damaged: float = 0.0

    def by(self, day: float) -> Demand:
        """Events by a day that is read; none by day 0."""
        if day <= 0 or not self.demands:
            return NOTHING
        return self.demands[int(np.argmin(np.abs(self.days - day)))]

    @staticmethod
    def together(parts: "Sequence[Wanted]") -> "Wanted":
        """Add what several components ask for by the same days."""
        if not parts:
            return NOTHING_WANTED
        if len(parts) == 1:
            return parts[0]
        demands = tuple(added(list(each)) for each in zip(*(one.demands for one in parts), strict=True))
        return Wanted(parts[0].days, demands, *(sum(getattr(one, n) for one in parts) for n in ("failing", "planned", "damaged")))


NOTHING_WANTED = Wanted(np.empty(0), ())


@dataclass(frozen=True, eq=False)
class _OfLaws:
    """Positions that one estimate is for, what becomes of them, and the level of each of its laws."""

    ahead: Ahead
    counts: EventCounts
    level: Rows

    def summed(self, chosen: NDArray[np.bool_], read: int) -> list[Demand]:
        """Give the sum over some of them by one day, at each level; nothing where there are none."""
        here = np.flatnonzero(chosen[self.ahead.first])
        if not here.size:
            return [NOTHING] * LEVELS.size
        return _by_level(summed(self.counts.table[read][:, here], self.ahead.times[here]), self.level)

    def mean(self, chosen: NDArray[np.bool_], sort: str) -> float:
        """Mean events of one sort by the last day."""
        return float((self.ahead.times * getattr(self.counts, sort)) @ chosen[self.ahead.first])


@dataclass(frozen=True, eq=False)
class Counted:
    """What becomes of all positions of one component; reads any of them together.

    Attributes
    ----------
    ahead
        The positions, one by one, in the order of the parts.
    groups
        The same by estimate, alike ones gathered.
    damages, watched, clock
        Damages from outside that were seen, and units of the clock over which.
    """

    ahead: Ahead
    groups: tuple[_OfLaws, ...]
    damages: int
    watched: float
    clock: str

    def wanted(self, chosen: NDArray[np.bool_], days: Sequence[float]) -> Wanted:
        """Say what some positions ask for together by some of the days read.

        Parameters
        ----------
        chosen
            A row each of the parts: whether it is one of them. Positions that were gathered belong together by their label.
        days
            Days from today, each one that is read.
        """
        read = [int(np.argmin(np.abs(self.ahead.lattice.days - day))) for day in sorted(set(days)) if day > 0]
        if not chosen.any() or not read:
            return NOTHING_WANTED
        demands = tuple(self._by(chosen, one) for one in read)
        failing, planned = (sum(group.mean(chosen, sort) for group in self.groups) for sort in ("failing", "planned"))
        return Wanted(self.ahead.lattice.days[read], demands, failing, planned, self._damage(chosen, -1).mean)

    def _by(self, chosen: NDArray[np.bool_], read: int) -> Demand:
        """Add groups at each level of what they share, mix the levels, and add what does not depend on them."""
        groups = [group.summed(chosen, read) for group in self.groups]
        levels = [added([group[level] for group in groups]) for level in range(LEVELS.size)]
        return added([over_levels(levels), self._damage(chosen, read)])

    def _damage(self, chosen: NDArray[np.bool_], read: int) -> Demand:
        if not self.damages or self.watched <= 0:
            return NOTHING
        units = self.ahead.run[self.clock][chosen, self.ahead.lattice.reads[read]].sum()
        return gamma_poisson(self.damages, self.watched, float(units)) if units > 0 else NOTHING


def counted(
    parts: pl.DataFrame,
    estimates: Sequence[Estimate],
    seasons: Seasons,
    lives: pl.DataFrame,
    days: Sequence[float],
    manner: Manner = PLAIN,
    oldest: pl.Series | None = None,
    label: Rows | None = None,
) -> Counted:
    """Count what becomes of every position of one component, over the posterior.

    Parameters
    ----------
    parts
        Present parts of one component (`present.present_parts`), at least one, with every_h and every_months in force.
    estimates
        Laws; positions without any have planned renewals only.
    seasons
        Engine hours ahead.
    lives
        Lives of the component, for the rate of damage from outside: by engine hours where most lives have them, because boats strike things
        when they run; else by months.
    days
        Days from today to read, one above 0 at least.
    manner
        How parts end beside their laws.
    oldest
        Age of the engine or boat in months, a row each.
    label
        A number each: positions that are read apart from one another differ in it; `None`: all are read together.
    """
    ahead = positions_ahead(parts, seasons, lattice(days), oldest, manner.habit.age_leaving(_HARDLY_ANY), label)
    groups = tuple(_of_laws(estimate, ahead.part(rows).gathered(), manner) for estimate, rows in _claimed(parts, estimates))
    clock = "hours" if 2 * lives["low_h"].count() > lives.height and ahead.is_known("hours") else "months"
    watched = lives.select((pl.col(f"low_{CLOCKS[clock]}") - pl.col(f"entry_{CLOCKS[clock]}")).fill_nan(None).sum()).item()
    damages = lives.filter(pl.col("ending") == "outside damage").height
    return Counted(ahead, groups, damages, float(watched or 0.0), clock)


def event_demand(
    parts: pl.DataFrame,
    estimates: Sequence[Estimate],
    seasons: Seasons,
    lives: pl.DataFrame,
    days: Sequence[float],
    manner: Manner = PLAIN,
    oldest: pl.Series | None = None,
) -> Wanted:
    """Events that all these positions ask for by each of these days; see `counted`."""
    if parts.is_empty() or not any(day > 0 for day in days):
        return NOTHING_WANTED
    return counted(parts, estimates, seasons, lives, days, manner, oldest).wanted(np.ones(parts.height, dtype=bool), days)


def _claimed(parts: pl.DataFrame, estimates: Sequence[Estimate]) -> list[tuple[Estimate | None, Rows]]:
    """Give each estimate with its positions; positions that none claims come last."""
    claimed: list[tuple[Estimate | None, Rows]] = list(matched(parts, [one for one in estimates if one.posterior is not None]))
    unclaimed = np.setdiff1d(np.arange(parts.height), np.concatenate([np.empty(0, dtype=np.intp), *(rows for _, rows in claimed)]))
    return [*claimed, (None, unclaimed)] if unclaimed.size else claimed


def _of_laws(estimate: Estimate | None, ahead: Ahead, manner: Manner) -> _OfLaws:
    laws = _laws(estimate, ahead)
    return _OfLaws(ahead, event_counts(laws, ahead, manner), np.concatenate([np.full(block.weight.size, at) for block, at in laws]))


def _laws(estimate: Estimate | None, ahead: Ahead) -> Levelled:
    """Return the laws at their levels; those on a clock that does not run here are passed over."""
    blocks = representative(estimate.posterior, LAWS) if estimate is not None and estimate.posterior is not None else []
    usable = [block for block in blocks if ahead.is_known(block.clock)]
    return levelled(usable) if usable else [(NEVER_FAILS, 2)]


def _by_level(rows: Array, level: Rows) -> list[Demand]:
    """Mix the laws of each level, all as likely; a level without a law has those of all."""
    return [Demand(rows[level == at].mean(axis=0) if (level == at).any() else rows.mean(axis=0)) for at in range(LEVELS.size)]
