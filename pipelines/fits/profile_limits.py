"""Profile-likelihood limits of shape, scale, B10 and median of a Weibull fit.

In: `Ages` and their `WeibullFit`. Out: a low and a high end of each, None where the likelihood never falls so far.
Unlike limits from a standard error they stay above 0 and are as lopsided as the records are.
Elsewhere: the fit (`weibull`), limits of the posterior (`posterior`).

References
----------
Meeker, W. Q. and Escobar, L. A. (1998). Statistical Methods for Reliability Data, section 8.3. Wiley.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from pipelines.fits.ages import Ages
from pipelines.fits.likelihood import B10_HAZARD, Evidence, evidence_of
from pipelines.fits.weibull import WeibullFit
from pipelines.fits.weibull_slopes import Slopes, slopes

Array = NDArray[np.float64]
View = Callable[[Array], Slopes]
"""Value, gradient and Hessian at (the quantity whose limits are sought, the other parameter), both logarithms."""
Ends = tuple[float | None, float | None]

HAZARDS = {"scale": 1.0, "b10": float(B10_HAZARD), "median": float(np.log(2.0))}
"""Ages and the cumulative hazard reached at them."""

_MOST_STEPS = 60
_SETTLED = 1e-9
_LONGEST_STEP = 1.5
_FARTHEST = 12.0


def profile_limits(ages: Ages, fit: WeibullFit, level: float = 0.95) -> dict[str, Ends]:
    """Profile-likelihood limits of shape, scale, B10 and median.

    Parameters
    ----------
    ages
        The lives that `fit` is of.
    fit
        From `fit_weibull`.
    level
        Two-sided confidence level.

    Returns
    -------
    dict
        `shape`, `scale`, `b10`, `median`, each (low, high). At a limit the log-likelihood, at its best over the other
        parameter, is half a chi-square quantile below the peak (1.92 at 95 %). None: the likelihood never falls so far.
    """
    evidence = evidence_of(ages)
    log_shape, log_scale = np.log(fit.shape), np.log(fit.scale) - evidence.log_unit
    limits = {"shape": _ends(_shape_view(evidence), np.array([log_shape, log_scale]), fit.log_likelihood, level, 0.0)}
    for name, hazard in HAZARDS.items():
        start = np.array([log_scale + np.log(hazard) / fit.shape, log_shape])
        limits[name] = _ends(_age_view(evidence, float(np.log(hazard))), start, fit.log_likelihood, level, evidence.log_unit)
    return limits


def _ends(view: View, peak: Array, value: float, level: float, shift: float) -> Ends:
    drop = float(ndtri((1 + level) / 2))
    low, high = (_limit(view, peak, value, way * drop) for way in (-1, 1))
    return None if low is None else float(np.exp(low + shift)), None if high is None else float(np.exp(high + shift))


def _shape_view(evidence: Evidence) -> View:
    return lambda at: slopes(evidence, at)


def _age_view(evidence: Evidence, log_hazard: float) -> View:
    """See the log-likelihood from the age of a given cumulative hazard, with ln shape as the other parameter."""

    def view(at: Array) -> Slopes:
        lean = log_hazard * float(np.exp(-at[1]))
        value, (by_shape, by_scale), hessian = slopes(evidence, np.array([at[1], at[0] - lean]))
        (shapes, cross), (_, scales) = hessian
        mixed = cross + scales * lean
        others = shapes + 2 * cross * lean + scales * lean**2 - by_scale * lean
        return value, np.array([by_scale, by_shape + by_scale * lean]), np.array([[scales, mixed], [mixed, others]])

    return view


def _limit(view: View, peak: Array, top: float, target: float) -> float | None:
    """Where the signed root of twice the fall from the top equals `target`; Newton, because that root is nearly straight."""
    _, _, hessian = view(peak)
    bend = -(hessian[0, 0] - hessian[0, 1] ** 2 / hessian[1, 1])
    at = np.array([peak[0] + np.clip(target / np.sqrt(bend), -_LONGEST_STEP, _LONGEST_STEP), peak[1]])
    inside, outside = peak[0], np.nan
    for _ in range(_MOST_STEPS):
        at, value, slope = _best_other(view, at)
        root = np.sign(target) * np.sqrt(max(2 * (top - value), 0.0))
        if abs(root - target) < _SETTLED:
            return float(at[0])
        inside, outside = (at[0], outside) if abs(root) < abs(target) else (inside, at[0])
        at[0] = _next(at[0], (target - root) * root / -slope if slope else np.inf, inside, outside)
        if abs(at[0] - peak[0]) > _FARTHEST:
            return None
    return float(at[0]) if np.isfinite(outside) else None


def _next(at: float, step: float, inside: float, outside: float) -> float:
    """Newton's next point, kept between the points known to lie inside and outside the limits."""
    there = at + float(np.clip(step, -_LONGEST_STEP, _LONGEST_STEP))
    if np.isnan(outside):
        return there
    return there if min(inside, outside) < there < max(inside, outside) else (inside + outside) / 2


def _best_other(view: View, at: Array) -> tuple[Array, float, float]:
    """Climb along the other parameter alone; the point, its value and the slope along the quantity."""
    value, gradient, hessian = view(at)
    for _ in range(_MOST_STEPS):
        step = gradient[1] / abs(hessian[1, 1]) if hessian[1, 1] else 0.0
        step = float(np.clip(step, -_LONGEST_STEP, _LONGEST_STEP))
        found = view(at + np.array([0.0, step]))
        while found[0] < value - 1e-12 * abs(value) and abs(step) > _SETTLED:
            step /= 2
            found = view(at + np.array([0.0, step]))
        at, (value, gradient, hessian) = at + np.array([0.0, step]), found
        if abs(step) < _SETTLED:
            break
    return at, value, float(gradient[0])
