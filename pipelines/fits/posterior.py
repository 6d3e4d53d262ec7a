"""What to believe of a part's life: a grid over the whole prior tree, weighed by the lives seen.

In: `Ages` on one clock, the prior tree of the settings, what is known (`Knowledge`). Out: `Posterior`, blocks of weighted
points, one block per branch (wears out, random, fails young) and family. It always answers: with no failure, or no lives
at all, it leans on the prior. No sampling.
Elsewhere: the points (`leaves`), likelihoods (`likelihood`), weights between clocks (`clocks`), what to do (`advice`).

References
----------
Gelman, A. et al. (2013). Bayesian Data Analysis, 3rd edition, sections 3.7 (grids) and 7.4 (weights of models). CRC Press.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pipelines.fits.ages import Ages
from pipelines.fits.blocks import FAILS_YOUNG, RANDOM, WEARS_OUT, Block, cell_quantiles
from pipelines.fits.fitted_badly import fitted_badly_laws, may_be_fitted_badly
from pipelines.fits.fitted_badly_block import FITTED_BADLY
from pipelines.fits.knowledge import Knowledge
from pipelines.fits.lattice import log_sum
from pipelines.fits.leaves import leaf_points, leaves_of
from pipelines.fits.likelihood import evidence_of
from pipelines.fits.two_clock_block import BOTH
from pipelines.terms.settings import Prior

Array = NDArray[np.float64]

__all__ = ["FAILS_YOUNG", "FITTED_BADLY", "RANDOM", "WEARS_OUT", "Block", "Posterior", "posterior", "supported_age"]

_DROPPED = 1e-5
_LIVES_THAT_SUPPORT = 10


@dataclass(frozen=True)
class Posterior:
    """Blocks whose weights add to 1.

    Attributes
    ----------
    blocks
        One per branch and family that kept any weight.
    supported
        {clock: age that 10 lives have reached, or all but none where there are fewer; 0: no life seen}.
    log_evidence
        Logarithm of the probability (density) of the lives under the whole prior tree.
    basis
        What the prior of the scale rests on, in words.
    """

    blocks: tuple[Block, ...]
    supported: Mapping[str, float]
    log_evidence: float
    basis: str

    @property
    def points(self) -> int:
        """Points over all blocks."""
        return sum(block.weight.size for block in self.blocks)

    def quantiles(self, quantity: str, probabilities: ArrayLike) -> Array:
        """Posterior quantiles of `shape`, `scale` or `b10`, over the whole tree.

        Parameters
        ----------
        quantity
            Shape is the slope on Weibull paper between B10 and scale, scale the age by which 63.2 % have failed, in
            every family.
        probabilities
            Between 0 and 1.
        """
        values = np.log(np.concatenate([block.value(quantity) for block in self.blocks]))
        weights, widths = (np.concatenate(parts) for parts in zip(*((b.weight, b.cell(quantity)) for b in self.blocks), strict=True))
        return np.exp(cell_quantiles(values, weights, widths, probabilities))

    def limits(self, quantity: str, level: float) -> tuple[float, float, float]:
        """Median, low and high of `shape`, `scale` or `b10`; central limits at `level`."""
        median, low, high = self.quantiles(quantity, [0.5, (1 - level) / 2, (1 + level) / 2])
        return float(median), float(low), float(high)

    @property
    def wears_out_probability(self) -> float:
        """Probability that the hazard rises over the ages the data support: more of it in their second half than in the first."""
        ages = {**self.supported, BOTH: self.supported.get("months", 0.0)}
        return float(sum(block.weight[_rises(block, ages.get(block.clock, 0.0))].sum() for block in self.blocks))

    def expected_survival(self, clock: str, ages: ArrayLike) -> Array:
        """Posterior mean share still running at each age, over the blocks of that clock, and those on both at the group's own use."""
        held = [block for block in self.blocks if block.clock in (clock, BOTH)]
        total = sum(block.weight.sum() for block in held)
        return np.asarray(sum(block.weight @ block.survival_along(clock, ages) for block in held)) / total

    @property
    def best_family(self) -> str:
        """Family with the greatest posterior weight."""
        return max((block.family for block in self.blocks), key=lambda family: self.weight_of(family=family))

    def weight_of(self, **named: str) -> float:
        """Posterior weight of the blocks whose branch, family or clock are those named."""
        return float(sum(b.weight.sum() for b in self.blocks if all(getattr(b, name) == word for name, word in named.items())))


def posterior(ages: Ages, prior: Prior, knowledge: Knowledge, clock: str = "hours") -> Posterior:
    """Weigh the whole prior tree by the lives seen.

    Parameters
    ----------
    ages
        Lives on one clock; none at all is allowed.
    prior
        The tree: branch, family, shape and spread of scale.
    knowledge
        Figures for the scale; empty: flat around the ages seen.
    clock
        Word kept on the blocks.
    """
    evidence = evidence_of(ages)
    scale = knowledge.scale_prior(prior, ages)
    found = [leaf_points(evidence, scale, leaf, clock) for leaf in leaves_of(prior)]
    if prior.wears_out * prior.fitted_badly > 0 and may_be_fitted_badly(evidence, supported_age(ages)):
        found = _beside_bad_fitting(found, fitted_badly_laws(evidence, scale, prior, clock), prior)
    log_weights = np.concatenate([block.weight for block in found])
    total = float(log_sum(log_weights))
    weighed = [replace(block, weight=np.exp(block.weight - total)) for block in found]
    return Posterior(pruned(weighed), {clock: supported_age(ages)}, total, scale.basis)


def _beside_bad_fitting(found: Sequence[Block], badly: Block, prior: Prior) -> list[Block]:
    """Let wear give way to wear with bad fittings by its prior weight; weights are logarithms."""
    kept = np.log1p(-prior.fitted_badly)
    wear = [replace(block, weight=block.weight + kept) if block.branch == WEARS_OUT else block for block in found]
    return [*wear, replace(badly, weight=badly.weight + np.log(prior.wears_out * prior.fitted_badly))]


def weighed_together(*parts: tuple[Posterior, float]) -> Posterior:
    """Make one posterior of several, each with its weight; weights add to 1. A part without weight leaves no trace."""
    held = [(part, weight) for part, weight in parts if weight > _DROPPED]
    blocks = [replace(block, weight=weight * block.weight) for part, weight in held for block in part.blocks]
    supported = {clock: age for part, _ in held for clock, age in part.supported.items()}
    log_evidence = float(log_sum(np.array([part.log_evidence + np.log(weight) for part, weight in held])))
    basis = " and ".join(dict.fromkeys(part.basis for part, _ in held if part.basis))
    return Posterior(pruned(blocks), supported, log_evidence, basis)


def pruned(blocks: Sequence[Block]) -> tuple[Block, ...]:
    """Leave out points that together weigh no more than a hundred-thousandth, and make the rest add to 1."""
    order = np.sort(np.concatenate([block.weight for block in blocks]))
    least = order[np.searchsorted(np.cumsum(order), _DROPPED * order.sum())]
    kept = [block.only(block.weight >= least) for block in blocks]
    total = sum(float(block.weight.sum()) for block in kept)
    return tuple(replace(block, weight=block.weight / total) for block in kept if block.weight.size)


def supported_age(ages: Ages, lives: int = _LIVES_THAT_SUPPORT) -> float:
    """Age that so many lives have reached under observation; where there are fewer lives, the age the last of them reached."""
    seen = np.where(ages.is_interval, ages.high, ages.low)
    order = np.argsort(-seen)
    reached = np.cumsum(ages.count[order])
    enough = int(np.searchsorted(reached, min(lives, reached[-1]))) if seen.size else 0
    return float(seen[order][enough]) if seen.size else 0.0


def _rises(block: Block, age: float) -> NDArray[np.bool_]:
    if age <= 0:
        return block.shape > 1
    half, whole = block.cumulative_hazard([age / 2, age]).T
    return whole > 2 * half * (1 + 1e-9)
