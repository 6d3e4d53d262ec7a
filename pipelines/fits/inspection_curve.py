"""The share still running when some failures are only known to lie between two inspections.

In: `Ages` of any kind. Out: `Curve` with the same columns as `kaplan_meier` gives.
The estimate puts failures only where the data can tell them apart: in intervals (left, right] that begin at a "still
running" age and end at the next "failed by" age. Within such an interval the curve is not determined.
Elsewhere: all ages of failure known (`kaplan_meier`).
"""

from dataclasses import dataclass, replace

import numpy as np
import polars as pl
from numpy.typing import NDArray
from scipy.linalg import solve_triangular

from pipelines.errors import NoFigure
from pipelines.fits.ages import Ages, compress
from pipelines.fits.kaplan_meier import Curve, begins_late, kaplan_meier, standard_error, survival_limits, with_ends
from pipelines.fits.risk_set import RiskSet, fullest_stretch, no_failures, past_thin_start

Array = NDArray[np.float64]
_MOST_SUPPORTS = 2_000
_SURELY_NOT_ALL = 1 - 1e-13
_GONE = 1e-8
_STEPS = 5_000


def survival_curve(ages: Ages, level: float = 0.95) -> Curve:
    """Estimate the share still running: by `kaplan_meier` if every failure has its age, else by `inspection_curve`."""
    return inspection_curve(ages, level) if ages.interval_censored else kaplan_meier(ages, level)


def inspection_curve(ages: Ages, level: float = 0.95) -> Curve:
    """Estimate the share still running from exact, interval, left- and right-censored lives with delayed entry [1]_.

    The nonparametric maximum-likelihood estimate, found by the expectation-maximisation of the hazards with
    extrapolated steps [2]_. Limits are log-log, from the observed information on the intervals that hold failures; they
    are Greenwood's where all ages are known, and hold for inspections at common ages [3]_; with inspections spread over
    all ages take them as a guide. Beyond 2,000 intervals ages are rounded up to a 2,000th of the greatest, and the note says so.

    Raises
    ------
    NoFigure
        If no life failed.

    References
    ----------
    .. [1] Turnbull, B. W. (1976). The empirical distribution function with arbitrarily grouped, censored and truncated
       data. Journal of the Royal Statistical Society B 38, 290-295.
    .. [2] Varadhan, R. and Roland, C. (2008). Simple and globally convergent methods for accelerating the convergence
       of any EM algorithm. Scandinavian Journal of Statistics 35, 335-353.
    .. [3] Meeker, W. Q. and Escobar, L. A. (1998). Statistical Methods for Reliability Data, Wiley, chapter 3.
    """
    if ages.failures + ages.interval_censored == 0:
        raise NoFigure(no_failures(ages))
    seen, note = _coarse(fullest_stretch(ages))
    supports, hazard = _solve(seen)
    while (gone := _gone_before_others(supports, hazard)) is not None:
        seen = _fuller_side(seen, gone)
        supports, hazard = _solve(seen)
    begins = max(float(seen.entry.min()), _past_thin_start(supports, hazard))
    steps = _steps(supports, hazard, begins, level)
    return Curve(with_ends(steps, seen, begins), begins, level, " ".join(filter(None, (begins_late(begins), note))))


@dataclass(frozen=True)
class _Supports:
    """Intervals (left, right] that can hold failures, and how many lives stand where among them.

    `count` lives failed in one of the supports `begin` .. `stop` - 1, a row each distinct pair. `safe` counts the lives
    surely at risk in each support. `reached` weighs the logarithm of the share left before each support (and after the
    last) in the likelihood: lives suspended there less lives that came under observation there. `last_entry` is the
    support at which the last life did.
    """

    left: Array
    right: Array
    begin: NDArray[np.intp]
    stop: NDArray[np.intp]
    count: Array
    safe: Array
    reached: Array
    last_entry: int


def _supports(ages: Ages) -> _Supports:
    failed, (left, right) = ~ages.is_suspended, _innermost(ages)
    watched = np.searchsorted(right, ages.entry, side="right")
    begin = np.where(ages.is_failure, np.searchsorted(right, ages.low, side="left"), np.searchsorted(right, ages.low, side="right"))
    stop = np.where(failed, np.searchsorted(right, ages.finish, side="right"), begin)
    useful = _spread(begin[failed], stop[failed], np.ones(int(failed.sum())), right.size) > 0
    before = np.concatenate(([0], np.cumsum(useful)))
    watched, begin, stop, size = before[watched], before[begin], before[stop], int(useful.sum())
    pairs, at = np.unique(begin[failed] * (size + 1) + stop[failed], return_inverse=True)
    reached = np.bincount(begin[~failed], ages.count[~failed], size + 1) - np.bincount(watched, ages.count, size + 1)
    return _Supports(
        left[useful],
        right[useful],
        pairs // (size + 1),
        pairs % (size + 1),
        np.bincount(at, ages.count[failed]).astype(np.float64),
        _spread(watched, begin, ages.count, size),
        reached.astype(np.float64),
        int(watched.max()),
    )


def _innermost(ages: Ages) -> tuple[Array, Array]:
    """Intervals from a "still running" age to the next "failed by" age with no other such age between them.

    An age at which a life comes under observation ends an interval too: what failed before it is no part of that life's story.
    """
    failures, suspended, spans = (ages.low[rows] for rows in (ages.is_failure, ages.is_suspended, ages.is_interval))
    ends = np.concatenate((failures, ages.high[ages.is_interval], ages.entry[ages.entry > 0]))
    age = np.concatenate((failures, suspended, spans, ends))
    order_at_age = np.concatenate((np.zeros(failures.size), np.full(suspended.size + spans.size, 2.0), np.ones(ends.size)))
    order = np.lexsort((order_at_age, age))
    age, ending = age[order], order_at_age[order] == 1
    pairs = np.flatnonzero(~ending[:-1] & ending[1:])
    return age[pairs], age[pairs + 1]


def _spread(begin: NDArray[np.intp], stop: NDArray[np.intp], weight: Array, size: int) -> Array:
    """For each support, the sum of the weights of the lives whose begin .. stop - 1 covers it."""
    steps = np.bincount(begin, weight, size + 1) - np.bincount(stop, weight, size + 1)
    return np.cumsum(steps.astype(np.float64))[:size]


def _solve(ages: Ages) -> tuple[_Supports, Array]:
    """Raise the likelihood by EM with squared extrapolation until it and the curve stand still."""
    supports = _supports(ages)
    size = supports.right.size
    hazard = 1 / (size + 1 - np.arange(size))
    likelihood = -np.inf
    for _ in range(_STEPS):
        once = _improved(supports, hazard)
        twice = _improved(supports, once)
        ahead = _improved(supports, _extrapolated(hazard, once, twice))
        hazard, reached = max(((h, _log_likelihood(supports, h)) for h in (twice, ahead)), key=lambda pair: pair[1])
        still = np.abs(_survival(hazard) - _survival(once)).max()
        if reached - likelihood < 1e-9 and still < 1e-9:
            break
        likelihood = max(likelihood, reached)
    return supports, hazard


def _improved(supports: _Supports, hazard: Array) -> Array:
    events, at_risk = _expected(supports, hazard)
    return np.clip(_ratio(events, at_risk), 0.0, _SURELY_NOT_ALL)


def _expected(supports: _Supports, hazard: Array) -> tuple[Array, Array]:
    """Failures and lives at risk to be expected in each support, given what is known of each life."""
    survival = _survival(hazard)
    begin, stop = supports.begin, supports.stop
    weight = _ratio(supports.count, survival[begin] - survival[stop])
    size = hazard.size
    spread = _spread(begin, stop, weight, size)
    events = (survival[:-1] - survival[1:]) * spread
    running = survival[:-1] * spread - _spread(begin, stop, weight * survival[stop], size)
    return events, supports.safe + np.maximum(running, events)


def _extrapolated(first: Array, once: Array, twice: Array) -> Array:
    step, bend = once - first, twice - 2 * once + first
    size = np.sqrt((bend**2).sum())
    stretch = max(1.0, np.sqrt((step**2).sum()) / size) if size > 0 else 1.0
    return np.clip(first + 2 * stretch * step + stretch**2 * bend, once * 1e-3, 1 - (1 - once) * 1e-3)


def _ratio(part: Array, whole: Array) -> Array:
    """Divide; 0 where the whole has sunk below what numbers can hold."""
    return np.divide(part, whole, out=np.zeros_like(part), where=whole > 0)


def _survival(hazard: Array) -> Array:
    return np.concatenate(([1.0], np.cumprod(1 - hazard)))


def _log_likelihood(supports: _Supports, hazard: Array) -> float:
    survival = _survival(hazard)
    counted = supports.reached != 0
    with np.errstate(divide="ignore", invalid="ignore"):
        failed = supports.count @ np.log(survival[supports.begin] - survival[supports.stop])
        likelihood = failed + supports.reached[counted] @ np.log(survival[counted])
    return float(likelihood) if np.isfinite(likelihood) else -np.inf


def _gone_before_others(supports: _Supports, hazard: Array) -> float | None:
    """Age by which nothing is left of the curve while lives come under observation later; `None` if there is none."""
    gone = np.flatnonzero(_survival(hazard)[1:] < _GONE)
    if not gone.size or supports.last_entry <= gone[0]:
        return None
    return float(supports.right[gone[0]])


def _fuller_side(ages: Ages, age: float) -> Ages:
    sides = [ages.where(ages.entry < age), ages.where(ages.entry >= age)]
    return max(sides, key=lambda side: side.failures + side.interval_censored)


def _past_thin_start(supports: _Supports, hazard: Array) -> float:
    """As `risk_set.past_thin_start`, from the numbers to be expected."""
    events, at_risk = _expected(supports, hazard)
    held = hazard > _GONE
    return past_thin_start(RiskSet(supports.right[held], at_risk[held], events[held]))


def _steps(supports: _Supports, hazard: Array, begins: float, level: float) -> pl.DataFrame:
    """Make the steps after the age at which the curve begins; shares are of the parts that reach it."""
    events, at_risk = _expected(supports, hazard)
    kept = (hazard > _GONE) & (supports.right > begins)
    surviving = np.cumprod(1 - hazard[kept], dtype=np.float64)
    surviving = np.where(surviving < _GONE, 0.0, surviving)
    variance = _log_variance(supports, hazard, begins)[kept]
    low, high = survival_limits(surviving, np.sqrt(variance), level)
    return pl.DataFrame(
        {
            "left": supports.left[kept],
            "age": supports.right[kept],
            "at_risk": at_risk[kept],
            "events": events[kept],
            "surviving": surviving,
            "se": standard_error(surviving, variance),
            "low": low,
            "high": high,
            "cumulative_hazard": np.cumsum(hazard[kept]),
            "cumulative_hazard_se": np.sqrt(np.cumsum(hazard[kept] / at_risk[kept])),
        },
        nan_to_null=True,
    )


def _log_variance(supports: _Supports, hazard: Array, begins: float) -> Array:
    """Variance of ln(surviving) after each support given that it was 1 at an age, from the observed information on -ln(1 - hazard)."""
    inner = (hazard > _GONE) & (hazard < 1 - _GONE)
    before = np.concatenate(([0], np.cumsum(inner)))
    begin, stop, survival = before[supports.begin], before[supports.stop], _survival(hazard)
    left = survival[supports.stop] / survival[supports.begin]
    weight = supports.count * left / (1 - left) ** 2
    size = int(inner.sum())
    corners = np.zeros((size + 1, size + 1))
    for row, column, sign in ((begin, begin, 1), (begin, stop, -1), (stop, begin, -1), (stop, stop, 1)):
        np.add.at(corners, (row, column), sign * weight)
    information = corners.cumsum(0).cumsum(1)[:size, :size]
    sums = np.triu(np.ones((size, size))) * (supports.right[inner] > begins)[:, None]
    return np.concatenate(([0.0], _variance_of(sums, information)))[before[1:]]


def _variance_of(sums: Array, information: Array) -> Array:
    """Variance of sums of parameters, a column of 0 and 1 each, given their information."""
    try:
        return (solve_triangular(np.linalg.cholesky(information), sums, lower=True) ** 2).sum(0)
    except np.linalg.LinAlgError:
        return np.maximum(((np.linalg.pinv(information, hermitian=True) @ sums) * sums).sum(0), 0.0)


def _coarse(ages: Ages) -> tuple[Ages, str]:
    finite = np.unique(np.concatenate((ages.low, ages.high[~ages.is_suspended])))
    if finite.size <= _MOST_SUPPORTS:
        return ages, ""
    cell = finite[-1] / _MOST_SUPPORTS
    low, high = (np.ceil(column / cell) * cell for column in (ages.low, ages.high))
    coarse = compress(np.floor(ages.entry / cell) * cell, low, high, ages.count)
    return replace(coarse, zero_length=ages.zero_length, unknown_age=ages.unknown_age), f"Ages are rounded up to steps of {cell:.3g}."
