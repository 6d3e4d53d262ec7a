"""Rates of few events in many groups with limits, each borrowing strength from the others.

In: events and exposure of each group. Out: `BorrowedRates`, in the units of the exposure.
Elsewhere: how the groups' rates are spread (`shrinkage`), exact limits of a rate that borrows nothing (`rates`).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import gammaincinv

from pipelines.fits.confidence import tail
from pipelines.fits.shrinkage import fit_gamma_prior

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class BorrowedRates:
    """Rates with limits, shape (g,) each."""

    value: Array
    low: Array
    high: Array


def borrowed_rates(events: ArrayLike, exposure: ArrayLike, level: float = 0.90) -> BorrowedRates:
    """Rate of each group, drawn towards the others as far as chance explains the differences [1]_.

    Parameters
    ----------
    events
        Count of each group; may be a fraction where some events are only likely.
    exposure
        Of each group, 0 or more; one without any has the others' rate.
    level
        Of the limits, between 0 and 1.

    Returns
    -------
    BorrowedRates
        Where chance alone explains the differences, all groups have the rate of all together, with exact limits (Garwood). One group, or
        several without an event, stand alone likewise: the rate is then 0 and the upper limit says how bad it could be.

    References
    ----------
    .. [1] Gaver, D. P. and O'Muircheartaigh, I. G. (1987). Robust empirical Bayes analyses of event rates. Technometrics 29, 1-15.
    """
    counts, watched = np.asarray(events, dtype=float), np.asarray(exposure, dtype=float)
    seen = watched > 0
    if not seen.any():
        nothing = np.full(counts.shape, np.nan)
        return BorrowedRates(nothing, nothing, nothing)
    cut = tail(level)
    if seen.sum() > 1 and counts[seen].sum() > 0:
        prior = fit_gamma_prior(counts[seen], watched[seen])
        if np.isfinite(prior.shape):
            return _of_gamma(prior.shape + np.where(seen, counts, 0), prior.shape / prior.mean + np.where(seen, watched, 0), cut)
    return _together(float(counts[seen].sum()), float(watched[seen].sum()), cut, counts.shape)


def _of_gamma(shape: Array, rate: Array, cut: float) -> BorrowedRates:
    return BorrowedRates(shape / rate, gammaincinv(shape, cut) / rate, gammaincinv(shape, 1 - cut) / rate)


def _together(events: float, exposure: float, cut: float, size: tuple[int, ...]) -> BorrowedRates:
    """All groups as one, with Garwood's exact limits."""
    low = gammaincinv(events, cut) if events > 0 else 0.0
    told = (events, low, gammaincinv(events + 1, 1 - cut))
    return BorrowedRates(*(np.full(size, value / exposure) for value in told))
