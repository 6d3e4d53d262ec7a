"""What to believe of a part that wears on both clocks at once: weighted laws, and how well they foretell its lives.

In: rows of `derived.lives` with both ages, priors of shape and of ln scale. Out: a `TwoClocks` block whose weights are logarithms, to be
normed among the other leaves of the tree (`clocks`).
The share of the hazard that hours bring (even between 0 and 1 beforehand) has an even lattice as far as it has mass. For each share the
other three parameters (ln shape on either clock, ln age) are integrated around their mode: points of a Kronecker sequence, the same every
time, are stretched by the curvature there and weighed by posterior over stretched density. No random numbers.
Elsewhere: the likelihood (`two_clock_likelihood`), the laws (`two_clock_block`).

References
----------
Naylor, J. C. and Smith, A. F. M. (1982). Applications of a method for the efficient computation of posterior distributions. Applied
Statistics 31, 214-225 (quadrature around the mode).
"""

from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray
from scipy.special import stdtr, stdtrit

from pipelines.fits.blocks import WEARS_OUT
from pipelines.fits.knowledge import ScalePrior
from pipelines.fits.lattice import lattice, log_sum, settle
from pipelines.fits.likelihood import WEIBULL
from pipelines.fits.two_clock_block import BOTH, TwoClocks
from pipelines.fits.two_clock_likelihood import Pairs, log_likelihood, pairs_of, sketch_of
from pipelines.terms.settings import Prior

Array = NDArray[np.float64]

_SHARES, _POINTS = 16, 96
_FREEDOM = 5.0
"""Degrees of freedom of the stretched density: its tails are heavier than those of any posterior here."""
_STEPS, _SETTLED = 15, 0.02
_LONGEST = 1.0
_NUDGE = 0.02
_LEAST_BEND = 0.3
_EDGE = 1e-6
_PLASTIC = 1.2207440846057596
"""Root of x^4 = x + 1: its powers give the evenest sequence in three dimensions (Roberts 2018)."""


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
    modes, spreads = _modes(sketch, share)
    at, log_weight = _around(modes, spreads)
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
    modes, spreads = _modes(region, each)
    wide = np.log(np.abs(np.linalg.det(spreads))) + 1.5 * np.log(2 * np.pi)
    return (region.density(each, modes) + wide).reshape(shares.shape)


def _modes(region: _Region, share: Array) -> tuple[Array, Array]:
    """Find the mode for each share: k x 3, and the square root of the covariance there, k x 3 x 3, by Newton's method."""
    middle = np.log(region.prior.wear_shape_median)
    at = np.tile([middle, middle, _start(region)], (share.size, 1))
    value = region.density(share, at)
    roots = np.zeros((share.size, 3, 3))
    for _ in range(_STEPS):
        gradient, bend = _bends(region, share, at, value)
        sizes, ways = np.linalg.eigh(-bend)
        sizes = np.maximum(sizes, _LEAST_BEND)
        roots = ways / np.sqrt(sizes)[:, None, :]
        step = np.einsum("kij,klj,kl->ki", roots, roots, gradient)
        step *= np.minimum(1.0, _LONGEST / np.maximum(np.abs(step).max(axis=1), 1e-12))[:, None]
        at, value, moved = _climb(region, share, at, value, step)
        if moved < _SETTLED:
            break
    return at, roots


def _climb(region: _Region, share: Array, at: Array, value: Array, step: Array) -> tuple[Array, Array, float]:
    """Go along the steps, each halved until it does not lead down; also how far the farthest went in density."""
    begun = value
    for _ in range(6):
        found = region.density(share, at + step)
        better = found >= value
        at, value = np.where(better[:, None], at + step, at), np.where(better, found, value)
        if better.all():
            break
        step = np.where(better[:, None], 0.0, step / 3)
    return at, value, float(np.max(value - begun))


def _bends(region: _Region, share: Array, at: Array, value: Array) -> tuple[Array, Array]:
    """Gradient (k x 3) and second derivatives (k x 3 x 3) from small steps to either side."""
    unit = np.eye(3) * _NUDGE
    pairs = ((0, 1), (0, 2), (1, 2))
    shifts = np.vstack([unit, -unit, *(unit[i] + unit[j] for i, j in pairs), *(-unit[i] - unit[j] for i, j in pairs)])
    around = region.density(np.repeat(share, len(shifts)), (at[:, None, :] + shifts).reshape(-1, 3)).reshape(-1, len(shifts))
    up, down = around[:, :3], around[:, 3:6]
    gradient = (up - down) / (2 * _NUDGE)
    bend = np.zeros((share.size, 3, 3))
    for axis in range(3):
        bend[:, axis, axis] = (up[:, axis] + down[:, axis] - 2 * value) / _NUDGE**2
    for place, (i, j) in enumerate(pairs):
        both = around[:, 6 + place] + around[:, 9 + place]
        cross = (both - up[:, i] - up[:, j] - down[:, i] - down[:, j] + 2 * value) / (2 * _NUDGE**2)
        bend[:, i, j] = bend[:, j, i] = cross
    return np.nan_to_num(gradient, posinf=0.0, neginf=0.0), np.nan_to_num(bend, posinf=0.0, neginf=0.0)


def _start(region: _Region) -> float:
    """Ln age from which to climb: where a shape of 2 would put it, drawn in to the prior."""
    pairs = region.pairs
    spent = float(np.exp(2 * pairs.months) @ pairs.months_count)
    guess = pairs.log_unit + 0.5 * np.log(max(spent, 1e-9) / max(pairs.failures, 0.5)) if pairs.months.size else np.inf
    low, high = region.scale_prior.low, region.scale_prior.high
    if region.scale_prior.centre is not None:
        low, high = (region.scale_prior.centre + way * 2 * region.scale_prior.sd for way in (-1, 1))
    return float(np.clip(guess, low, high))


def _around(modes: Array, roots: Array) -> tuple[Array, Array]:
    """Points around each mode, shares x points rows of 3, with the logarithm of the volume that each stands for."""
    place = np.arange(1, _POINTS * len(modes) + 1)[:, None] / _PLASTIC ** np.arange(1, 4)
    away = stdtrit(_FREEDOM, (0.5 + place) % 1.0)
    log_density = (_log_student(away)).sum(axis=1)
    each = np.repeat(np.arange(len(modes)), _POINTS)
    at = modes[each] + np.einsum("kij,kj->ki", roots[each], away)
    volume = np.log(np.abs(np.linalg.det(roots)))[each] - np.log(_POINTS)
    return at, volume - log_density


_TOP = float(np.log((stdtr(_FREEDOM, 1e-4) - stdtr(_FREEDOM, -1e-4)) / 2e-4))


def _log_student(away: Array) -> Array:
    return _TOP - (_FREEDOM + 1) / 2 * np.log1p(away**2 / _FREEDOM)
