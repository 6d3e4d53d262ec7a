"""Lattices that find where a function has its mass, and integrate it there.

In: a function of one variable, many rows at once, as logarithms. Out: `Lattice`: points, values and step weights.
Even points are exact to many digits for smooth functions that die away on both sides. No sampling.
Elsewhere: what is integrated (`posterior`).
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Places = NDArray[np.intp]

DEPTH = 14.0
"""A point is followed down to exp(-14) of the peak: 5.3 standard deviations of a normal."""
_SEARCH_POINTS = 9
_ENOUGH_INSIDE = 4
_MOST_ROUNDS = 14
_GOLDEN = (5**0.5 - 1) / 2


@dataclass(frozen=True)
class Lattice:
    """Evenly spaced points, r rows of m, and what the function is there.

    Attributes
    ----------
    points, values
        r x m; values are logarithms.
    log_step
        r x 1, logarithm of the distance between points.
    """

    points: Array
    values: Array
    log_step: Array

    @property
    def log_mass(self) -> Array:
        """Logarithm of the weight of each point, r x m."""
        return self.values + self.log_step

    @property
    def log_total(self) -> Array:
        """Logarithm of the integral, r of them."""
        return log_sum(self.log_mass)


def settle(function: Callable[[Array], Array], low: Array, high: Array) -> tuple[Array, Array]:
    """Narrow ranges to where a function of one peak is within exp(-DEPTH) of it.

    Parameters
    ----------
    function
        r x m points to r x m logarithms.
    low, high
        Where to look, r of them each.

    Returns
    -------
    tuple of arrays
        The narrower low and high.
    """
    steps = np.linspace(0.0, 1.0, _SEARCH_POINTS)
    for _ in range(_MOST_ROUNDS):
        points = low[:, None] + (high - low)[:, None] * steps
        values = function(points)
        _, first, last = _near(values)
        if (last - first >= _ENOUGH_INSIDE).all():
            return _trimmed(points, values)
        low, high = _around_peak(points, first, last)
    return low, high


def lattice(function: Callable[[Array], Array], low: Array, high: Array, count: int) -> Lattice:
    """Lay `count` points, one in each of so many even cells between `low` and `high` of each row, and read the function there.

    Points sit in the middle of the cells in the first row and are shifted within the cells from row to row: integrals are
    the same, and the points of all rows together fall evenly, so that quantiles over them are fine.
    """
    shift = (0.5 + np.arange(low.size) * _GOLDEN) % 1.0
    step = np.maximum(high - low, np.finfo(float).tiny) / count
    points = low[:, None] + step[:, None] * (np.arange(count) + shift[:, None])
    return Lattice(points, function(points), np.log(step)[:, None])


def log_sum(values: Array) -> Array:
    """Logarithm of the sum of exponentials over the last axis; minus infinity where all are."""
    peak = values.max(axis=-1, keepdims=True)
    peak = np.where(np.isfinite(peak), peak, 0.0)
    with np.errstate(divide="ignore"):
        return np.log(np.exp(values - peak).sum(axis=-1)) + peak[..., 0]


def _near(values: Array) -> tuple[Array, Places, Places]:
    """Threshold of each row, and the first and last point above it; a row without a finite value is kept whole."""
    peak = values.max(axis=1)
    threshold = np.where(np.isfinite(peak), peak, 0.0) - DEPTH
    near = (values > threshold[:, None]) | ~np.isfinite(peak)[:, None]
    return threshold, near.argmax(axis=1), near.shape[1] - 1 - near[:, ::-1].argmax(axis=1)


def _around_peak(points: Array, first: Places, last: Places) -> tuple[Array, Array]:
    rows = np.arange(len(points))
    return points[rows, np.maximum(first - 1, 0)], points[rows, np.minimum(last + 1, points.shape[1] - 1)]


def _trimmed(points: Array, values: Array) -> tuple[Array, Array]:
    """Where the function crosses the threshold between points; the outermost point where it does not.

    It bends downwards, so a straight line would cross too soon and cut off mass; a cubic errs on the wide side.
    """
    threshold, first, last = _near(values)
    return _crossing(points, values, threshold, first, -1), _crossing(points, values, threshold, last, 1)


def _crossing(points: Array, values: Array, threshold: Array, inside: Places, way: int) -> Array:
    rows = np.arange(len(points))
    outside = np.clip(inside + way, 0, points.shape[1] - 1)
    drop = values[rows, inside] - np.maximum(values[rows, outside], threshold - 1e6)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(drop > 0, np.cbrt((values[rows, inside] - threshold) / drop), 1.0)
    return points[rows, inside] + np.clip(share, 0.0, 1.0) * (points[rows, outside] - points[rows, inside])
