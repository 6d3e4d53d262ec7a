"""What to believe of a part that wears out when some of its fittings are bad: weighted laws, and how well they foretell its lives.

In: `Evidence` on one clock, priors of shape, ln scale, the share of bad fittings and the age at which they die. Out: a `FittedBadly` block
whose weights are logarithms, to be normed among the other leaves of the tree (`posterior`).
The four parameters (ln shape, ln scale, logit of the share, ln of the early age over the scale) are integrated around their mode. Such laws
are asked for only where failures lie soon after fitting; elsewhere they would be plain wear again.
Elsewhere: the law (`fitted_badly_block`), the integral (`around_mode`), what is advised (`advice`).

References
----------
Mendenhall, W. and Hader, R. J. (1958). Estimation of parameters of mixed exponentially distributed failure time distributions from censored
life test data. Biometrika 45, 504-520. Here the early part alone is exponential, and what ends first ends a life.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, logit

from pipelines.fits.around_mode import Places, modes, points_around
from pipelines.fits.fitted_badly_block import FITTED_BADLY, FittedBadly
from pipelines.fits.knowledge import ScalePrior
from pipelines.fits.likelihood import WEIBULL, Evidence, on_lattice, sketch_of
from pipelines.terms.settings import Prior

Array = NDArray[np.float64]

SOON = 0.15
"""Share of the age that lives have reached that counts as soon after fitting."""
FEWEST = 1
"""Failures soon after fitting from which bad fitting is thought of: one alone can be a bad fitting of a part that wears, not chance."""

_POINTS = 1000
_MOST_AGES, _STEP = 150, 0.04
_MOST_CELLS = 300_000
_LEAST = 1e-300
_FARTHEST_SHAPE = 5.0


def may_be_fitted_badly(evidence: Evidence, reached: float) -> bool:
    """Whether a failure lies soon after fitting, by the age that lives have reached; of an interval, its middle."""
    if reached <= 0:
        return False
    soon = np.log(SOON * reached) - evidence.log_unit
    exact = evidence.exact_count[evidence.exact <= soon].sum()
    middle = (np.exp(evidence.low) + np.exp(evidence.high)) / 2
    return bool(exact + evidence.interval_count[middle <= np.exp(soon)].sum() >= FEWEST)


def fitted_badly_laws(evidence: Evidence, scale_prior: ScalePrior, prior: Prior, clock: str) -> FittedBadly:
    """Weigh laws of wear with bad fittings.

    Parameters
    ----------
    evidence
        Of the lives.
    scale_prior
        Of ln scale of the wear.
    prior
        Shape of the wear; the share of bad fittings and the age at which they die, over the scale.
    clock
        Word kept on the block.

    Returns
    -------
    FittedBadly
        `weight` holds ln(likelihood x prior x step).
    """
    region = _Region(_on_few_ages(evidence), scale_prior, prior)
    sketch = _Region(sketch_of(evidence), scale_prior, prior)
    at, log_volume = points_around(*modes(sketch.density, sketch.starts()), _POINTS // len(sketch.starts()))
    return FittedBadly(
        FITTED_BADLY,
        WEIBULL,
        clock,
        np.exp(at[:, 0]),
        np.exp(at[:, 1]),
        region.density(at) + log_volume,
        early_share=expit(at[:, 2]),
        early_age=np.exp(at[:, 3] + at[:, 1]),
    )


def _on_few_ages(evidence: Evidence) -> Evidence:
    """Move many ages onto few; sums of what is smooth in the logarithm of age stay the same."""
    survived = on_lattice(evidence.survived, evidence.survived_count, _MOST_AGES, _STEP)
    exact = on_lattice(evidence.exact, evidence.exact_count, _MOST_AGES, _STEP)
    return replace(evidence, survived=survived[0], survived_count=survived[1], exact=exact[0], exact_count=exact[1])


@dataclass(frozen=True)
class _Region:
    """Posterior density of (ln shape, ln scale, logit of the share, ln of early age over scale)."""

    evidence: Evidence
    scale_prior: ScalePrior
    prior: Prior

    @property
    def _normal(self) -> tuple[Array, Array]:
        """Middles and spreads of the priors of ln shape, logit of the share, ln of early age over scale."""
        prior = self.prior
        middles = [np.log(prior.wear_shape_median), logit(prior.early_share), np.log(prior.early_age)]
        return np.array(middles), np.array([prior.wear_shape_sd, prior.early_share_sd, prior.early_age_sd])

    def starts(self) -> Array:
        """Where to climb from: the middle of the priors, the scale where a shape of 2 would put it, drawn in to its prior."""
        held = self.evidence
        spent = float(np.exp(2 * held.survived) @ held.survived_count + np.exp(2 * held.exact) @ held.exact_count)
        guess = held.log_unit + 0.5 * np.log(max(spent, 1e-9) / max(held.failures, 0.5))
        low, high = self.scale_prior.low, self.scale_prior.high
        if self.scale_prior.centre is not None:
            low, high = (self.scale_prior.centre + way * 2 * self.scale_prior.sd for way in (-1, 1))
        (shape, share, age), _ = self._normal
        return np.array([[shape, float(np.clip(guess, low, high)), share, age]])

    def density(self, at: Array, _: Places | None = None) -> Array:
        """Logarithm of likelihood times prior at n x 4 points."""
        middles, spreads = self._normal
        away = (at[:, [0, 2, 3]] - middles) / spreads
        known = -0.5 * (away**2).sum(axis=1) - np.log(spreads * np.sqrt(2 * np.pi)).sum() + self.scale_prior.log_density(at[:, 1])
        return known + log_likelihood(self.evidence, at)


def log_likelihood(evidence: Evidence, at: Array) -> Array:
    """Log-likelihood at n points of (ln shape, ln scale, logit of the share, ln of early age over scale); n of them."""
    size = max(1, _MOST_CELLS // max(evidence.survived.size + evidence.exact.size + 2 * evidence.low.size, 1))
    parts = [_log_likelihood(evidence, at[first : first + size]) for first in range(0, len(at), size)]
    total = np.concatenate(parts) - evidence.exact_count @ evidence.exact - evidence.exact_count.sum() * evidence.log_unit
    return np.where(np.isnan(total), -np.inf, total)


def _log_likelihood(evidence: Evidence, at: Array) -> Array:
    with np.errstate(over="ignore", under="ignore", divide="ignore", invalid="ignore"):
        wear, log_good, dying = _terms(evidence, evidence.exact, at)
        slope = np.exp(np.minimum(at[:, 0], _FARTHEST_SHAPE))[:, None]
        total = (np.log(np.maximum(slope * wear + dying, _LEAST)) - wear + log_good) @ evidence.exact_count
        wear, log_good, _ = _terms(evidence, evidence.survived, at)
        total += (log_good - wear) @ evidence.survived_count
        if evidence.low.size:
            (low, good_at_low, _), (high, good_at_high, _) = (_terms(evidence, ends, at) for ends in (evidence.low, evidence.high))
            total += np.log(-np.expm1(low - high + good_at_high - good_at_low)) @ evidence.interval_count
        return total


def _terms(evidence: Evidence, log_ages: Array, at: Array) -> tuple[Array, Array, Array]:
    """Cumulative hazard of wear, ln of the share that bad fitting has spared, age times the hazard of bad fitting: n x m each."""
    relative = log_ages[None, :] + (evidence.log_unit - at[:, 1])[:, None]
    wear = np.exp(np.exp(np.minimum(at[:, 0], _FARTHEST_SHAPE))[:, None] * relative)
    through = np.exp(relative - at[:, 3][:, None])
    share = expit(at[:, 2])[:, None]
    spared = 1 + share * np.expm1(-through)
    return wear, np.log(spared), through * share * np.exp(-through) / spared
