"""Renewing at an age: what it costs per unit of time, for any vector of survival laws at once.

In: survival of each law over a grid of ages, cost of a planned renewal and of a failure. Out: cost rates, and for one Weibull law the
age of least cost. No files, no database.
Elsewhere: the posterior that the laws come from (`fits`), the choice over all of them (`interval`).
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

STEP = 0.035
"""Spacing of an age grid in the logarithm of age: the running time is then right to 1e-5 for shapes up to 10."""

_PANELS = 400
_EXHAUSTED = 40.0
"""A Weibull law with cumulative hazard above this has no survivors that count."""


def age_grid(first: float, last: float, step: float = STEP) -> Array:
    """Return ages from `first` to `last`, evenly spaced in their logarithm by at most `step`; at least 8 of them."""
    count = max(8, int(np.ceil(np.log(last / first) / step)) + 1)
    return np.geomspace(first, last, count)


def running_time(survival: Array, ages: Array) -> Array:
    """Return the mean time a part runs until it fails or reaches each age: the integral of survival from 0.

    Parameters
    ----------
    survival
        Shape (laws, ages), each row falling from 1.
    ages
        Shape (ages,), evenly spaced in logarithm (`age_grid`); at the first of them hardly any part has failed.

    Returns
    -------
    array
        Shape (laws, ages), in the unit of the ages; exact for cubic pieces of age times survival over the logarithm of age.
    """
    height = survival * (ages * np.log(ages[-1] / ages[0]) / (ages.size - 1) / 24)
    pieces = np.empty_like(height)
    pieces[:, 0] = ages[0] * (1 + survival[:, 0]) / 2
    pieces[:, 1] = 9 * height[:, 0] + 19 * height[:, 1] - 5 * height[:, 2] + height[:, 3]
    pieces[:, -1] = 9 * height[:, -1] + 19 * height[:, -2] - 5 * height[:, -3] + height[:, -4]
    inner = pieces[:, 2:-1]
    np.add(height[:, 1:-2], height[:, 2:-1], out=inner)
    inner *= 13
    inner -= height[:, :-3]
    inner -= height[:, 3:]
    return np.cumsum(pieces, axis=1, out=pieces)


def cost_rates(survival: ArrayLike, running: ArrayLike, planned_cost: float, failure_cost: float) -> Array:
    """Cost per unit of time of renewing at each age, or at failure if that comes first [1]_.

    Parameters
    ----------
    survival, running
        Survival at the age of renewal and the mean time run until then, of one shape.
    planned_cost, failure_cost
        Money per renewal at the age, and per failure before it.

    Returns
    -------
    array
        (planned cost x survival + failure cost x (1 - survival)) / running time, of the same shape.

    References
    ----------
    .. [1] Barlow, R. E. and Proschan, F. (1965). Mathematical Theory of Reliability. Wiley, chapter 4.
    """
    surviving = np.asarray(survival, dtype=float)
    return (planned_cost * surviving + failure_cost * (1 - surviving)) / np.asarray(running, dtype=float)


def best_weibull_age(shape: float, scale: float, planned_cost: float, failure_cost: float) -> float | None:
    """Age of least cost for one Weibull law, from its first-order condition.

    At that age hazard x mean running time - share failed = planned / (failure - planned); the left side rises from 0 when shape > 1.

    Returns
    -------
    float or None
        In the unit of `scale`; `None` when no age is better than waiting for the failure: a shape of 1 or less, or a planned renewal
        that costs as much as a failure.
    """
    if shape <= 1 or planned_cost >= failure_cost:
        return None
    wanted = planned_cost / (failure_cost - planned_cost)
    low, high = 0.0, 1.0
    while _gain(high, shape) < wanted:
        low, high = high, 2 * high
    for _ in range(100):
        middle = (low + high) / 2
        low, high = (middle, high) if _gain(middle, shape) < wanted else (low, middle)
    return scale * (low + high) / 2


def weibull_running_time(age: float, shape: float) -> float:
    """Mean time run until failure or `age`, for a Weibull law of scale 1, by Gauss-Legendre quadrature on even panels."""
    nodes, weights = np.polynomial.legendre.leggauss(5)
    edges = np.linspace(0.0, min(age, _EXHAUSTED ** (1 / shape)), _PANELS + 1)
    half = (edges[1] - edges[0]) / 2
    ages = (edges[:-1] + half)[:, None] + half * nodes
    return float(half * (np.exp(-(ages**shape)) @ weights).sum())


def _gain(age: float, shape: float) -> float:
    hazard = shape * age ** (shape - 1)
    return hazard * weibull_running_time(age, shape) + float(np.expm1(-(age**shape)))
