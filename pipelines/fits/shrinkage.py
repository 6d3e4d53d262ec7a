"""Rates of many groups, each pulled towards the others as far as chance explains the differences.

In: events and hours of each group. Out: `GammaPrior` and the shrunken rates.
A boat with one call in 20 hours is not thought to have the worst rate of the fleet; one with 40 calls in 800 hours is.
Elsewhere: the raw rates and their limits (`rates`), which boats stand out (`boat_limits`).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import minimize_scalar, root_scalar
from scipy.special import gammaln, xlogy

from pipelines.errors import NoFigure

Array = NDArray[np.float64]
_LOG_SHAPES = np.linspace(-4.0, 14.0, 73)


@dataclass(frozen=True)
class GammaPrior:
    """How the groups' true rates are spread: a gamma distribution.

    Attributes
    ----------
    mean
        Events per hour of exposure, in the units of the exposure given.
    shape
        Large: the groups are alike (coefficient of variation 1/sqrt(shape)). Infinite: chance alone explains the differences.
    """

    mean: float
    shape: float

    def shrunken(self, events: ArrayLike, exposure: ArrayLike) -> Array:
        """Rates of groups given this prior: the posterior means; with an infinite shape all are the mean."""
        counts, hours = np.asarray(events, dtype=float), np.asarray(exposure, dtype=float)
        if np.isinf(self.shape):
            return np.full(np.broadcast(counts, hours).shape, self.mean)
        return (self.shape + counts) / (self.shape / self.mean + hours)


def fit_gamma_prior(events: ArrayLike, exposure: ArrayLike) -> GammaPrior:
    """Fit a gamma prior to the groups by marginal likelihood, each count negative binomial given it [1]_.

    Parameters
    ----------
    events
        Count of each group.
    exposure
        Hours of each group, above 0.

    Raises
    ------
    NoFigure
        If there are fewer than two groups, an exposure is not above 0, or no group had an event.

    References
    ----------
    .. [1] Gaver, D. P. and O'Muircheartaigh, I. G. (1987). Robust empirical Bayes analyses of event rates.
       Technometrics 29, 1-15.
    """
    counts, hours = np.asarray(events, dtype=float), np.asarray(exposure, dtype=float)
    if counts.size < 2:
        raise NoFigure("One group alone has nothing to be shrunk towards.")
    if not (hours > 0).all():
        raise NoFigure("A group without hours has no rate to shrink; leave it out.")
    if not counts.sum():
        raise NoFigure("No group had an event, so nothing is known of how their rates are spread.")
    alike = GammaPrior(float(counts.sum() / hours.sum()), np.inf)
    spread = _best_spread(counts, hours)
    gain = log_marginal(spread, counts, hours) - log_marginal(alike, counts, hours)
    return spread if gain > 1e-6 else alike


def log_marginal(prior: GammaPrior, events: ArrayLike, exposure: ArrayLike) -> float:
    """Log-likelihood of the groups' counts under a prior, the rates integrated out."""
    counts, expected = np.asarray(events, dtype=float), prior.mean * np.asarray(exposure, dtype=float)
    if np.isinf(prior.shape):
        return float((xlogy(counts, expected) - expected - gammaln(counts + 1)).sum())
    shape = prior.shape
    ways = gammaln(shape + counts) - gammaln(shape) - gammaln(counts + 1)
    return float((ways - shape * np.log1p(expected / shape) + xlogy(counts, expected) - counts * np.log(shape + expected)).sum())


def _best_spread(counts: Array, hours: Array) -> GammaPrior:
    def loss(log_shape: float) -> float:
        return -log_marginal(_with_best_mean(float(np.exp(log_shape)), counts, hours), counts, hours)

    at = int(np.argmin([loss(log_shape) for log_shape in _LOG_SHAPES]))
    around = _LOG_SHAPES[max(at - 1, 0)], _LOG_SHAPES[min(at + 1, _LOG_SHAPES.size - 1)]
    best = minimize_scalar(loss, bounds=around, method="bounded", options={"xatol": 1e-8})
    return _with_best_mean(float(np.exp(best.x)), counts, hours)


def _with_best_mean(shape: float, counts: Array, hours: Array) -> GammaPrior:
    """Most likely mean for a shape: where the weighted differences of counts and expectations add to nothing."""
    raw = counts / hours
    if raw.min() == raw.max():
        return GammaPrior(float(raw[0]), shape)

    def imbalance(mean: float) -> float:
        return float(((counts - mean * hours) / (shape + mean * hours)).sum())

    return GammaPrior(root_scalar(imbalance, bracket=(raw.min(), raw.max()), xtol=1e-300, rtol=1e-12).root, shape)
