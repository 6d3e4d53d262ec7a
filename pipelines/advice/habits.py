"""At what age parts are renewed by plan in fact: rarely on the day of the interval, mostly at a visit around it.

In: lives with the interval in force. Out: `Habit`, the chance that a part is still in place by its age in intervals, were it never to fail.
Forecasts read it instead of the plan to the letter, because a yard that renews late has more failures, and one that renews early fewer.
Elsewhere: the interval in force (`current_plan`), who asks (`forecast`).

References
----------
Kaplan, E. L. and Meier, P. (1958). Nonparametric estimation from incomplete observations. J. American Statistical Association 53, 457-481.
"""

from dataclasses import dataclass

import numpy as np
import polars as pl

from pipelines.advice.age_replacement import Array
from pipelines.fits.ages import CLOCKS

BY_PLAN = ("planned", "opportunistic")
FEWEST = 10
"""Renewals of one part from which on its own habit is read; else that of all parts."""
AFTERWARDS = 4.0
"""Renewals per interval once the age is passed to which lives were seen; a part that is overdue is renewed soon."""
_MOST, _STEP = 3.0, 0.02
_AT_RISK = 3


@dataclass(frozen=True, eq=False)
class Habit:
    """`hazard` is the cumulative hazard of renewal by plan at `ages`, in intervals, shape (m,); `afterwards` its rate beyond the last."""

    ages: Array
    hazard: Array
    afterwards: float = AFTERWARDS

    @property
    def middle(self) -> float:
        """Age, in intervals, by which half would be renewed by plan, were none to fail."""
        return self.age_leaving(0.5)

    def age_leaving(self, share: float) -> float:
        """Age, in intervals, by which all but a share would be renewed by plan, were none to fail."""
        hazard = -float(np.log(share))
        if self.hazard[-1] >= hazard:
            return float(np.interp(hazard, self.hazard, self.ages))
        return float(self.ages[-1] + (hazard - self.hazard[-1]) / self.afterwards)

    def kept(self, age: Array) -> Array:
        """Chance to be still in place at these ages, in intervals; infinite ages of parts without an interval are not asked for."""
        return np.exp(-self.hazard_at(age))

    def hazard_at(self, age: Array) -> Array:
        """Cumulative hazard of renewal by plan at these ages, in intervals."""
        beyond = np.maximum(age - self.ages[-1], 0.0)
        return np.interp(age, self.ages, self.hazard) + self.afterwards * beyond


AT_ONCE = 1e12
TO_THE_LETTER = Habit(np.array([0.0, 1.0]), np.zeros(2), AT_ONCE)
"""Where too few renewals were seen to read a habit: on the day of the interval."""


def habits(lives: pl.DataFrame) -> dict[str, Habit]:
    """Read the habit of each part, and under the empty name that of all.

    Parameters
    ----------
    lives
        Columns of `derived.lives` with every_h and every_months in force.
    """
    seen = _in_intervals(lives)
    renewed = seen.group_by("component").agg(pl.col("renewed").sum())
    own = renewed.filter(pl.col("renewed") >= FEWEST)["component"].to_list()
    return {"": _habit(seen), **{name: _habit(seen.filter(pl.col("component") == name)) for name in own}}


def _in_intervals(lives: pl.DataFrame) -> pl.DataFrame:
    """Give age at entry and end in intervals, by whichever clock is further on, for lives under an interval."""
    entry, end = (
        pl.max_horizontal(pl.col(f"{edge}_{clock}") / pl.col(f"every_{clock}") for clock in CLOCKS.values()) for edge in ("entry", "low")
    )
    told = lives.select("component", entry=entry.fill_null(0.0), end=end, renewed=pl.col("ending").is_in(BY_PLAN))
    return told.filter(pl.col("end").is_not_null(), pl.col("end") > pl.col("entry"))


def _habit(seen: pl.DataFrame) -> Habit:
    """Nelson's sum over a grid; ages with hardly a life at risk say nothing and go on as overdue parts do."""
    ages = np.arange(0.0, _MOST + _STEP / 2, _STEP)
    entry, end = (np.sort(seen[name].to_numpy()) for name in ("entry", "end"))
    at_risk = np.searchsorted(entry, ages[1:], side="left") - np.searchsorted(end, ages[:-1], side="left")
    events, _ = np.histogram(seen.filter("renewed")["end"].to_numpy(), bins=ages)
    usual = np.where(ages[1:] > 1.0, AFTERWARDS * _STEP, 0.0)
    told = np.where(at_risk >= _AT_RISK, events / np.maximum(at_risk, 1), usual)
    return Habit(ages, np.concatenate([[0.0], np.cumsum(np.minimum(told, 3.0))]))
