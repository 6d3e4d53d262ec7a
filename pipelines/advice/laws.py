"""The laws a posterior leaves open, tabulated once so that any cost can be weighed over all of them.

In: a posterior of `fits`. Out: `Tabulated`, one a clock: share failed and mean running time of every law over a grid of ages. Laws on both
clocks at once have one a use (`TabulatedByUse`), on which their pair of ages is an age in months.
Nothing here depends on costs, so a question about other costs uses the same tables.
Elsewhere: the costs (`age_replacement`), the choice (`interval`).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from pipelines.advice.age_replacement import Array, age_grid, cost_rates, running_time
from pipelines.advice.use import MONTHS_A_YEAR, NOT_KNOWN, Use
from pipelines.fits.posterior import Block, Posterior
from pipelines.fits.two_clock_block import BOTH, TwoClocks

B = TypeVar("B", bound=Block)

NEGLIGIBLE = 1e-3
"""Laws that together weigh less than this are passed over."""

PAIRED_LAWS = 300
"""Laws on both clocks that are tabulated; each has a table for every use."""

_NONE_LEFT = 1e-6
_NONE_FAILED = 1e-6
_STEPS_BACK, _MOST_STEPS = 4.0, 24
_LEAST, _LEAST_FAILED = 1e-300, 1e-15


@dataclass(frozen=True)
class Tabulated:
    """The laws of one clock over one grid of ages.

    Attributes
    ----------
    clock
        `hours` or `months`.
    ages
        Shape (m,), evenly spaced in logarithm, from an age by which none has failed to one by which all have.
    surviving, running
        Shape (k, m): share still running, and mean time run until failure or that age.
    weight
        Shape (k,): posterior weight of each law; over all clocks they add to one.
    """

    clock: str
    ages: Array
    surviving: Array
    running: Array
    weight: Array

    def at_use(self, _year_h: float) -> "Tabulated":
        """Return the laws as they are at some hours a year: the same at any, on one clock."""
        return self

    @cached_property
    def mean_surviving(self) -> Array:
        """Weighted sum of survival over the laws, shape (m,); at age 0 it is the weight of this clock."""
        return self.weight @ self.surviving

    def costs(self, age: float, planned_cost: float, failure_cost: float) -> Array:
        """Cost per unit of this clock of renewing at `age` (infinite: only at failure) under each law, shape (k,)."""
        surviving, running = self._at(age)
        return cost_rates(surviving, running, planned_cost, failure_cost)

    def expected_costs(self, planned_cost: float, failure_cost: float) -> Array:
        """Weighted sum over the laws of the cost per unit of this clock, at every age of the grid, shape (m,)."""
        return self.weight @ cost_rates(self.surviving, self.running, planned_cost, failure_cost)

    def failures_per_unit(self, age: float) -> float:
        """Weighted sum over the laws of failures per unit of this clock when the part is renewed at `age`."""
        surviving, running = self._at(age)
        return float(self.weight @ ((1 - surviving) / running))

    def _at(self, age: float) -> tuple[Array, Array]:
        if age >= self.ages[-1]:
            return np.zeros(self.weight.size), self.running[:, -1]
        if age <= self.ages[0]:
            return np.ones(self.weight.size), np.full(self.weight.size, age)
        place = np.searchsorted(self.ages, age)
        part = np.log(age / self.ages[place - 1]) / np.log(self.ages[place] / self.ages[place - 1])
        sides = slice(place - 1, place + 1)
        hazard = _between(-np.log(np.clip(self.surviving[:, sides], _LEAST, 1 - _LEAST_FAILED)), part)
        return np.exp(-hazard), _between(self.running[:, sides], part)


def _between(sides: Array, part: float) -> Array:
    """Read between two columns, as a power of age: exact for the cumulative hazard of a Weibull law."""
    return sides[:, 0] ** (1 - part) * sides[:, 1] ** part


@dataclass(frozen=True, eq=False)
class TabulatedByUse:
    """Laws on both clocks, tabulated in months at every use of the positions.

    Attributes
    ----------
    by_year_h
        {hours a year: the laws at that use}; the laws stand in the same order in all of them.
    clock
        `both`.
    """

    by_year_h: Mapping[float, Tabulated]
    clock: str = BOTH

    @property
    def weight(self) -> Array:
        """Shape (k,): posterior weight of each law."""
        return next(iter(self.by_year_h.values())).weight

    def at_use(self, year_h: float) -> Tabulated:
        """Return the laws as they are at the use next to this one."""
        return self.by_year_h[min(self.by_year_h, key=lambda held: abs(held - year_h))]


Table = Tabulated | TabulatedByUse


def tabulate(posterior: Posterior, use: Use = NOT_KNOWN) -> tuple[Table, ...]:
    """Tabulate a posterior, one table a clock in the order hours, months, both; a clock without laws has none.

    Laws on both clocks are read at each use; where use is not known, as laws on months, at the use of the lives they were learnt from.
    """
    paired = [block for block in posterior.blocks if isinstance(block, TwoClocks)] if use.is_known else []
    single = {"hours": [block for block in posterior.blocks if block.clock == "hours"]}
    single["months"] = [block for block in posterior.blocks if block.clock == "months" or (block.clock == BOTH and not paired)]
    total = sum(float(block.weight.sum()) for block in posterior.blocks)
    tables: list[Table] = [_one_clock(clock, blocks, total) for clock, blocks in single.items() if blocks]
    if paired:
        tables.append(_both_clocks(paired, use, total))
    return tuple(tables)


def _both_clocks(blocks: Sequence[TwoClocks], use: Use, total: float) -> TabulatedByUse:
    """Tabulate so many laws of equal weight; at each use over ages of its own."""
    weight = sum(float(block.weight.sum()) for block in blocks) / total
    laws = _thinned(blocks, PAIRED_LAWS)
    even = np.full(sum(block.weight.size for block in laws), weight / sum(block.weight.size for block in laws))
    tables = {}
    for year_h in use.hours:
        here = [block.at_use(float(year_h) / MONTHS_A_YEAR) for block in laws]
        ages = age_grid(*_span(here, even, np.arange(even.size)))
        surviving = np.vstack([block.survival(ages) for block in here])
        tables[float(year_h)] = Tabulated("months", ages, surviving, running_time(surviving, ages), even)
    return TabulatedByUse(tables)


def _one_clock(clock: str, blocks: Sequence[Block], total: float) -> Tabulated:
    weight = np.concatenate([block.weight for block in blocks]) / total
    kept = _weighty(weight)
    ages = age_grid(*_span(blocks, weight, kept))
    surviving = np.vstack([block.survival(ages) for block in blocks])[kept]
    share = weight[kept] * (weight.sum() / weight[kept].sum())
    return Tabulated(clock, ages, surviving, running_time(surviving, ages), share)


def _weighty(weight: Array) -> NDArray[np.intp]:
    order = np.argsort(weight)
    passed_over = np.searchsorted(np.cumsum(weight[order]), NEGLIGIBLE * weight.sum())
    return np.sort(order[passed_over:])


def _span(blocks: Sequence[Block], weight: Array, kept: NDArray[np.intp]) -> tuple[float, float]:
    """Find an age by which hardly any part has failed, and one by which hardly any is left under any law that is kept."""
    last = float(np.concatenate([block.age_at(1 - _NONE_LEFT) for block in blocks])[kept].max())
    earlier = last / _STEPS_BACK ** np.arange(1, _MOST_STEPS)
    failed = np.vstack([1 - block.survival(earlier) for block in blocks])[kept]
    few = weight[kept] @ failed < _NONE_FAILED * weight[kept].sum()
    return float(earlier[np.argmax(few)] if few.any() else earlier[-1]), last


def representative(posterior: Posterior, count: int) -> list[Block]:
    """Thin a posterior to `count` laws of equal weight, chosen at even steps through its points in their order.

    The points of a block stand in the order of the grid, so even steps reach all of it; no sampling. A block lighter than half a step may
    have none.
    """
    return _thinned(posterior.blocks, count)


def _thinned(blocks: Sequence[B], count: int) -> list[B]:
    weight = np.concatenate([block.weight for block in blocks])
    heights = np.cumsum(weight)
    chosen = np.searchsorted(heights, (np.arange(count) + 0.5) / count * heights[-1])
    first, thinned = 0, []
    for block in blocks:
        inside = chosen[(chosen >= first) & (chosen < first + block.weight.size)] - first
        first += block.weight.size
        if inside.size:
            thinned.append(replace(block.only(inside), weight=np.full(inside.size, 1 / count)))
    return thinned
