"""How many lives were watched at an age, how many failed there, and where nobody was watched.

In: `Ages`. Out: counts at each failure age; the stretches of age that were watched without a gap.
A life is at risk on (entry, finish]: one that enters at the very age of a failure is not at risk for it.
Elsewhere: what is made of the counts (`kaplan_meier`, `competing_causes`, `group_tests`).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pipelines.errors import NoFigure
from pipelines.fits.ages import Ages

LEAST_AT_RISK = 5
"""Fewer lives than this at an early failure, with more to come: the curve begins after it. Our choice, no source."""


@dataclass(frozen=True)
class RiskSet:
    """Failures by age, arrays of one length.

    Attributes
    ----------
    age
        Distinct failure ages, ascending.
    at_risk
        Lives watched just before that age.
    failed
        Lives that failed at it.
    """

    age: NDArray[np.float64]
    at_risk: NDArray[np.float64]
    failed: NDArray[np.float64]


def at_risk(ages: Ages, at: NDArray[np.float64]) -> NDArray[np.float64]:
    """Count the lives watched just before each of some ages."""
    return _counted_before(ages.entry, ages.count, at) - _counted_before(ages.finish, ages.count, at)


def failures_at(ages: Ages, at: NDArray[np.float64]) -> NDArray[np.float64]:
    """Count the lives that failed at each of some ages, which are ascending and hold every failure age."""
    failed = ages.is_failure
    return np.bincount(np.searchsorted(at, ages.low[failed]), ages.count[failed], minlength=at.size).astype(np.float64)


def risk_set(ages: Ages) -> RiskSet:
    """Count lives at risk and failed at each failure age.

    Raises
    ------
    NoFigure
        As `refuse_unknown_ages`.
    """
    refuse_unknown_ages(ages)
    age = np.unique(ages.low[ages.is_failure])
    return RiskSet(age, at_risk(ages, age), failures_at(ages, age))


def refuse_unknown_ages(ages: Ages) -> None:
    """Raise `NoFigure` if no life failed, or a failure is only known to lie between two ages."""
    if ages.interval_censored:
        raise NoFigure(f"{ages.interval_censored} of {ages.lives} lives failed between two ages; this needs the age of each failure.")
    if not ages.failures:
        raise NoFigure(no_failures(ages))


def no_failures(ages: Ages) -> str:
    """Say why there is no curve when no life failed."""
    if not ages.lives:
        return "No lives with a known age on this clock, so there is no curve."
    return f"None of {ages.lives} lives has failed, so there is no curve; they still count as hours watched."


def fullest_stretch(ages: Ages) -> Ages:
    """Return the lives of the longest-failing stretch of age that was watched without a gap.

    Over a gap in which nobody was watched, or past an age where all that were watched failed while others came under
    observation later, no curve can be carried on. Of the stretches between such breaks the one with the most failures
    is kept, the earlier of equals.
    """
    order = np.argsort(ages.entry, kind="stable")
    watched_to = np.maximum.accumulate(ages.finish[order])
    starts = ages.entry[order][1:]
    ran_past = np.isin(watched_to[:-1], ages.low[ages.is_suspended])
    broken = (starts > watched_to[:-1]) | ((starts == watched_to[:-1]) & ~ran_past)
    stretch = np.empty(order.size, dtype=int)
    stretch[order] = np.concatenate(([0], np.cumsum(broken)))
    failures = np.bincount(stretch, np.where(ages.is_suspended, 0.0, ages.count))
    return ages.where(stretch == np.argmax(failures))


def past_thin_start(counts: RiskSet) -> float:
    """Return the age after which no early failure had fewer than `LEAST_AT_RISK` lives at risk; 0 if none had.

    Early means before the age at which most lives were watched: with delayed entry the first few lives would otherwise
    set the height of the whole curve.
    """
    early = counts.age < counts.age[np.argmax(counts.at_risk)]
    thin = counts.age[early & (counts.at_risk < LEAST_AT_RISK)]
    return float(thin[-1]) if thin.size else 0.0


def _counted_before(ends: NDArray[np.float64], count: NDArray[np.float64], at: NDArray[np.float64]) -> NDArray[np.float64]:
    order = np.argsort(ends, kind="stable")
    totals = np.concatenate(([0.0], np.cumsum(count[order])))
    return totals[np.searchsorted(ends[order], at, side="left")]
