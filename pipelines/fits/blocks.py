"""Weighted points of one branch and family: what a posterior is made of.

In: shapes, scales and weights. Out: `Block`, with the survival of each point at any ages, and quantiles of weighted points.
Elsewhere: how points and weights come about (`leaves`, `posterior`).
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, replace
from typing import Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pipelines.fits.likelihood import PAPER_GAP, age_at_hazard, cumulative_hazard

Array = NDArray[np.float64]

WEARS_OUT, RANDOM, FAILS_YOUNG = "wears out", "random", "fails young"


@dataclass(frozen=True)
class Block:
    """Weighted points of one branch and family on one clock.

    Attributes
    ----------
    branch
        `wears out`, `random` or `fails young`.
    family
        `weibull`, `lognormal`, `floor_weibull` or `exponential`.
    clock
        `hours` or `months`; `both` on the blocks of `two_clock_block` alone.
    shape
        k of them: slope on Weibull paper; 1 in the random branch.
    scale
        k of them: age by which 63.2 % have failed.
    weight
        k of them, posterior weights; those of all blocks of a posterior add to 1.
    floor
        k of them, for `floor_weibull`: share of the cumulative hazard at `scale` that does not depend on age.
    shape_cell, scale_cell
        k of them, width of the cell of ln shape and of ln scale that a point stands for; 0: the point alone.
    """

    branch: str
    family: str
    clock: str
    shape: Array
    scale: Array
    weight: Array
    floor: Array | None = None
    shape_cell: Array | float = 0.0
    scale_cell: Array | float = 0.0

    def survival(self, ages: ArrayLike) -> Array:
        """Share still running at each of m ages, for each of the k points: k x m."""
        return np.exp(-self.cumulative_hazard(ages))

    def cumulative_hazard(self, ages: ArrayLike) -> Array:
        """Cumulative hazard at each of m ages, for each of the k points: k x m."""
        at = np.asarray(ages, dtype=float)
        log_ages = np.log(at, out=np.full(at.shape, -np.inf), where=at > 0)
        relative = log_ages[None, :] - np.log(self.scale)[:, None]
        part = None if self.floor is None else self.floor[:, None]
        return cumulative_hazard(self.family, relative, self.shape[:, None], part)

    def survival_of(self, ages: Mapping[str, ArrayLike]) -> Array:
        """Share still running at each of m ages given on every clock, read on the block's own: k x m."""
        return self.survival(ages[self.clock])

    def survival_along(self, clock: str, ages: ArrayLike) -> Array:
        """Share still running at each of m ages on a clock, which is the block's own: k x m."""
        assert clock == self.clock
        return self.survival(ages)

    def age_at(self, failed_share: float) -> Array:
        """Age by which a share of parts has failed, for each of the k points."""
        return age_at_hazard(self.family, -np.log1p(-failed_share), self.shape, self.scale, self.floor)

    def value(self, quantity: str) -> Array:
        """`shape` (slope between B10 and scale), `scale` or `b10` of each point."""
        if quantity == "scale":
            return self.scale
        if quantity == "b10":
            return self.age_at(0.1)
        return self.shape if self.floor is None else PAPER_GAP / np.log(self.scale / self.age_at(0.1))

    def cell(self, quantity: str) -> Array:
        """Width of the cell of ln `quantity` that each point stands for."""
        return np.broadcast_to(self.shape_cell if quantity == "shape" else self.scale_cell, self.weight.shape)

    def only(self, chosen: NDArray[np.bool_] | NDArray[np.intp]) -> Self:
        """Keep the chosen points, told by a mask or by their places."""
        held = {one.name: getattr(self, one.name) for one in fields(self)}
        return replace(self, **{name: value[chosen] for name, value in held.items() if isinstance(value, np.ndarray)})


def paper_value(block: Block, quantity: str) -> Array:
    """`shape`, `scale` or `b10` of each point, read off its own ages: for laws whose scale is none of their parameters."""
    b10 = block.age_at(0.1)
    if quantity == "b10":
        return b10
    scale = block.age_at(-np.expm1(-1.0))
    return scale if quantity == "scale" else PAPER_GAP / np.log(scale / b10)


def age_reaching(hazard_at: Callable[[Array], Array], hazard: float, low: Array, high: Array) -> Array:
    """Age at which a cumulative hazard is reached, by halving between two logarithms of age, k of them each."""
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        over = hazard_at(middle) > hazard
        low, high = np.where(over, low, middle), np.where(over, middle, high)
    return np.exp((low + high) / 2)


_LEAST_WIDTH = 1e-9
_HALVINGS = 60


def cell_quantiles(values: Array, weights: Array, widths: Array, probabilities: ArrayLike) -> Array:
    """Quantiles of a density given by cells of a lattice, each with its weight spread evenly over it.

    Parameters
    ----------
    values, weights, widths
        Middles of the cells, their weights, which add to 1, and how wide each is; a cell of no width is a true lump of
        probability, and a quantile can fall right on it.
    probabilities
        Between 0 and 1.
    """
    half = np.maximum(widths, _LEAST_WIDTH) / 2
    edges = np.concatenate([values - half, values + half])
    order = np.argsort(edges)
    slope = np.cumsum(np.concatenate([weights / half, -weights / half])[order]) / 2
    reached = np.concatenate([[0.0], np.cumsum(np.maximum(slope[:-1], 0.0) * np.diff(edges[order]))])
    return np.interp(np.asarray(probabilities, dtype=float) * reached[-1], reached, edges[order])


def weighted_quantiles(values: Array, weights: Array, lumps: NDArray[np.bool_], probabilities: ArrayLike) -> Array:
    """Quantiles of weighted points, straight between the middles of their weights.

    Parameters
    ----------
    values, weights
        Points of a lattice; weights add to 1. Equal values are one point.
    lumps
        Points that are true lumps of probability, not cells of a density: a quantile can fall right on them.
    probabilities
        Between 0 and 1.
    """
    distinct, place = np.unique(values, return_inverse=True)
    mass = np.bincount(place, weights, distinct.size)
    spread = np.where(np.bincount(place, lumps, distinct.size) > 0, 0.0, mass / 2)
    above = np.cumsum(mass)
    knots = np.stack([above - mass + spread, above - spread], axis=1).ravel()
    return np.interp(np.asarray(probabilities, dtype=float), knots, np.repeat(distinct, 2))
