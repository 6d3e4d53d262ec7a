"""Log-likelihood of a Weibull distribution with its first and second derivatives.

In: `Evidence` and one point (ln shape, ln scale). Out: value, gradient and Hessian.
Everything is written in v = shape x (ln age - ln scale), the logarithm of the cumulative hazard H: its derivative is v by
ln shape and -shape by ln scale.
Elsewhere: whole grids of points, without derivatives, for any family (`likelihood`).
"""

import numpy as np
from numpy.typing import NDArray

from pipelines.fits.likelihood import Evidence

Array = NDArray[np.float64]
Slopes = tuple[float, Array, Array]
"""Value, gradient (2) and Hessian (2 x 2)."""


def slopes(evidence: Evidence, at: Array) -> Slopes:
    """Value, gradient and Hessian at (ln shape, ln scale); the scale is relative to the evidence's unit.

    Returns
    -------
    tuple
        Value minus infinity where the lives are impossible or the point is too far out to reckon.
    """
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        known, between = _known(evidence, at), _between(evidence, at)
    value = known[0] + between[0]
    return (float(value) if np.isfinite(value) else -np.inf), known[1] + between[1], known[2] + between[2]


def _known(evidence: Evidence, at: Array) -> Slopes:
    """Failures at known ages, and -H at every survived age."""
    shape, x = np.exp(at[0]), at[1]
    failures, log_sum = evidence.exact_count.sum(), evidence.exact_count @ evidence.exact
    hazard, first, second = _hazard_sums(evidence.survived, evidence.survived_count, shape, x) + _hazard_sums(
        evidence.exact, evidence.exact_count, shape, x
    )
    rise = shape * (log_sum - failures * x)
    value = failures * (at[0] - evidence.log_unit) + rise - hazard - log_sum
    cross = shape * (hazard + first - failures)
    gradient = np.array([failures + rise - first, shape * (hazard - failures)])
    return value, gradient, np.array([[rise - first - second, cross], [cross, -(shape**2) * hazard]])


def _hazard_sums(log_ages: Array, count: Array, shape: float, x: float) -> Array:
    """Add up H, H v and H v^2."""
    v = shape * (log_ages - x)
    hazard = count * np.exp(v)
    return np.array([hazard.sum(), hazard @ v, hazard @ (v * v)])


def _between(evidence: Evidence, at: Array) -> Slopes:
    """Failures between two ages: ln(1 - exp(-D)), D the cumulative hazard gained between them."""
    count = evidence.interval_count
    if not count.size:
        return 0.0, np.zeros(2), np.zeros((2, 2))
    shape, x = np.exp(at[0]), at[1]
    gained, first, second = _hazard_terms(evidence.high, shape, x) - _hazard_terms(evidence.low, shape, x)
    by_shape, by_scale = first, -shape * gained
    slope = 1.0 / np.expm1(gained)
    bend = -slope * (1.0 + slope)
    shapes = count @ (bend * by_shape**2 + slope * (second + first))
    cross = count @ (bend * by_shape * by_scale - slope * shape * (gained + first))
    scales = count @ (bend * by_scale**2 + slope * shape**2 * gained)
    gradient = np.array([count @ (slope * by_shape), count @ (slope * by_scale)])
    return count @ np.log(-np.expm1(-gained)), gradient, np.array([[shapes, cross], [cross, scales]])


def _hazard_terms(log_ages: Array, shape: float, x: float) -> Array:
    """H, H v and H v^2 of each age; all 0 at age 0."""
    v = np.where(np.isfinite(log_ages), shape * (log_ages - x), 0.0)
    hazard = np.where(np.isfinite(log_ages), np.exp(v), 0.0)
    return np.array([hazard, hazard * v, hazard * v * v])
