"""Rates of groups that share a season: events per unit of use, by group and by month of the year.

In: events and use of each group in each month of the year. Out: `SeasonalRates`.
A group's rate is drawn towards the others', a month's towards the whole year's, as far as chance explains the differences [1]_.
Elsewhere: the prior that draws them (`shrinkage`), limits of what is made of them (`gamma_limits`).

References
----------
.. [1] Gaver, D. P. and O'Muircheartaigh, I. G. (1987). Robust empirical Bayes analyses of event rates. Technometrics 29, 1-15.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pipelines.errors import NoFigure
from pipelines.fits.shrinkage import fit_gamma_prior

Array = NDArray[np.float64]
_HALF = 0.5
"""Events that stand for what was not seen: Jeffreys' prior of a Poisson rate."""


@dataclass(frozen=True, eq=False)
class SeasonalRates:
    """Events per unit of use in a group and month: rate of the group times the factor of the month.

    Attributes
    ----------
    rate, rate_spread
        Shape (g,): mean, and squared coefficient of variation of what is believed of it.
    month, month_spread
        Shape (12,), January first: the factor, 1 over a year of even use, and the same of it.
    """

    rate: Array
    rate_spread: Array
    month: Array
    month_spread: Array


def seasonal_rates(events: Array, use: Array) -> SeasonalRates:
    """Find the rate of each group and the factor of each month.

    Parameters
    ----------
    events, use
        Shape (g, 12): counts, and hours or days they were watched over, 0 or more.

    Raises
    ------
    NoFigure
        If nothing was watched.
    """
    if not use.sum() > 0:
        raise NoFigure("Nothing was watched, so there is no rate.")
    rate, _ = _drawn(events.sum(axis=1), use.sum(axis=1))
    month, month_spread = _drawn(events.sum(axis=0), rate @ use)
    level = float((month * (rate @ use)).sum() / (rate @ use).sum())
    month = month / level
    rate, rate_spread = _drawn(events.sum(axis=1), use @ month)
    return SeasonalRates(rate, rate_spread, month, month_spread)


def _drawn(events: Array, use: Array) -> tuple[Array, Array]:
    """Return mean and spread of each rate, drawn towards the others; one that was not watched has theirs."""
    seen = use > 0
    total = float(events.sum()) + _HALF
    alike = np.full(use.size, total / use.sum()), np.full(use.size, 1 / total)
    if seen.sum() < 2 or not events[seen].sum():
        return alike
    prior = fit_gamma_prior(events[seen], use[seen])
    if not np.isfinite(prior.shape):
        return alike
    shape = prior.shape + np.where(seen, events, 0)
    return shape / (prior.shape / prior.mean + np.where(seen, use, 0)), 1 / shape
