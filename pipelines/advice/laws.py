"""The laws a posterior leaves open, tabulated once so that any cost can be weighed over all of them.

In: a posterior of `fits`. Out: `Tabulated`, one a clock: share failed and mean running time of every law over a grid of ages.
Nothing here depends on costs, so a question about other costs uses the same tables.
Elsewhere: the costs (`age_replacement`), the choice (`interval`).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from pipelines.advice.age_replacement import Array, age_grid, cost_rates, running_time
from pipelines.fits.posterior import Block, Posterior

NEGLIGIBLE = 1e-4
"""Laws that together weigh less than this are passed over."""

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


def tabulate(posterior: Posterior) -> tuple[Tabulated, ...]:
    """Tabulate a posterior, one table a clock in the order hours, months; a clock without laws has none."""
    clocks = {clock: [block for block in posterior.blocks if block.clock == clock] for clock in ("hours", "months")}
    total = sum(float(block.weight.sum()) for blocks in clocks.values() for block in blocks)
    return tuple(_one_clock(clock, blocks, total) for clock, blocks in clocks.items() if blocks)


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
    weight = np.concatenate([block.weight for block in posterior.blocks])
    heights = np.cumsum(weight)
    chosen = np.searchsorted(heights, (np.arange(count) + 0.5) / count * heights[-1])
    first, thinned = 0, []
    for block in posterior.blocks:
        inside = chosen[(chosen >= first) & (chosen < first + block.weight.size)] - first
        first += block.weight.size
        if inside.size:
            floor = None if block.floor is None else block.floor[inside]
            share = np.full(inside.size, 1 / count)
            thinned.append(replace(block, shape=block.shape[inside], scale=block.scale[inside], weight=share, floor=floor))
    return thinned
