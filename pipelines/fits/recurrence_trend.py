"""Whether events of boats come faster or slower as time goes by: trend tests and the power law of MIL-HDBK-189.

In: `Histories`; times are taken from the start of each boat's watch. Out: `TrendTest`, `PowerLaw`.
Given how often each boat failed, the tests compare only when it did: boats may differ in how troublesome they are.
Elsewhere: how many events by when (`recurrence`), the fleet's rate month by month (`trend`).
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
import polars as pl
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import root_scalar
from scipy.special import chdtr, chdtrc, chdtri, ndtr, xlogy

from pipelines.errors import NoFigure
from pipelines.fits.confidence import normal_width, tail
from pipelines.fits.recurrence import Histories

Array = NDArray[np.float64]
Stopped = Literal["time", "failure"]
_MOST_EXACT_GAPS = 150
_FARTHEST = 1e3


@dataclass(frozen=True)
class TrendTest:
    """One test of no trend.

    Attributes
    ----------
    statistic
        Standard normal (Laplace), chi-square (MIL-HDBK-189) or a count (reversals).
    degrees
        Degrees of freedom of a chi-square; 0: none.
    faster, slower
        One-sided chance, were there no trend, of events at least so much faster, or slower, as time goes by.
    """

    statistic: float
    degrees: int
    faster: float
    slower: float

    @property
    def p_value(self) -> float:
        """Two-sided chance of so strong a trend, were there none."""
        return min(1.0, 2 * min(self.faster, self.slower))


@dataclass(frozen=True)
class PowerLaw:
    """Events by time t expected of one boat: rate_factor * t ** growth.

    Attributes
    ----------
    growth, growth_low, growth_high
        Below 1: events come slower and slower; most likely value and exact limits (equal-tailed).
    growth_unbiased
        Corrected for its upward bias at few events.
    rate_factor
        In units of the times; the mean of the boats.
    end
        Longest time watched.
    rate_at_end
        Events per unit of time then, from the most likely values.
    level
        Confidence level.
    """

    growth: float
    growth_low: float
    growth_high: float
    growth_unbiased: float
    rate_factor: float
    end: float
    rate_at_end: float
    level: float


def laplace(of: Histories) -> TrendTest:
    """Test by Laplace whether a boat's events lie late or early in its watch.

    Source: NIST/SEMATECH e-Handbook of Statistical Methods, 8.2.3.4; Cox, D. R. and Lewis, P. A. W. (1966), The
    Statistical Analysis of Series of Events, Methuen, chapter 3.

    Raises
    ------
    NoFigure
        If there were no events.
    """
    times, length = _times(of)
    statistic = float((times - length / 2).sum() / np.sqrt((length**2).sum() / 12))
    return TrendTest(statistic, 0, float(ndtr(-statistic)), float(ndtr(statistic)))


def mil_hdbk_189(of: Histories, stopped: Stopped = "time") -> TrendTest:
    """Test against a power law: twice the sum of ln(watch / time) is chi-square if there is no trend.

    Source: MIL-HDBK-189 (1981), appendix C; NIST/SEMATECH e-Handbook 8.2.3.4.

    Parameters
    ----------
    of
        Histories.
    stopped
        `time`: watches ended at set times. `failure`: each watch ended with its boat's last event, which then tells nothing.

    Raises
    ------
    NoFigure
        If no event is left to tell a trend.
    """
    logs = _log_gaps(of, stopped)
    statistic, degrees = 2 * float(logs.sum()), 2 * logs.size
    return TrendTest(statistic, degrees, float(chdtr(degrees, statistic)), float(chdtrc(degrees, statistic)))


def power_law(of: Histories, stopped: Stopped = "time", level: float = 0.95) -> PowerLaw:
    """Fit a power law common to all boats by maximum likelihood, given each boat's number of events.

    Sources: MIL-HDBK-189 (1981), appendix C; Crow, L. H. (1974), Reliability analysis for complex, repairable systems.

    Raises
    ------
    NoFigure
        If no event is left to tell a trend.
    """
    logs = _log_gaps(of, stopped)
    total, degrees, cut = float(logs.sum()), 2 * logs.size, tail(level)
    if not total:
        raise NoFigure("Every event happened at the very end of its boat's watch, so no trend can be fitted.")
    times, _ = _times(of)
    growth = times.size / total
    unbiased = (times.size - 1) / total if stopped == "time" else (times.size - 1 - _boats(of)) / total
    lengths = of.end - of.start
    rate_factor = float(times.size / (lengths**growth).sum())
    end = float(lengths.max())
    low, high = (float(chdtri(degrees, chance)) / (2 * total) for chance in (1 - cut, cut))
    return PowerLaw(growth, low, high, unbiased, rate_factor, end, rate_factor * growth * end ** (growth - 1), level)


def grouped_power_law(ends: ArrayLike, counts: ArrayLike, level: float = 0.95) -> PowerLaw:
    """Fit a power law to counts of one watch cut into intervals, the first from 0 (MIL-HDBK-189, appendix C).

    Parameters
    ----------
    ends
        End of each interval, ascending, above 0.
    counts
        Events in each.
    level
        Confidence level; limits of the growth by the likelihood ratio.

    Raises
    ------
    NoFigure
        If fewer than two intervals had events, or the ends do not ascend from above 0.
    """
    stops, events = np.asarray(ends, dtype=float), np.asarray(counts, dtype=float)
    if (np.diff(np.concatenate(([0.0], stops))) <= 0).any() or (events > 0).sum() < 2:
        raise NoFigure("A power law of counts needs ascending intervals, at least two of them with events.")
    end, total = float(stops[-1]), float(events.sum())
    with np.errstate(divide="ignore"):
        ends_log, ratio_log = np.log(stops / end), np.log(np.concatenate(([0.0], stops[:-1])) / stops)

    def slope(power: float) -> float:
        ratio = np.exp(power * ratio_log)
        return float(events @ (ends_log - xlogy(ratio, np.exp(ratio_log)) / (1 - ratio)))

    def likelihood(power: float) -> float:
        return float(events @ (power * ends_log + np.log1p(-np.exp(power * ratio_log))))

    growth = float(root_scalar(slope, bracket=(1 / _FARTHEST, _FARTHEST), rtol=1e-12).root)
    low, high = _ratio_limits(likelihood, growth, normal_width(level) ** 2 / 2)
    factor = total / end**growth
    return PowerLaw(growth, low, high, growth * (total - 1) / total, factor, end, total * growth / end, level)


def mean_time_now(of: Histories, level: float = 0.8) -> tuple[float, float, float]:
    """Give the mean time between events at the end of one boat's watch under a power law, with limits.

    Returns
    -------
    value, low, high
        From the growth without bias (n - 1 over the sum of ln(watch / time)), with Crow's approximate limits for a watch
        that ended at a set time. Source: NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.5.2.

    Raises
    ------
    NoFigure
        If there is more than one boat or there are fewer than two events.
    """
    if of.start.size != 1 or of.age.size < 2:
        raise NoFigure(f"{of.start.size} boats, {of.age.size} events: this needs one boat with two events or more.")
    law, events, width = power_law(of), of.age.size, normal_width(level)
    value = law.end / (events * law.growth_unbiased)
    spread = events * (events - 1)
    low = spread / (events + width**2 / 4 + np.sqrt(events * width**2 / 2 + width**4 / 16)) ** 2
    gap = events - width * np.sqrt(events / 2)
    return value, float(value * low), float(value * spread / gap**2) if gap > 0 else np.inf


def reversals(gaps: ArrayLike) -> TrendTest:
    """Test for a trend in the gaps between one boat's events: how often a later gap is longer than an earlier one.

    Exact up to 150 gaps, then normal. Source: NIST/SEMATECH e-Handbook of Statistical Methods, 8.2.3.4.

    Parameters
    ----------
    gaps
        Times between events in order, the first from the start of the watch.

    Raises
    ------
    NoFigure
        If there are fewer than two gaps.
    """
    between = np.asarray(gaps, dtype=float)
    if between.size < 2:
        raise NoFigure(f"{between.size} gaps between events: a trend in them needs two.")
    longer = int(sum((between[first + 1 :] > between[first]).sum() for first in range(between.size - 1)))
    faster, slower = _exact_tails(longer, between.size) if between.size <= _MOST_EXACT_GAPS else _normal_tails(longer, between.size)
    return TrendTest(longer, 0, faster, slower)


def one_boat(ages: ArrayLike, end: float | None = None) -> Histories:
    """Make the history of one boat from its event times; watched from 0 to `end`, or to its last event if `None`."""
    times = np.sort(np.atleast_1d(np.asarray(ages, dtype=float)))
    if (not times.size and end is None) or (times.size and not (times > 0).all()) or (end is not None and (times > end).any()):
        raise NoFigure("Event times must lie above 0 and not after the end of the watch.")
    stop = np.array([times[-1] if end is None else end], dtype=float)
    return Histories(np.zeros(1), stop, np.zeros(times.size, dtype=np.intp), times, np.ones(times.size))


def _times(of: Histories) -> tuple[Array, Array]:
    """Time of each event since its boat's watch began, and how long that watch was."""
    if not of.age.size:
        raise NoFigure("No events, so there is no trend to see.")
    return of.age - of.start[of.boat], (of.end - of.start)[of.boat]


def _boats(of: Histories) -> int:
    return np.unique(of.boat).size


def _log_gaps(of: Histories, stopped: Stopped) -> Array:
    """Return ln(watch / time) of the events that tell of a trend."""
    times, length = _times(of)
    logs = np.log(length / times)
    if stopped == "failure":
        last = pl.DataFrame({"boat": of.boat, "at": np.arange(times.size)}).group_by("boat").agg(pl.col("at").last())
        logs = np.delete(logs, last["at"].to_numpy())
    if not logs.size:
        raise NoFigure("Each boat had only the event that ended its watch, so there is no trend to see.")
    return logs


def _ratio_limits(likelihood: Callable[[float], float], peak: float, drop: float) -> tuple[float, float]:
    """Values either side of a peak at which the log-likelihood has fallen by `drop`."""
    least = likelihood(peak) - drop
    sides = ((peak / _FARTHEST, peak), (peak, peak * _FARTHEST))
    low, high = (root_scalar(lambda growth: likelihood(growth) - least, bracket=side, rtol=1e-12).root for side in sides)
    return float(low), float(high)


def _exact_tails(longer: int, size: int) -> tuple[float, float]:
    """Chances of at most, and of at least, so many pairs in rising order among equally likely orders."""
    chances = np.ones(1)
    for more in range(2, size + 1):
        spread = np.cumsum(np.concatenate((chances, np.zeros(more - 1))))
        chances = (spread - np.concatenate((np.zeros(more), spread[:-more]))) / more
    return float(chances[: longer + 1].sum()), float(chances[longer:].sum())


def _normal_tails(longer: int, size: int) -> tuple[float, float]:
    mean, error = size * (size - 1) / 4, np.sqrt(size * (size - 1) * (2 * size + 5) / 72)
    return float(ndtr((longer + 0.5 - mean) / error)), float(ndtr((mean - longer + 0.5) / error))
