"""What an interval truly costs: age replacement integrated numerically in a position's own clocks.

In: the truth of a part, a position's factor and hours a year. Out: money per position and year at any renewal age.
A position runs at a constant rate, so an interval of hours and months is one age in months, whichever comes first.
Elsewhere: advice read and scored (`regret_score`).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sample_fleet.truths import Limit, PartTruth

Floats = NDArray[np.float64]
STEPS = 3000
SPENT = 25.0
"""Cumulative hazard at which a life is over for every purpose; past it exp(-25) of the fittings are left."""


def cost_rates(ages: Floats, surviving: Floats, planned: float, failure: float) -> Floats:
    """Return the cost per unit of age of renewing at each age or at failure, whichever comes first.

    C(T) = (planned S(T) + failure (1 - S(T))) / integral of S from 0 to T [1]_, by the trapezoidal rule.

    Parameters
    ----------
    ages
        From 0, rising, along the last axis.
    surviving
        Share surviving at those ages, same shape.

    Returns
    -------
    Floats
        Same shape; infinite at age 0.

    References
    ----------
    .. [1] Barlow, R. E. and Proschan, F. (1965). Mathematical Theory of Reliability. Wiley.
    """
    pieces = np.diff(ages, axis=-1) * (surviving[..., 1:] + surviving[..., :-1]) / 2
    used = np.concatenate([np.zeros((*ages.shape[:-1], 1)), np.cumsum(pieces, axis=-1)], axis=-1)
    with np.errstate(divide="ignore"):
        return (planned * surviving + failure * (1 - surviving)) / used


@dataclass(frozen=True)
class TrueCosts:
    """Costs of one part at many positions: `ages` in months and `rates` in money per position and year, (positions, ages)."""

    ages: Floats
    rates: Floats

    def at(self, age: Floats) -> Floats:
        """Return the cost of renewing each position at its own age in months; infinite: only when it fails."""
        each = [
            np.interp(one, ages, rates) for one, ages, rates in zip(np.minimum(age, self.ages[:, -1]), self.ages, self.rates, strict=True)
        ]
        return np.array(each)

    def best(self, ceiling: Floats) -> tuple[Floats, Floats]:
        """Return the cheapest age in months up to each position's ceiling, infinite if only at failure, and its cost."""
        allowed = np.where(self.ages <= ceiling[:, None], self.rates, np.inf)
        at = np.argmin(allowed, axis=1)
        rows = np.arange(len(at))
        inside, edge = allowed[rows, at], self.at(ceiling)
        age = np.where(edge < inside, ceiling, self.ages[rows, at])
        never = np.isinf(ceiling) & (at >= self.ages.shape[1] - 2)
        return np.where(never, np.inf, age), np.minimum(inside, edge)


def true_costs(part: PartTruth, factor: Floats, hours_per_year: Floats) -> TrueCosts:
    """Integrate the cost of a part at positions with these factors and hours a year.

    Ages run to where the life is spent, closer together near 0, where bad fittings die.
    """
    rate = hours_per_year / 12
    ages = _horizon(part, factor, rate)[:, None] * np.linspace(0, 1, STEPS)[None, :] ** 3
    surviving = part.survival(ages * rate[:, None], ages, factor[:, None])
    return TrueCosts(ages, 12 * cost_rates(ages, surviving, part.planned_cost, part.failure_cost))


def _horizon(part: PartTruth, factor: Floats, rate: Floats) -> Floats:
    """Return the age in months at which each position's hazard reaches `SPENT`, by halving."""
    low, high = np.zeros(len(rate)), np.full(len(rate), 1e6)
    for _ in range(60):
        middle = (low + high) / 2
        over = part.cumulative_hazard(middle * rate, middle, factor) > SPENT
        low, high = np.where(over, low, middle), np.where(over, middle, high)
    return high


def age_of(hours: float | None, months: float | None, hours_per_year: Floats) -> Floats:
    """Return an interval as an age in months at each position's own use; infinite where neither is given."""
    by_hours = np.full(len(hours_per_year), np.inf) if hours is None else hours / (hours_per_year / 12)
    return np.minimum(by_hours, np.inf if months is None else months)


def ceiling_of(limit: Limit | None, hours_per_year: Floats) -> Floats:
    """Return the age in months that no advice may pass at each position; infinite without a ceiling."""
    if limit is None or not limit.is_ceiling:
        return np.full(len(hours_per_year), np.inf)
    return age_of(limit.max_h, limit.max_months, hours_per_year)
