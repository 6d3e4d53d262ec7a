"""Log-likelihood of lives under four families, over whole grids of parameters at once.

In: `Ages`. Out: `Evidence`, the sums and rows that a likelihood needs, and `log_likelihood`.
All families are written by the same two ages, so that they can be compared and averaged: `scale` is the age by which
63.2 % have failed, `shape` the slope on Weibull paper between there and the age by which 10 % have failed (for
`floor_weibull`, the slope of the part that wears). Failed at t adds ln h(t) - H(t), suspended at t adds -H(t), failed
between two ages adds ln(S(low) - S(high)), and delayed entry takes -H(entry) back.
Elsewhere: the best parameters (`weibull`), what to believe of them (`posterior`).
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import log_ndtr, ndtri

from pipelines.fits.ages import Ages

Array = NDArray[np.float64]

WEIBULL, LOGNORMAL, FLOOR_WEIBULL, EXPONENTIAL = "weibull", "lognormal", "floor_weibull", "exponential"

B10_HAZARD = -np.log(0.9)
"""Cumulative hazard at which 10 % have failed."""
PAPER_GAP = -np.log(B10_HAZARD)
"""Height on Weibull paper between 10 % and 63.2 % failed: shape is this over ln(scale / B10)."""
_Z_SCALE = float(ndtri(-np.expm1(-1.0)))
_Z_GAP = _Z_SCALE - float(ndtri(0.1))

_MOST_CELLS = 500_000
"""Cells worked on at once: more do not fit the processor's cache. Sums are taken by `vecdot`, which does not wake threads."""
_MOST_AGES, _STEP = 200, 0.03
_SKETCH_AGES, _SKETCH_STEP = 60, 0.1
_NEWTON_STEPS = 30


@dataclass(frozen=True)
class Evidence:
    """What a likelihood reads of lives; every age is a logarithm, relative to the greatest finite age.

    Attributes
    ----------
    log_unit
        Logarithm of the greatest finite age.
    survived, survived_count
        Ages survived (suspensions and lower ends of intervals), and with a negative count the ages at entry.
    exact, exact_count
        Ages of failures.
    low, high, interval_count
        Ends of intervals in which a failure lies; `low` is minus infinity for age 0.
    """

    log_unit: float
    survived: Array
    survived_count: Array
    exact: Array
    exact_count: Array
    low: Array
    high: Array
    interval_count: Array

    @property
    def failures(self) -> float:
        """Failures at a known age and between two ages."""
        return float(self.exact_count.sum() + self.interval_count.sum())


def evidence_of(ages: Ages) -> Evidence:
    """Sort lives into the terms of a log-likelihood; equal ages become one."""
    exact, between = ages.is_failure, ages.is_interval
    late = ages.entry > 0
    finite = np.concatenate([ages.low, ages.high[np.isfinite(ages.high)]])
    unit = float(finite.max(initial=0.0)) or 1.0
    survived, survived_count = _merged(
        np.concatenate([ages.low[~exact], ages.entry[late]]), np.concatenate([ages.count[~exact], -ages.count[late]])
    )
    failed, failed_count = _merged(ages.low[exact], ages.count[exact])
    return Evidence(
        float(np.log(unit)),
        np.log(survived / unit),
        survived_count,
        np.log(failed / unit),
        failed_count,
        _log(ages.low[between] / unit),
        np.log(ages.high[between] / unit),
        ages.count[between],
    )


def log_likelihood(family: str, evidence: Evidence, shape: Array, log_scale: Array, share: Array | None = None) -> Array:
    """Log-likelihood at a grid of parameters, rows of one shape each.

    Parameters
    ----------
    family
        One of `WEIBULL`, `LOGNORMAL`, `FLOOR_WEIBULL`, `EXPONENTIAL`.
    evidence
        Of the lives.
    shape
        Above 0, r of them. Not read by `EXPONENTIAL`.
    log_scale
        r x m, natural logarithm of the scale in the unit of the ages.
    share
        r of them between 0 and 1, for `FLOOR_WEIBULL` alone: the constant part of the cumulative hazard at `scale`.

    Returns
    -------
    array
        r x m; minus infinity where the lives are impossible.

    References
    ----------
    Lawless, J. F. (2003). Statistical Models and Methods for Lifetime Data, 2nd edition, chapters 2 and 5 (censoring,
    truncation). Wiley.
    """
    x = log_scale - evidence.log_unit
    slope = np.ones_like(shape) if family == EXPONENTIAL else shape
    with np.errstate(over="ignore", divide="ignore", invalid="ignore", under="ignore"):
        if family == LOGNORMAL:
            total = _lognormal_known(evidence, slope, x)
        else:
            constant = np.zeros_like(slope) if share is None else share
            total = _power_known(evidence, slope, x, constant)
        total = total + _between(family, evidence, slope, x, share) - _times(evidence.exact_count, evidence.exact)
        total = total - evidence.exact_count.sum() * evidence.log_unit
    return np.where(np.isnan(total), -np.inf, total)


def cumulative_hazard(family: str, relative: Array, shape: Array, share: Array | None = None) -> Array:
    """Cumulative hazard at ages given as ln(age / scale); all arguments broadcast together.

    Returns
    -------
    array
        0 or more; exactly 1 at the scale, whatever the family.
    """
    if family == LOGNORMAL:
        return -log_ndtr(-(_Z_SCALE + relative * shape * (_Z_GAP / PAPER_GAP)))
    if family == EXPONENTIAL:
        return np.exp(relative)
    wearing = np.exp(shape * relative)
    return wearing if share is None else share * np.exp(relative) + (1.0 - share) * wearing


def age_at_hazard(family: str, hazard: float, shape: Array, scale: Array, share: Array | None = None) -> Array:
    """Age at which the cumulative hazard reaches `hazard`, for each of k points."""
    if family == LOGNORMAL:
        height = float(ndtri(-np.expm1(-hazard))) - _Z_SCALE
        return scale * np.exp(height * PAPER_GAP / (_Z_GAP * shape))
    if share is None:
        return scale * hazard ** (1.0 / shape)
    relative = np.zeros_like(shape)
    for _ in range(_NEWTON_STEPS):
        steady, wearing = share * np.exp(relative), (1.0 - share) * np.exp(shape * relative)
        reached = steady + wearing
        relative = relative - (np.log(reached) - np.log(hazard)) * reached / (steady + shape * wearing)
    return scale * np.exp(relative)


def _power_known(evidence: Evidence, slope: Array, x: Array, share: Array) -> Array:
    """Sum of ln(t h(t)) - H(t) over failures and -H(t) over survived ages, for hazards made of powers of age."""
    ages = np.concatenate([evidence.survived, evidence.exact])
    weights = np.concatenate([evidence.survived_count, evidence.exact_count])
    wearing = (1.0 - share)[:, None] * _power_sum(slope, ages, weights)[:, None] * np.exp(-slope[:, None] * x)
    if not share.any():
        failures, log_sum = evidence.exact_count.sum(), _times(evidence.exact_count, evidence.exact)
        return failures * np.log(slope)[:, None] + slope[:, None] * (log_sum - failures * x) - wearing
    steady = share[:, None] * float(weights @ np.exp(ages)) * np.exp(-x)
    return _floor_densities(evidence, slope, x, share) - wearing - steady


def _floor_densities(evidence: Evidence, slope: Array, x: Array, share: Array) -> Array:
    """Sum of ln(t h(t)) over failures; powers of age and of scale are taken apart, so that only the logarithm is cell by cell."""
    total = _times(evidence.exact_count, evidence.exact) - evidence.exact_count.sum() * x
    power = slope[:, None] - 1.0
    by_scale = ((1.0 - share) * slope)[:, None] * np.exp(-power * x)
    for rows in _blocks(evidence.exact.size, x.size):
        wearing = by_scale[..., None] * np.exp(power * evidence.exact[rows])[:, None, :]
        total = total + np.vecdot(np.log(share[:, None, None] + wearing), evidence.exact_count[rows])
    return total


def _lognormal_known(evidence: Evidence, slope: Array, x: Array) -> Array:
    """Sum of ln(t f(t)) over failures, and of ln S(t) over survived ages, for lognormal lives."""
    steepness = (slope * (_Z_GAP / PAPER_GAP))[:, None]
    count = evidence.exact_count.sum()
    first, second = _times(evidence.exact_count, evidence.exact), _times(evidence.exact_count, evidence.exact**2)
    offset = _Z_SCALE - steepness * x
    squares = count * offset**2 + 2 * offset * steepness * first + steepness**2 * second
    total = count * np.log(steepness / np.sqrt(2 * np.pi)) - squares / 2
    survived, survived_count = on_lattice(evidence.survived, evidence.survived_count, _MOST_AGES, _STEP)
    for rows in _blocks(survived.size, x.size):
        total = total + np.vecdot(log_ndtr(-(offset[..., None] + steepness[..., None] * survived[rows])), survived_count[rows])
    return total


def _between(family: str, evidence: Evidence, slope: Array, x: Array, share: Array | None) -> Array:
    """Sum of ln(1 - exp(H(low) - H(high))) over intervals; -H(low) is among the survived ages."""
    total = np.zeros_like(x)
    for rows in _blocks(evidence.low.size, x.size):
        low, high = evidence.low[rows], evidence.high[rows]
        if family == LOGNORMAL:
            lower, upper = (cumulative_hazard(family, age - x[..., None], slope[:, None, None]) for age in (low, high))
            gained = upper - lower
        else:
            gained = _gained(low, high, slope, x)
        if share is not None:
            gained = (1.0 - share)[:, None, None] * gained + share[:, None, None] * _gained(low, high, np.ones_like(slope), x)
        total += np.vecdot(np.log(-np.expm1(-gained)), evidence.interval_count[rows])
    return total


def _gained(low: Array, high: Array, slope: Array, x: Array) -> Array:
    """Cumulative hazard of a power of age gained between two ages: powers of age times powers of scale."""
    powers = np.exp(slope[:, None] * high) - np.exp(slope[:, None] * low)
    return powers[:, None, :] * np.exp(-slope[:, None] * x)[..., None]


def sketch_of(evidence: Evidence) -> Evidence:
    """Return evidence of few ages that is much like this one: enough to see where a posterior has its mass, quickly."""
    survived = on_lattice(evidence.survived, evidence.survived_count, _SKETCH_AGES, _SKETCH_STEP)
    exact = on_lattice(evidence.exact, evidence.exact_count, _SKETCH_AGES, _SKETCH_STEP)
    if evidence.low.size <= _SKETCH_AGES:
        return replace(evidence, survived=survived[0], survived_count=survived[1], exact=exact[0], exact_count=exact[1])
    low = np.round(evidence.low / _SKETCH_STEP) * _SKETCH_STEP
    from_new = np.isneginf(low)
    start = np.where(from_new, evidence.high, low)
    width = np.maximum(np.round((evidence.high - start) / _SKETCH_STEP), 1.0) * _SKETCH_STEP
    ends, place = np.unique(np.stack([low, np.where(from_new, evidence.high, start + width)]), axis=1, return_inverse=True)
    count = np.bincount(place.ravel(), evidence.interval_count).astype(np.float64)
    return Evidence(evidence.log_unit, *survived, *exact, ends[0], ends[1], count)


def on_lattice(log_ages: Array, count: Array, most: int, step: float) -> tuple[Array, Array]:
    """Move many ages onto few, so that sums of a smooth function of log age stay the same.

    Each age gives its count to the four lattice points around it by cubic interpolation; up to `most` ages stay as they
    are. The error of each term goes with (shape x step)^4: below 1e-4 for a step of 0.03 and shapes up to 9.
    """
    if log_ages.size <= most:
        return log_ages, count
    bottom, top = float(log_ages.min()), float(log_ages.max())
    intervals = min(max(round((top - bottom) / step), 8), 2 * most)
    place = (log_ages - bottom) * (intervals / (top - bottom))
    start = np.clip(np.floor(place).astype(int) - 1, 0, intervals - 3)
    at = place - start
    parts = (
        -(at - 1) * (at - 2) * (at - 3) / 6,
        at * (at - 2) * (at - 3) / 2,
        -at * (at - 1) * (at - 3) / 2,
        at * (at - 1) * (at - 2) / 6,
    )
    weights = np.zeros(intervals + 1)
    for k, part in enumerate(parts):
        np.add.at(weights, start + k, count * part)
    return np.linspace(bottom, top, intervals + 1), weights


def _power_sum(slope: Array, log_ages: Array, weights: Array) -> Array:
    total = np.zeros(slope.size)
    for rows in _blocks(log_ages.size, slope.size):
        total += np.vecdot(np.exp(slope[:, None] * log_ages[rows]), weights[rows])
    return np.maximum(total, 0.0)


def _merged(ages: Array, counts: Array) -> tuple[Array, Array]:
    """Add up counts of equal ages; age 0 adds nothing to a likelihood and is dropped."""
    distinct, place = np.unique(ages, return_inverse=True)
    total = np.bincount(place, counts, distinct.size).astype(np.float64)
    kept = (distinct > 0) & (total != 0)
    return distinct[kept], total[kept]


def _blocks(rows: int, width: int) -> list[slice]:
    size = max(1, _MOST_CELLS // max(width, 1))
    return [slice(start, start + size) for start in range(0, rows, size)]


def _times(count: Array, values: Array) -> float:
    return float(count @ values)


def _log(ages: Array) -> Array:
    return np.log(ages, out=np.full(ages.shape, -np.inf), where=ages > 0)
