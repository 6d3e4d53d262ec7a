"""The share of parts still running at each age, and the failures to be expected by then, straight from the lives.

In: `Ages` with every failure at a known age. Out: `Curve`.
Elsewhere: failures known only to lie between two ages (`inspection_curve`), distributions (`weibull`).
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
import polars as pl
from numpy.typing import NDArray
from scipy.special import digamma

from pipelines.fits.ages import Ages
from pipelines.fits.confidence import normal_width
from pipelines.fits.risk_set import at_risk, fullest_stretch, past_thin_start, refuse_unknown_ages, risk_set

Limits = Literal["plain", "log", "log-log"]
_HALF = 1e-9
_WIDEST = 700.0


@dataclass(frozen=True)
class Curve:
    """A falling step curve with its limits.

    Attributes
    ----------
    steps
        A row where the curve begins, one a step, and one where the last life was watched, by `age`. Columns `left` and
        `age` (the drop is somewhere in (left, age]; equal: at that age), `at_risk`, `events` (expected numbers where
        ages of failure are not known), `surviving` (0 to 1), `se` (empty where it is 0 and has none), `low`, `high`,
        `cumulative_hazard` (Nelson-Aalen), `cumulative_hazard_se`.
    from_age
        Shares are of the parts that reach this age; 0: of all.
    level
        Confidence level of the limits, taken age by age.
    note
        Why the curve does not begin at age 0, or what was rounded; empty: nothing to say.
    """

    steps: pl.DataFrame
    from_age: float
    level: float
    note: str = ""

    def surviving_at(self, age: float) -> float | None:
        """Share still running just after an age; `None` before the curve begins and after the last life was watched."""
        reached = self.steps.filter(pl.col("age") <= age)
        if reached.is_empty() or age > self.steps["age"][-1]:
            return None
        return float(reached["surviving"][-1])

    def age_at(self, share: float, column: str = "surviving") -> float | None:
        """Age at which a share is still running, read off the curve (or off `low` or `high`); `None` if never that low.

        Where the curve is level at exactly that share, the middle of the level stretch, as R's `survfit` does.
        """
        ages, shares = self.steps["age"].to_numpy(), self.steps[column].to_numpy()
        if not (below := np.flatnonzero(shares <= share + _HALF)).size:
            return None
        first = int(below[0])
        under = np.flatnonzero(shares < share - _HALF)
        until = ages[under[0]] if under.size else ages[-1]
        return float((ages[first] + until) / 2 if shares[first] >= share - _HALF else ages[first])

    @property
    def median(self) -> float | None:
        """Age that half the parts reach; `None` if more than half were still running at the end."""
        return self.age_at(0.5)


def kaplan_meier(ages: Ages, level: float = 0.95, limits: Limits = "log-log", from_age: float | None = None) -> Curve:
    """Estimate the share still running by the product-limit method [1]_ with delayed entry [2]_.

    Parameters
    ----------
    ages
        Lives; failures at known ages.
    level
        Confidence level of the limits, between 0 and 1.
    limits
        Scale on which the limits are normal, from Greenwood's variance. Where nothing is left, low is 0 and high stays
        that of the step before.
    from_age
        Give shares of the parts that reach this age. `None`: from age 0 where that can be said; else from where the
        lives watched are not broken off and not too few (`risk_set.fullest_stretch`, `past_thin_start`), with a note.

    Raises
    ------
    NoFigure
        If no life failed (past `from_age`), or a failure is only known to lie between two ages.

    References
    ----------
    .. [1] Kaplan, E. L. and Meier, P. (1958). Nonparametric estimation from incomplete observations.
       Journal of the American Statistical Association 53, 457-481.
    .. [2] Klein, J. P. and Moeschberger, M. L. (2003). Survival Analysis, 2nd ed., Springer, sections 4.2 and 4.6.
    """
    refuse_unknown_ages(ages)
    seen = watched_soundly(ages) if from_age is None else ages.seen_after(from_age)
    counts = risk_set(seen)
    begins = from_age if from_age is not None else float(seen.entry.min())
    surviving = np.cumprod(1 - counts.failed / counts.at_risk, dtype=np.float64)
    with np.errstate(divide="ignore"):
        greenwood = np.cumsum(counts.failed / (counts.at_risk * (counts.at_risk - counts.failed)), dtype=np.float64)
    low, high = survival_limits(surviving, np.sqrt(greenwood), level, limits)
    steps = pl.DataFrame(
        {
            "left": counts.age,
            "age": counts.age,
            "at_risk": counts.at_risk,
            "events": counts.failed,
            "surviving": surviving,
            "se": standard_error(surviving, greenwood),
            "low": low,
            "high": high,
            "cumulative_hazard": np.cumsum(counts.failed / counts.at_risk),
            "cumulative_hazard_se": np.sqrt(np.cumsum(counts.failed / counts.at_risk**2)),
        },
        nan_to_null=True,
    )
    return Curve(with_ends(steps, seen, begins), begins, level, begins_late(begins))


def fleming_harrington(ages: Ages) -> pl.DataFrame:
    """Sum the hazard as if failures at one age had come one after another; `age` and `cumulative_hazard`.

    It differs from the Nelson-Aalen sum of d/n (column `cumulative_hazard` of a curve) only where failures share an age.
    Source: Fleming, T. R. and Harrington, D. P. (1984), Communications in Statistics 13, 2469-2486.
    """
    counts = risk_set(ages)
    steps = digamma(counts.at_risk + 1) - digamma(counts.at_risk - counts.failed + 1)
    return pl.DataFrame({"age": counts.age, "cumulative_hazard": np.cumsum(steps)})


def watched_soundly(ages: Ages) -> Ages:
    """Return the lives from which one curve can be drawn: one unbroken stretch, past a start with too few lives."""
    stretch = fullest_stretch(ages)
    thin_to = past_thin_start(risk_set(stretch))
    return stretch.seen_after(thin_to) if thin_to else stretch


def begins_late(begins: float) -> str:
    """Say that a curve is of the parts that reach an age; empty for age 0."""
    return f"Shares are of the parts that reach age {begins:g}: too few were watched at earlier ages." if begins else ""


def standard_error(surviving: NDArray[np.float64], log_variance: NDArray[np.float64]) -> NDArray[np.float64]:
    """Give the standard error of a surviving share from the variance of its logarithm; not a number where the share is 0."""
    known = surviving > 0
    return np.where(known, surviving * np.sqrt(np.where(known, log_variance, 0.0)), np.nan)


def survival_limits(
    surviving: NDArray[np.float64], log_se: NDArray[np.float64], level: float, limits: Limits = "log-log"
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Limits of falling shares from the standard error of their logarithm.

    Parameters
    ----------
    surviving
        Shares in order of age, 0 to 1. Where it is 0: low 0 and the high of the age before.
    log_se
        Standard error of ln(surviving), the square root of Greenwood's sum.
    level, limits
        As `kaplan_meier`.
    """
    inner = (surviving > 0) & (surviving < 1)
    share, wide = np.where(inner, surviving, 0.5), normal_width(level) * np.where(inner, log_se, 0.0)
    if limits == "plain":
        low, high = share * (1 - wide), share * (1 + wide)
    elif limits == "log":
        low, high = share * np.exp(-wide), share * np.exp(wide)
    else:
        fold = np.exp(np.minimum(wide / -np.log(share), _WIDEST))
        low, high = share**fold, share ** (1 / fold)
    low, high = np.where(inner, np.clip(low, 0, 1), surviving), np.where(inner, np.clip(high, 0, 1), surviving)
    if (gone := np.flatnonzero(surviving == 0)).size:
        high[gone] = high[gone[0] - 1] if gone[0] else 1.0
    return low, high


def with_ends(steps: pl.DataFrame, ages: Ages, begins: float) -> pl.DataFrame:
    """Add the row where a curve begins and the one where the last life was watched."""
    started = float(ages.count[(ages.entry <= begins) & (ages.low >= begins) & (ages.finish > begins)].sum())
    first = {"left": begins, "age": begins, "at_risk": started, "events": 0.0, "surviving": 1.0, "se": 0.0, "low": 1.0, "high": 1.0}
    start = pl.DataFrame(first | {"cumulative_hazard": 0.0, "cumulative_hazard_se": 0.0}, schema=steps.schema)
    last = float(ages.finish[ages.is_suspended].max(initial=0.0))
    if last <= steps["age"][-1]:
        return pl.concat([start, steps])
    still = float(at_risk(ages, np.array([last]))[0])
    return pl.concat(
        [start, steps, steps.tail(1).with_columns(left=pl.lit(last), age=pl.lit(last), at_risk=pl.lit(still), events=pl.lit(0.0))]
    )
