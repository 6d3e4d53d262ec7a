"""Months from which calls were coded differently: one cause is suddenly written less and another more.

In: monthly counts of all causes (`trend.monthly_counts`). Out: `CodingBreak`s, in words.
A slow drift is no break, and neither is one cause alone that drops: that may be a real success.
Elsewhere: trends that stop at a break (`trend`).
"""

from dataclasses import dataclass
from datetime import date

import numpy as np
import polars as pl
from numpy.typing import NDArray
from scipy.special import chdtrc

from pipelines.fits.poisson_regression import PoissonFit, fit_poisson

Array = NDArray[np.float64]
_FEWEST_EVENTS = 8
_FEWEST_MONTHS = 4
_FALSE_ALARMS = 0.01
_MOVED = 6.63
"""A cause moved if its own step gains this much (chi-square, 1 degree of freedom, 1 %)."""
_MOST_BREAKS = 3
_USUAL_TREND = 0.25
"""Standard deviation of a cause's trend a year, on the scale of the logarithm: our choice, no source. Without it a trend
could stand in for most of a step and hide it."""
DAYS_A_YEAR = 365.25


@dataclass(frozen=True)
class CodingBreak:
    """A month from which causes were written differently.

    Attributes
    ----------
    month
        First day of the first month of the new way.
    fewer, more
        Causes written less, and more, from then on.
    p_value
        Chance of so sharp a step at any month, were there only trends and seasons; corrected for having looked at every month.
    """

    month: date
    fewer: tuple[str, ...]
    more: tuple[str, ...]
    p_value: float

    @property
    def told(self) -> str:
        """The break in a sentence."""
        return (
            f"From {self.month:%Y-%m} on {_listed(self.fewer)} was logged less and {_listed(self.more)} more, from one month to the next: "
            "this looks like a change of coding, so their trends are not carried across it."
        )


def coding_breaks(monthly: pl.DataFrame) -> tuple[CodingBreak, ...]:
    """Find months at which some causes step down while others step up [1]_.

    Every month is tried as a step in all causes at once on top of each cause's own trend (and season, given two years).
    A step counts if it is far sharper than chance makes the sharpest of all months (1 in 100, allowing for
    overdispersion) and moves at least one cause each way. After a break is found the search is made again beside it.

    Parameters
    ----------
    monthly
        `month`, `name`, `events`, `exposure_h`; every name in every month.

    Returns
    -------
    tuple of CodingBreak
        In order of time; empty if none is found or there are fewer than eight months.

    References
    ----------
    .. [1] Quandt, R. E. (1960). Tests of the hypothesis that a linear regression system obeys two separate regimes.
       Journal of the American Statistical Association 55, 324-330 (greatest likelihood ratio over all break points).
    """
    months, names, counts, exposure = as_matrix(monthly)
    often = counts.sum(0) >= _FEWEST_EVENTS
    if len(months) < 2 * _FEWEST_MONTHS or often.sum() < 2:
        return ()
    counts, names = counts[:, often], [name for name, kept in zip(names, often, strict=True) if kept]
    design, found = base_design(months), []
    while len(found) < _MOST_BREAKS and (step := _sharpest_step(design, counts, exposure, names, months)) is not None:
        found.append(step)
        design = np.column_stack((design, at_or_after(months, step.month)))
    return tuple(sorted(found, key=lambda step: step.month))


def as_matrix(monthly: pl.DataFrame) -> tuple[list[date], list[str], Array, Array]:
    """Turn monthly counts into months, names, counts (month x name) and hours; months without hours are left out."""
    watched = monthly.filter(pl.col("exposure_h") > 0).sort("month", "name")
    months, names = watched["month"].unique().sort().to_list(), watched["name"].unique().sort().to_list()
    counts = watched["events"].to_numpy().astype(np.float64).reshape(len(months), len(names))
    exposure = watched.unique("month").sort("month")["exposure_h"].to_numpy()
    return months, names, counts, exposure


def base_design(months: list[date]) -> Array:
    """Build columns of a level, a trend a year and, if months of more than two years were watched, a yearly wave."""
    years = np.array([month.toordinal() for month in months]) / DAYS_A_YEAR
    columns = [np.ones(years.size), years - years.mean()]
    if np.ptp(years) > 2 and len({month.month for month in months}) >= 4:
        columns += [np.sin(2 * np.pi * years), np.cos(2 * np.pi * years)]
    return np.column_stack(columns)


def at_or_after(months: list[date], first: date) -> Array:
    """Build a column that is 1 from a month on and 0 before."""
    return np.array([month >= first for month in months], dtype=np.float64)


def _sharpest_step(design: Array, counts: Array, exposure: Array, names: list[str], months: list[date]) -> CodingBreak | None:
    hold = np.zeros(design.shape[1] + 1)
    hold[1] = _USUAL_TREND**-2
    before = fit_poisson(design, counts, exposure, hold[:-1])
    tried = [at for at in range(_FEWEST_MONTHS, len(months) - _FEWEST_MONTHS + 1) if not _has_step(design, at)]
    gains = {at: _signed_gains(before, design, counts, exposure, hold, at_or_after(months, months[at])) for at in tried}
    if not gains:
        return None
    p_values = {at: _p_value(gain) * len(gains) for at, gain in gains.items()}
    best = min(p_values, key=lambda at: p_values[at])
    fewer = tuple(name for name, gain in zip(names, gains[best], strict=True) if gain < -_MOVED)
    more = tuple(name for name, gain in zip(names, gains[best], strict=True) if gain > _MOVED)
    if p_values[best] > _FALSE_ALARMS or not fewer or not more:
        return None
    return CodingBreak(months[best], fewer, more, p_values[best])


def _signed_gains(before: PoissonFit, design: Array, counts: Array, exposure: Array, hold: Array, step: Array) -> Array:
    """Chi-square that a step gains in each cause, negative where it steps down, over how much counts vary more than by chance."""
    after = fit_poisson(np.column_stack((design, step)), counts, exposure, hold)
    gains = np.maximum(2 * (after.log_likelihood - before.log_likelihood), 0.0) / np.maximum(1.0, after.dispersion)
    return np.sign(after.coefficients[:, -1]) * gains


def _p_value(gains: Array) -> float:
    """Chance of such gains at one month: of all causes' together, or of the best rise with the best fall among all pairs."""
    pair = max(gains.max(), 0.0) - min(gains.min(), 0.0)
    together = float(chdtrc(gains.size, np.abs(gains).sum()))
    return min(1.0, 2 * min(together, gains.size * (gains.size - 1) * float(chdtrc(2, pair))))


def _has_step(design: Array, at: int) -> bool:
    """Whether a step near this month is in the design already."""
    step = np.arange(design.shape[0]) >= at
    return any(np.abs(column - step).sum() < _FEWEST_MONTHS for column in design.T[2:])


def _listed(names: tuple[str, ...]) -> str:
    return " and ".join(f"'{name}'" for name in names)
