"""What to believe of a part that wears on both clocks at once: weighted laws, and how well they foretell its lives.

In: rows of `derived.lives` with both ages, priors of shape and of ln scale. Out: a `TwoClocks` block whose weights are logarithms, to be
normed among the other leaves of the tree (`clocks`).
The share of the hazard that hours bring (even between 0 and 1 beforehand) has an even lattice as far as it has mass. For each share the
other three parameters (ln shape on either clock, ln age) are integrated around their mode.
Elsewhere: the likelihood (`two_clock_likelihood`), the integral (`around_mode`), the laws (`two_clock_block`).
"""

from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipelines.fits.around_mode import modes, points_around
from pipelines.fits.blocks import WEARS_OUT
from pipelines.fits.knowledge import ScalePrior
from pipelines.fits.lattice import lattice, log_sum, settle
from pipelines.fits.likelihood import WEIBULL
from pipelines.fits.two_clock_block import BOTH, TwoClocks
from pipelines.fits.two_clock_likelihood import Pairs, log_likelihood, pairs_of, sketch_of
from pipelines.terms.settings import Prior

Array = NDArray[np.float64]

_SHARES, _POINTS = 16, 96
_EDGE = 1e-6


@dataclass(frozen=True)
class _Region:
    """Posterior density of (ln shape on hours, ln shape on months, ln age at which the hazard is 1), given the share of hours."""

    pairs: Pairs
    prior: Prior
    scale_prior: ScalePrior

    def density(self, share: Array, at: Array) -> Array:
        """Logarithm of likelihood times prior: k shares, k x 3 points."""
        away = (at[:, :2] - np.log(self.prior.wear_shape_median)) / self.prior.wear_shape_sd
        shapes = -0.5 * (away**2).sum(axis=1) - 2 * np.log(self.prior.wear_shape_sd * np.sqrt(2 * np.pi))
        known = log_likelihood(self.pairs, np.exp(np.clip(at[:, :2], -5, 5)), share, at[:, 2])
        return known + shapes + self.scale_prior.log_density(at[:, 2])


def two_clock_laws(lives: pl.DataFrame, use: float, prior: Prior, scale_prior: ScalePrior) -> TwoClocks:
    """Weigh laws that wear on both clocks.

    Parameters
    ----------
    lives
        Rows of `derived.lives`, both ages known.
    use
        Hours a month of the group, above 0.
    prior
        Prior of the shapes, the same on either clock.
    scale_prior
        Of ln T, T being the age in months by which 63.2 % have failed at that use. A flat one needs at least one failure.

    Returns
    -------
    TwoClocks
        `weight` holds ln(likelihood x prior x step), on the measure of months.
    """
    pairs = pairs_of(lives, use)
    sketch = _Region(sketch_of(pairs), prior, scale_prior)
    low, high = settle(lambda shares: _marginal(sketch, shares), np.zeros(1), np.ones(1))
    shares = lattice(lambda points: np.zeros_like(points), low, high, _SHARES)
    share = shares.points[0]
    at, log_weight = points_around(*_modes(sketch, share), _POINTS)
    each = np.repeat(share, _POINTS)
    mass = _Region(pairs, prior, scale_prior).density(each, at) + log_weight + float(shares.log_step[0, 0])
    age, (on_hours, on_months) = np.exp(at[:, 2]), np.exp(at[:, :2].T)
    return TwoClocks(
        WEARS_OUT,
        WEIBULL,
        BOTH,
        on_hours,
        use * age * each ** (-1 / on_hours),
        mass,
        months_shape=on_months,
        months_scale=age * (1 - each) ** (-1 / on_months),
        hours_a_month=use,
    )


def log_evidence(laws: TwoClocks) -> float:
    """Logarithm of the probability density of the lives under wear on both clocks, from weights not yet normed."""
    return float(log_sum(laws.weight))


def _marginal(region: _Region, shares: Array) -> Array:
    """Density of the share, the other three integrated out by the normal curve at their mode (Laplace)."""
    each = np.clip(shares.ravel(), _EDGE, 1 - _EDGE)
    at, spreads = _modes(region, each)
    wide = np.log(np.abs(np.linalg.det(spreads))) + 1.5 * np.log(2 * np.pi)
    return (region.density(each, at) + wide).reshape(shares.shape)


def _modes(region: _Region, share: Array) -> tuple[Array, Array]:
    """Find the mode for each share: k x 3, and the square root of the covariance there, k x 3 x 3."""
    middle = np.log(region.prior.wear_shape_median)
    return modes(lambda at, each: region.density(share[each], at), np.tile([middle, middle, _start(region)], (share.size, 1)))


def _start(region: _Region) -> float:
    """Ln age from which to climb: where a shape of 2 would put it, drawn in to the prior."""
    pairs = region.pairs
    spent = float(np.exp(2 * pairs.months) @ pairs.months_count)
    guess = pairs.log_unit + 0.5 * np.log(max(spent, 1e-9) / max(pairs.failures, 0.5)) if pairs.months.size else np.inf
    low, high = region.scale_prior.low, region.scale_prior.high
    if region.scale_prior.centre is not None:
        low, high = (region.scale_prior.centre + way * 2 * region.scale_prior.sd for way in (-1, 1))
    return float(np.clip(guess, low, high))
