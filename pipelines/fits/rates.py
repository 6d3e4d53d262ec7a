"""Events per 1,000 engine hours with exact limits, and how two rates compare.

In: counts and hours. Out: `Rate`, `MeanHours`, `RateRatio`, `Share`. No files, no tables.
Elsewhere: rates of many groups at once (`rate_table`, `shrinkage`), rates that change with age (`weibull`).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import betaincinv, gammaincinv
from scipy.stats import binomtest

from pipelines.errors import NoFigure
from pipelines.fits.confidence import tail

PER_HOURS = 1_000.0
"""Rates are given for this many engine hours."""


@dataclass(frozen=True)
class Rate:
    """Events per 1,000 engine hours.

    Attributes
    ----------
    events, exposure_h
        What was counted, over how many engine hours.
    value, low, high
        Per 1,000 engine hours. With no events low is 0; high still says how bad it could be.
    level
        Confidence level of the limits.
    """

    events: int
    exposure_h: float
    value: float
    low: float
    high: float
    level: float


@dataclass(frozen=True)
class MeanHours:
    """Mean engine hours between events; `value` and `high` are `None` where no event bounds them."""

    value: float | None
    low: float
    high: float | None
    level: float


@dataclass(frozen=True)
class RateRatio:
    """One rate over another.

    Attributes
    ----------
    value, low, high
        The ratio with central exact limits; infinite where the second rate had no events.
    p_value
        Two-sided, that the rates are equal: the chance of outcomes no more likely than the one seen. It comes from another
        ordering of outcomes than the limits, so near 1 - level the two can disagree.
    level
        Confidence level of the limits.
    """

    value: float
    low: float
    high: float
    p_value: float
    level: float


@dataclass(frozen=True)
class Share:
    """A share of a whole, 0 to 1, with exact limits."""

    value: float
    low: float
    high: float
    level: float


def count_limits(events: ArrayLike, level: float = 0.95) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Give the exact central limits of a Poisson mean from the count seen [1]_.

    Parameters
    ----------
    events
        Counts, 0 or more, one or an array.
    level
        Confidence level, between 0 and 1.

    Returns
    -------
    low, high
        Arrays of the counts' shape; low is 0 where nothing was counted.

    References
    ----------
    .. [1] Garwood, F. (1936). Fiducial limits for the Poisson distribution. Biometrika 28(3/4), 437-442.
    """
    counts, cut = np.asarray(events, dtype=float), tail(level)
    low = np.where(counts > 0, gammaincinv(np.maximum(counts, 1), cut), 0.0)
    return low, gammaincinv(counts + 1, 1 - cut)


def rate_with_limits(events: int, exposure_h: float, level: float = 0.95) -> Rate:
    """Events per 1,000 engine hours, with exact central limits (`count_limits`).

    Raises
    ------
    NoFigure
        If no hours were watched, or the count is below 0.
    """
    hours = _watched(events, exposure_h)
    low, high = count_limits(events, level)
    return Rate(events, exposure_h, events / hours, float(low) / hours, float(high) / hours, level)


def rate_at_most(events: int, exposure_h: float, level: float = 0.95) -> float:
    """Per 1,000 engine hours, the one-sided exact upper limit of a rate: with no events -ln(1 - level) over the hours."""
    return float(gammaincinv(events + 1, 1 - 2 * tail(level))) / _watched(events, exposure_h)


def mean_hours_between(events: int, exposure_h: float, level: float = 0.95) -> MeanHours:
    """Mean engine hours between events for a watch that ended at a set time, with exact central limits.

    The reciprocal of `rate_with_limits`. Source: NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.5.1.
    """
    rate = rate_with_limits(events, exposure_h, level)
    if not events:
        return MeanHours(None, PER_HOURS / rate.high, None, level)
    return MeanHours(PER_HOURS / rate.value, PER_HOURS / rate.high, PER_HOURS / rate.low, level)


def rate_ratio(events: int, exposure_h: float, other_events: int, other_exposure_h: float, level: float = 0.95) -> RateRatio:
    """Compare two rates by the test that is exact given how many events there were in all [1]_.

    Raises
    ------
    NoFigure
        If either had no hours watched, or neither had an event.

    References
    ----------
    .. [1] Przyborowski, J. and Wilenski, H. (1940). Homogeneity of results in testing samples from Poisson series.
       Biometrika 31, 313-323. Limits: Clopper, C. J. and Pearson, E. S. (1934), Biometrika 26, 404-413.
    """
    hours, other_hours = _watched(events, exposure_h), _watched(other_events, other_exposure_h)
    total = events + other_events
    if not total:
        raise NoFigure("Neither of the two had an event, so there is no ratio of their rates.")
    share = share_with_limits(events, total, level)
    value, low, high = (np.inf if part == 1 else part / (1 - part) * other_hours / hours for part in (share.value, share.low, share.high))
    return RateRatio(value, low, high, float(binomtest(events, total, hours / (hours + other_hours)).pvalue), level)


def share_with_limits(events: int, total: int, level: float = 0.95) -> Share:
    """Share of a total with exact central limits (`share_limits`).

    Raises
    ------
    NoFigure
        If the total is 0 or the part is not between 0 and the total.
    """
    if not 0 <= events <= total or not total:
        raise NoFigure(f"{events} of {total}: a share needs a total above 0 that holds the part.")
    low, high = share_limits(events, total, level)
    return Share(events / total, float(low), float(high), level)


def share_limits(events: ArrayLike, total: int, level: float = 0.95) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Give the exact central limits of shares of a total above 0, one or an array (Clopper and Pearson 1934, Biometrika 26, 404-413)."""
    counts, cut = np.asarray(events, dtype=float), tail(level)
    low = np.where(counts > 0, betaincinv(np.maximum(counts, 1), total - counts + 1, cut), 0.0)
    high = np.where(counts < total, betaincinv(counts + 1, np.maximum(total - counts, 1), 1 - cut), 1.0)
    return low, high


def _watched(events: int, exposure_h: float) -> float:
    """Hours watched, in units of 1,000; refuses what cannot be a watch."""
    if not exposure_h > 0 or np.isinf(exposure_h):
        raise NoFigure(f"No rate: {exposure_h:g} engine hours were watched. Meter readings of these engines would give one.")
    if events < 0:
        raise NoFigure(f"No rate: {events} events. A count is 0 or more.")
    return exposure_h / PER_HOURS
