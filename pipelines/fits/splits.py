"""A part told apart by strata, against the same part taken as one: how much better that foretells its lives, and what to believe of each.

In: the posterior of the whole, the lives of each stratum, what is known of the part, the prior. Out: `Split`.
How a part fails (branch and family) and the clock it lives on belong to its mechanism, so all strata share them; shape and scale may differ
(`strata`). The middle of the strata has the very prior that the whole has, so that strata without any spread are the whole again, and the
evidence tells of the difference between the strata alone. A share of constant hazard is common to the strata too.
Elsewhere: the integration (`strata`), which columns are worth it (`covariates`).
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipelines.fits.ages import CLOCKS, Ages, ages_from_lives
from pipelines.fits.blocks import Block
from pipelines.fits.knowledge import Knowledge, ScalePrior
from pipelines.fits.lattice import log_sum
from pipelines.fits.leaves import Leaf, leaf_points, leaves_of
from pipelines.fits.likelihood import EXPONENTIAL, WEIBULL, Evidence, evidence_of
from pipelines.fits.likelihood_table import Reference, Table, likelihood_table
from pipelines.fits.posterior import Posterior, pruned, supported_age
from pipelines.fits.strata import Common, Tied, tie
from pipelines.fits.two_clock_block import TwoClocks
from pipelines.terms.settings import Prior

Array = NDArray[np.float64]
Stratum = tuple[str, ...]
"""Words of the columns that the strata are told apart by, in their order."""

WORTH_SPLITTING = 2e-3
"""Leaves that weigh less in the whole are left out of its strata."""
_SHARES = 4
_WIDER = 2.0


@dataclass(frozen=True)
class Split:
    """Strata of one part.

    Attributes
    ----------
    log_factor
        Logarithm of how many times likelier the lives are with these strata than as a whole (Bayes factor).
    posteriors
        What to believe of each stratum if they do differ.
    """

    log_factor: float
    posteriors: Mapping[Stratum, Posterior]


@dataclass(frozen=True)
class Matter:
    """What the strata of one part are weighed by.

    Attributes
    ----------
    whole
        Posterior of the part taken as one.
    lives
        Rows of `derived.lives` of each stratum; none at all is allowed.
    knowledge
        {clock: what is known of the part's scale}.
    prior
        The tree and the spreads.
    """

    whole: Posterior
    lives: Mapping[Stratum, pl.DataFrame]
    knowledge: Mapping[str, Knowledge]
    prior: Prior

    def ages(self, clock: str) -> dict[Stratum, Ages]:
        """Ages of each stratum on one clock."""
        return {stratum: ages_from_lives(rows, clock) for stratum, rows in self.lives.items()}

    @property
    def every_life(self) -> pl.DataFrame:
        """Lives of all strata."""
        return pl.concat(self.lives.values())


@dataclass(frozen=True)
class _Found:
    """One leaf on one clock, split: its weight in the whole, its factor, and its blocks a stratum, their weights adding to 1."""

    weight: float
    log_factor: float
    blocks: Mapping[Stratum, Sequence[Block]]


def split_of(matter: Matter) -> Split:
    """Tell the strata apart over the whole prior tree."""
    paired = [block for block in matter.whole.blocks if isinstance(block, TwoClocks)]
    return _together(matter, [_split_leaf(matter, *one) for one in _weighty(matter)] + [_alike(matter, block) for block in paired])


def log_factor_of(matter: Matter) -> float:
    """Logarithm of the Bayes factor of the strata against the whole, read from the plainest law of each branch and clock.

    Lognormal lives and those with a share of constant hazard count as Weibull lives of the same branch do: the factor rests on how far the
    strata lie apart, hardly on the family. Quick enough to try many columns.
    """
    plain = {WEIBULL, EXPONENTIAL}
    found = [(leaf, clock, weight) for leaf, clock, weight in _weighty(matter) if leaf.family in plain]
    by_branch = {(leaf.branch, clock): _split_leaf(matter, leaf, clock, weight).log_factor for leaf, clock, weight in found}
    weights = {key: matter.whole.weight_of(branch=key[0], clock=key[1]) for key in by_branch}
    terms = [factor + np.log(weights[key]) for key, factor in by_branch.items() if weights[key] > 0]
    return float(log_sum(np.array(terms)) - np.log(sum(weights.values()))) if terms else 0.0


def _weighty(matter: Matter) -> Iterator[tuple[Leaf, str, float]]:
    """Leaves and clocks that weigh enough in the whole."""
    for clock in CLOCKS:
        for leaf in leaves_of(matter.prior):
            weight = matter.whole.weight_of(branch=leaf.branch, family=leaf.family, clock=clock)
            if weight > WORTH_SPLITTING:
                yield leaf, clock, weight


def _alike(matter: Matter, block: TwoClocks) -> _Found:
    """Wear on both clocks at once is not told apart: every stratum has the laws of the whole."""
    weight = float(block.weight.sum())
    return _Found(weight, 0.0, {stratum: [_scaled(block, 1 / weight)] for stratum in matter.lives})


def _split_leaf(matter: Matter, leaf: Leaf, clock: str, weight: float) -> _Found:
    every = ages_from_lives(matter.every_life, clock)
    scale_prior = matter.knowledge[clock].scale_prior(matter.prior, every)
    whole = leaf_points(evidence_of(every), scale_prior, leaf, clock)
    log_whole = float(log_sum(whole.weight)) - np.log(leaf.weight)
    evidences = {stratum: evidence_of(ages) for stratum, ages in matter.ages(clock).items()}
    reference = _reference(whole, leaf, matter.prior)
    shares = _shares(leaf)
    found = [_tied(evidences, leaf, reference, scale_prior, matter.prior, share) for share in shares]
    log_evidence = np.array([tied.log_evidence for _, tied in found]) - np.log(len(shares))
    total = float(log_sum(log_evidence))
    heights = np.exp(log_evidence - total)
    blocks = {
        stratum: [
            _block(tables[place], tied.weights[place] * height, leaf, clock, share)
            for (tables, tied), height, share in zip(found, heights, shares, strict=True)
        ]
        for place, stratum in enumerate(evidences)
    }
    return _Found(weight, total - log_whole, blocks)


def _tied(
    evidences: Mapping[Stratum, Evidence], leaf: Leaf, reference: Reference, scale_prior: ScalePrior, prior: Prior, share: float | None
) -> tuple[list[Table], Tied]:
    tables = [likelihood_table(evidence, leaf.family, reference, share) for evidence in evidences.values()]

    def of_shape(points: Array) -> Array:
        away = (points - np.log(leaf.shape_median)) / leaf.shape_sd
        return -0.5 * away**2 - np.log(leaf.shape_sd * np.sqrt(2 * np.pi))

    spread = prior.strata_shape_spread if leaf.shape_sd else 0.0
    return tables, tie(tables, Common(of_shape, spread), Common(scale_prior.log_density, prior.strata_scale_spread))


def _reference(whole: Block, leaf: Leaf, prior: Prior) -> Reference:
    """Where a stratum may lie: around the whole, as far as the spread allows."""
    weight = np.exp(whole.weight - log_sum(whole.weight))
    log_scale = np.log(whole.scale)
    middle = float(weight @ log_scale)
    sd = float(np.sqrt(weight @ (log_scale - middle) ** 2))
    shape_sd = float(np.hypot(leaf.shape_sd, _WIDER * prior.strata_shape_spread)) if leaf.shape_sd else 0.0
    return Reference(float(np.log(leaf.shape_median)), shape_sd, middle, float(np.hypot(sd, _WIDER * prior.strata_scale_spread)))


def _shares(leaf: Leaf) -> list[float | None]:
    """Shares of constant hazard at even steps of their Beta(1, .) prior; none where the family has none."""
    if not leaf.floor_share:
        return [None]
    power = 1 / leaf.floor_share - 1
    steps = (np.arange(_SHARES) + 0.5) / _SHARES
    return [float(share) for share in 1 - (1 - steps) ** (1 / power)]


def _block(table: Table, weights: Array, leaf: Leaf, clock: str, share: float | None) -> Block:
    shapes, scales = (points.ravel() for points in np.meshgrid(table.log_shape, table.log_scale, indexing="ij"))
    cells = [float(edges[1] - edges[0]) if edges.size > 1 else 0.0 for edges in (table.shape_edges, table.scale_edges)]
    shape_cell, scale_cell = (np.full(shapes.size, cell) for cell in cells)
    floor = None if share is None else np.full(shapes.size, share)
    return Block(leaf.branch, leaf.family, clock, np.exp(shapes), np.exp(scales), weights.ravel(), floor, shape_cell, scale_cell)


def _together(matter: Matter, found: Sequence[_Found]) -> Split:
    log_weight = np.array([np.log(one.weight) + one.log_factor for one in found])
    total = float(log_sum(log_weight))
    heights = np.exp(log_weight - total)
    log_factor = total - float(np.log(sum(one.weight for one in found)))
    held: dict[Stratum, Posterior] = {}
    for stratum, rows in matter.lives.items():
        blocks = [_scaled(block, height) for one, height in zip(found, heights, strict=True) for block in one.blocks[stratum]]
        supported = {clock: supported_age(ages_from_lives(rows, clock)) or age for clock, age in matter.whole.supported.items()}
        held[stratum] = Posterior(pruned(blocks), supported, matter.whole.log_evidence + log_factor, matter.whole.basis)
    return Split(log_factor, held)


def _scaled(block: Block, times: float) -> Block:
    return replace(block, weight=block.weight * times)
