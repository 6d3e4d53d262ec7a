"""Strata of one part that borrow strength from each other: models, bases or waters whose lives are alike, but not the same.

In: a likelihood table a stratum (`likelihood_table`), the prior of their common middle and of their spread. Out: `Tied`: the evidence for
such strata, and what to believe of each.
ln shape of a stratum is normal around a middle with a spread, ln scale likewise; both middles and both spreads are unknown and integrated
over on grids. A spread that is plugged in instead gives limits that are too narrow. No sampling: the table of a stratum is made once, and
each middle and spread weighs its cells anew by the normal probability that falls into them, so that any spread down to none is exact to the
width of a cell.
Elsewhere: branches, families and clocks (`splits`), which strata are worth telling apart (`covariates`).

References
----------
Gelman, A. et al. (2013). Bayesian Data Analysis, 3rd edition, sections 5.4 to 5.7 (normal hierarchy, half-normal prior of a spread). CRC
Press.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from pipelines.fits.lattice import DEPTH, log_sum
from pipelines.fits.likelihood_table import Table

Array = NDArray[np.float64]
Density = Callable[[Array], Array]

_SPREAD_REACH = 3.2
_MIDDLES, _SHAPE_MIDDLES = 25, 13
_SPREADS, _SHAPE_SPREADS = 8, 5
_MOST_ROUNDS, _STILL_SHRINKING = 8, 0.8
_NARROWEST = 0.5
"""Least spread, in cells of a table: a table is no finer than that."""


@dataclass(frozen=True)
class Hyper:
    """Middles and spreads of one quantity, in pairs, with the logarithm of the prior weight of each pair."""

    middle: Array
    spread: Array
    log_weight: Array


@dataclass(frozen=True)
class Common:
    """What is believed of one quantity over all strata.

    Attributes
    ----------
    log_density
        Logarithm of the prior density of the middle.
    spread
        Scale of the half-normal prior of the spread; 0: the strata do not differ in it.
    """

    log_density: Density
    spread: float

    def nodes(self, count: int) -> tuple[Array, Array]:
        """Spreads at even steps with their prior weights, which add to 1."""
        if not self.spread:
            return np.zeros(1), np.ones(1)
        steps = (np.arange(count) + 0.5) / count * _SPREAD_REACH
        weights = np.exp(-0.5 * steps**2)
        return self.spread * steps, weights / weights.sum()


@dataclass(frozen=True)
class Tied:
    """Strata tied together.

    Attributes
    ----------
    log_evidence
        Logarithm of the probability (density) of the lives of all strata.
    weights
        A table a stratum, in the shape of its likelihood table: posterior weight of each cell; each adds to 1.
    """

    log_evidence: float
    weights: tuple[Array, ...]


def tie(tables: Sequence[Table], shape: Common, scale: Common) -> Tied:
    """Integrate over middles and spreads.

    Parameters
    ----------
    tables
        Likelihood of each stratum; one of a single shape has nothing to integrate there.
    shape, scale
        What is believed of ln shape and ln scale over all strata.
    """
    over_shape, over_scale = _settled(tables, shape, scale)
    kernels = [(_shares(over_shape, table.shape_edges), _shares(over_scale, table.scale_edges, open_ended=True)) for table in tables]
    each = [by_shape @ table.likelihood @ by_scale.T for table, (by_shape, by_scale) in zip(tables, kernels, strict=True)]
    log_joint = _log_joint(each, over_shape, over_scale)
    total = float(log_sum(log_joint.ravel()))
    weight = np.exp(log_joint - total)
    held = []
    for table, (by_shape, by_scale), one in zip(tables, kernels, each, strict=True):
        others = np.divide(weight, one, out=np.zeros_like(weight), where=one > 0)
        cells = table.likelihood * (by_shape.T @ others @ by_scale)
        held.append(cells / cells.sum())
    return Tied(total + sum(table.log_greatest for table in tables), tuple(held))


def _settled(tables: Sequence[Table], shape: Common, scale: Common) -> tuple[Hyper, Hyper]:
    """Lay the pairs of middle and spread where they have their mass: for each spread as many middles, between narrowing ends."""
    shape_spreads, scale_spreads = shape.nodes(_SHAPE_SPREADS), scale.nodes(_SPREADS)
    shapes, scales = _wide([t.shape_edges for t in tables], shape_spreads[0]), _wide([t.scale_edges for t in tables], scale_spreads[0])
    for _ in range(_MOST_ROUNDS):
        over_shape = _pairs(shape, shape_spreads, shapes, _SHAPE_MIDDLES)
        over_scale = _pairs(scale, scale_spreads, scales, _MIDDLES)
        each = [
            _shares(over_shape, table.shape_edges) @ table.likelihood @ _shares(over_scale, table.scale_edges, open_ended=True).T
            for table in tables
        ]
        log_joint = _log_joint(each, over_shape, over_scale)
        before = float(np.ptp(scales, axis=1).sum())
        shapes = _narrowed(shapes, log_joint.max(axis=1).reshape(shape_spreads[0].size, -1))
        scales = _narrowed(scales, log_joint.max(axis=0).reshape(scale_spreads[0].size, -1))
        if np.ptp(scales, axis=1).sum() > _STILL_SHRINKING * before:
            break
    return _pairs(shape, shape_spreads, shapes, _SHAPE_MIDDLES), _pairs(scale, scale_spreads, scales, _MIDDLES)


def _log_joint(each: Sequence[Array], over_shape: Hyper, over_scale: Hyper) -> Array:
    with np.errstate(divide="ignore"):
        logs = sum(np.log(np.maximum(one, 0.0)) for one in each)
    return logs + over_shape.log_weight[:, None] + over_scale.log_weight[None, :]


def _wide(edges: Sequence[Array], spreads: Array) -> Array:
    """Give the ends between which the middle is looked for, a row a spread."""
    ends = np.array([min(one[0] for one in edges), max(one[-1] for one in edges)])
    return np.tile(ends, (spreads.size, 1))


def _pairs(common: Common, spreads: tuple[Array, Array], ends: Array, count: int) -> Hyper:
    """Pair each spread with middles at even steps between its ends."""
    low, width = ends[:, :1], np.ptp(ends, axis=1)[:, None]
    if not width.any():
        return Hyper(low[:1, 0], np.zeros(1), np.zeros(1))
    middle = low + width * (np.arange(count) + 0.5) / count
    log_weight = common.log_density(middle) + np.log(width / count) + np.log(spreads[1])[:, None]
    return Hyper(middle.ravel(), np.repeat(spreads[0], count), log_weight.ravel())


def _narrowed(ends: Array, best: Array) -> Array:
    """Keep of each spread's middles those that count, with one more on either side; a spread that counts for nothing stays as it is."""
    count = best.shape[1]
    step = np.ptp(ends, axis=1) / count
    peak = best.max(axis=1, keepdims=True)
    counts = (best > peak - DEPTH) | ~np.isfinite(peak)
    first, last = counts.argmax(axis=1), count - 1 - counts[:, ::-1].argmax(axis=1)
    return np.stack([ends[:, 0] + step * np.maximum(first - 1, 0), ends[:, 0] + step * np.minimum(last + 2, count)], axis=1)


def _shares(hyper: Hyper, edges: Array, *, open_ended: bool = False) -> Array:
    """Give the normal probability of each cell for each pair; open ends take in all that lies beyond."""
    if edges.size == 1:
        return np.ones((hyper.middle.size, 1))
    narrowest = _NARROWEST * (edges[1] - edges[0])
    away = (edges[None, :] - hyper.middle[:, None]) / np.maximum(hyper.spread, narrowest)[:, None]
    reached = ndtr(away)
    if open_ended:
        reached[:, 0], reached[:, -1] = 0.0, 1.0
    return np.diff(reached, axis=1)
