"""The likelihood of one stratum's lives as a small table over ln shape and ln scale, laid where it has its mass.

In: the log-likelihood over a grid (`values_of`), where shape and scale may lie (`Reference`). Out: `Table`.
The table is cut from a wide rectangle by looking at it coarsely and keeping what counts, so that it is as fine for a thousand failures as
for none. Its outer cells on the scale reach on for ever: lives without a failure allow any scale above them.
Elsewhere: how strata are tied together (`strata`), the likelihood itself (`likelihood`).
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pipelines.fits.lattice import DEPTH
from pipelines.fits.likelihood import Evidence, log_likelihood

Array = NDArray[np.float64]
Values = Callable[[Array, Array], Array]
"""Log-likelihood at r values of ln shape and m of ln scale: r x m."""

SHAPES, SCALES = 24, 48
_COARSE_SHAPES, _COARSE_SCALES = 11, 17
_REACH = 4.5
_MOST_ROUNDS, _STILL_SHRINKING = 6, 0.7


@dataclass(frozen=True)
class Reference:
    """Where ln shape and ln scale of a stratum may lie before its lives are read: middle and standard deviation of each.

    A `shape_sd` of 0 is a shape that is known, such as that of a part that fails at random.
    """

    shape: float
    shape_sd: float
    scale: float
    scale_sd: float

    def log_density(self, log_shape: Array, log_scale: Array) -> Array:
        """Logarithm of the density at a grid, but for a constant; r shapes by m scales."""
        away = 0.0 if not self.shape_sd else ((log_shape - self.shape) / self.shape_sd)[:, None] ** 2
        return -0.5 * (away + ((log_scale - self.scale) / self.scale_sd)[None, :] ** 2)


@dataclass(frozen=True)
class Table:
    """Likelihood of one stratum over cells of ln shape and ln scale.

    Attributes
    ----------
    shape_edges, scale_edges
        Edges of the cells, r + 1 and m + 1 of them, evenly spaced; `shape_edges` of a known shape has its value alone.
    likelihood
        r x m, relative to the greatest.
    log_greatest
        Logarithm of the greatest likelihood.
    """

    shape_edges: Array
    scale_edges: Array
    likelihood: Array
    log_greatest: float

    @property
    def log_shape(self) -> Array:
        """Middles of the cells of ln shape."""
        return middles(self.shape_edges)

    @property
    def log_scale(self) -> Array:
        """Middles of the cells of ln scale."""
        return middles(self.scale_edges)


def values_of(evidence: Evidence, family: str, share: float | None = None) -> Values:
    """Log-likelihood of lives over a grid, as `likelihood_table` takes it.

    Parameters
    ----------
    evidence
        Of the lives, in full or a sketch; none at all is allowed.
    family
        As `likelihood.log_likelihood` takes it.
    share
        Share of constant hazard, for `floor_weibull`.
    """

    def values(log_shape: Array, log_scale: Array) -> Array:
        points = np.broadcast_to(log_scale, (log_shape.size, log_scale.size))
        shares = None if share is None else np.full(log_shape.size, share)
        return log_likelihood(family, evidence, np.exp(log_shape), points, shares)

    return values


def likelihood_table(values: Values, sketch: Values, reference: Reference) -> Table:
    """Lay the table of one stratum.

    Parameters
    ----------
    values, sketch
        Log-likelihood over r shapes and m scales, in full, and quickly to see where it counts.
    reference
        Where to look.
    """
    shapes, scales = _where_it_counts(sketch, reference)
    shape_edges, scale_edges = _edges(*shapes, SHAPES), _edges(*scales, SCALES)
    found = values(middles(shape_edges), middles(scale_edges))
    greatest = float(found.max())
    return Table(shape_edges, scale_edges, np.exp(found - greatest), greatest)


def middles(edges: Array) -> Array:
    """Middles of evenly spaced cells; a single edge is its own middle."""
    return edges if edges.size == 1 else (edges[1:] + edges[:-1]) / 2


def _where_it_counts(sketch: Values, reference: Reference) -> tuple[tuple[float, float], tuple[float, float]]:
    shapes = _around(reference.shape, reference.shape_sd)
    scales = _around(reference.scale, reference.scale_sd)
    for _ in range(_MOST_ROUNDS):
        shape_edges, scale_edges = _edges(*shapes, _COARSE_SHAPES), _edges(*scales, _COARSE_SCALES)
        log_shape, log_scale = middles(shape_edges), middles(scale_edges)
        values = sketch(log_shape, log_scale) + reference.log_density(log_shape, log_scale)
        counts = values > values.max() - DEPTH
        before = scales[1] - scales[0]
        shapes, scales = _kept(shape_edges, counts.any(axis=1)), _kept(scale_edges, counts.any(axis=0))
        if scales[1] - scales[0] > _STILL_SHRINKING * before:
            break
    return shapes, scales


def _around(middle: float, sd: float) -> tuple[float, float]:
    return middle - _REACH * sd, middle + _REACH * sd


def _edges(low: float, high: float, count: int) -> Array:
    return np.linspace(low, high, count + 1) if high > low else np.array([low])


def _kept(edges: Array, counts: NDArray[np.bool_]) -> tuple[float, float]:
    """Give the ends of the cells that count, with one more on either side."""
    if edges.size == 1:
        return float(edges[0]), float(edges[0])
    inside = np.flatnonzero(counts)
    return float(edges[max(inside[0] - 1, 0)]), float(edges[min(inside[-1] + 2, edges.size - 1)])
