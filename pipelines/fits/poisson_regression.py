"""Counts explained by a few numbers each, given what was watched: Poisson regression with a logarithmic link.

In: a design matrix, counts and exposure. Out: `PoissonFit`, for many columns of counts at once.
Elsewhere: which columns a trend needs (`trend`), where a way of coding changed (`coding_breaks`).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln, xlogy

Array = NDArray[np.float64]
_FURTHEST_STEP = 1.0
_HOLD = 1e-6
"""A weak pull towards 0, so that a column explaining "none at all" ends at a finite coefficient."""


@dataclass(frozen=True)
class PoissonFit:
    """Maximum-likelihood fit of c columns of counts over n rows by p coefficients.

    Attributes
    ----------
    coefficients
        (c, p), on the scale of the logarithm.
    covariance
        (c, p, p), without any allowance for dispersion.
    expected
        (n, c), counts.
    log_likelihood
        (c,), less what the prior of `fit_poisson` holds against the coefficients.
    dispersion
        (c,) Pearson's chi-square over its degrees of freedom; 1 if counts vary as chance makes them, 1 where none are left.
    """

    coefficients: Array
    covariance: Array
    expected: Array
    log_likelihood: Array
    dispersion: Array


def fit_poisson(design: Array, counts: Array, exposure: Array, hold: Array | None = None) -> PoissonFit:
    """Fit counts = exposure * exp(design @ coefficients) by Newton's method, columns of counts apart.

    Source: McCullagh, P. and Nelder, J. A. (1989). Generalized Linear Models, 2nd ed., Chapman and Hall, chapter 6.

    Parameters
    ----------
    design
        (n, p), columns not collinear.
    counts
        (n, c), each column with at least one event.
    exposure
        (n,), above 0.
    hold
        (p,) precision of a normal prior around 0 on each coefficient; `None`: none to speak of.
    """
    pull = np.diag(np.full(design.shape[1], _HOLD) if hold is None else hold + _HOLD)
    offset = np.log(exposure)[:, None]
    start = np.log(counts.sum(0) / exposure.sum())
    coefficients = np.linalg.lstsq(design, np.ones((design.shape[0], 1)), rcond=None)[0] * start
    for _ in range(200):
        expected = np.exp(offset + design @ coefficients)
        slope = design.T @ (counts - expected) - pull @ coefficients
        step = np.linalg.solve(_information(design, expected) + pull, slope.T[..., None])[..., 0].T
        reach = np.abs(design @ step).max(0)
        coefficients = coefficients + step * np.minimum(1.0, _FURTHEST_STEP / np.maximum(reach, 1e-300))
        if reach.max() < 1e-9:
            break
    return _fit_at(design, counts, offset, coefficients, pull)


def _fit_at(design: Array, counts: Array, offset: Array, coefficients: Array, pull: Array) -> PoissonFit:
    expected = np.exp(offset + design @ coefficients)
    left = design.shape[0] - design.shape[1]
    pearson = ((counts - expected) ** 2 / np.maximum(expected, 1e-300)).sum(0)
    return PoissonFit(
        coefficients.T,
        np.linalg.inv(_information(design, expected) + pull).astype(np.float64),
        expected,
        (xlogy(counts, expected) - expected - gammaln(counts + 1)).sum(0) - (pull @ coefficients**2).sum(0) / 2,
        pearson / left if left > 0 else np.ones(counts.shape[1]),
    )


def _information(design: Array, expected: Array) -> Array:
    return np.einsum("ni,nc,nj->cij", design, expected, design)
