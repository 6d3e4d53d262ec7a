"""A part told apart by strata, against the same part taken as one: how much better that foretells its lives, and what to believe of each.

In: `Whole`: the part taken as one, with what is known of it; which lives make each stratum. Out: `Split`.
How a part fails (branch and family) and the clock it lives on belong to its mechanism, so all strata share them; shape and scale may differ
(`strata`). The middle of the strata has the very prior that the whole has, so that strata without any spread are the whole again, and the
evidence tells of the difference between the strata alone. A share of constant hazard is common to the strata too.
Elsewhere: the integration (`strata`), wear on both clocks at once (`two_clock_splits`), which columns are worth it (`covariates`).
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, cached_property

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipelines.fits.ages import CLOCKS, Ages
from pipelines.fits.blocks import WEARS_OUT, Block
from pipelines.fits.fitted_badly_block import FITTED_BADLY
from pipelines.fits.knowledge import Knowledge, ScalePrior
from pipelines.fits.lattice import log_sum
from pipelines.fits.leaves import Leaf, leaf_points, leaves_of
from pipelines.fits.likelihood import EXPONENTIAL, WEIBULL, Evidence, evidence_of, sketch_of
from pipelines.fits.likelihood_table import Reference, Table, likelihood_table, values_of
from pipelines.fits.posterior import Posterior, pruned, supported_age
from pipelines.fits.row_ages import RowAges, ages_by_row
from pipelines.fits.strata import Common, Tied, tie
from pipelines.fits.two_clock_block import BOTH, TwoClocks
from pipelines.fits.two_clock_splits import SplitOnBoth, split_on_both
from pipelines.terms.settings import Prior

Array = NDArray[np.float64]
Stratum = tuple[str, ...]
"""Words of the columns that the strata are told apart by, in their order."""
Told = tuple[Evidence, Evidence]
"""Evidence of a stratum in full, and a sketch of it."""
Strata = Mapping[Stratum, NDArray[np.intp]]
"""Numbers of the rows of lives of each stratum; none at all is allowed."""

WORTH_SPLITTING, WORTH_TRYING = 2e-3, 2e-2
"""Leaves that weigh less in the whole are left out of its strata, and of trying columns."""
_SHARES = 4
_WIDER = 2.0
_LAWS, _FEW_LAWS = 24, 4
_PLAIN = (WEIBULL, EXPONENTIAL)
_LIGHT, _LIGHTEST = 0.1, -600.0


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
class _Leaf:
    """One leaf on one clock as the whole has it: its weight there, the evidence for it, and where a stratum may lie."""

    leaf: Leaf
    clock: str
    weight: float
    log_evidence: float
    reference: Reference
    scale_prior: ScalePrior


@dataclass(frozen=True, eq=False)
class Whole:
    """One part taken as one.

    Attributes
    ----------
    posterior, lives
        What is believed of it, from rows of `derived.lives`.
    knowledge
        {clock: what is known of its scale}.
    prior
        The tree and the spreads between strata.
    """

    posterior: Posterior
    lives: pl.DataFrame
    knowledge: Mapping[str, Knowledge]
    prior: Prior
    _leaves: dict[tuple[str, str, str], _Leaf] = field(default_factory=dict)

    @cached_property
    def ages(self) -> dict[str, RowAges]:
        """Ages of the lives on each clock, row by row."""
        return {clock: ages_by_row(self.lives, clock) for clock in CLOCKS}

    @cached_property
    def on_both(self) -> TwoClocks | None:
        """Laws that wear on both clocks; `None`: the whole has none."""
        return next((block for block in self.posterior.blocks if isinstance(block, TwoClocks)), None)

    def leaves(self, least: float) -> Iterator[_Leaf]:
        """Give the leaves on one clock that weigh at least so much, and plain wear beside them.

        Strata that differ look like another family when taken as one: plain wear may weigh nothing in the whole and all in the strata.
        """
        for clock in CLOCKS:
            weights = [
                (leaf, self.posterior.weight_of(branch=leaf.branch, family=leaf.family, clock=clock)) for leaf in leaves_of(self.prior)
            ]
            for leaf, weight in weights:
                if weight > least:
                    yield self._leaf(leaf, clock, weight)
                elif (
                    leaf.family == WEIBULL and leaf.branch == WEARS_OUT and self.posterior.weight_of(branch=WEARS_OUT, clock=clock) > least
                ):
                    yield self._weighed_by_evidence(leaf, clock, *max(weights, key=lambda pair: pair[1]))

    def _weighed_by_evidence(self, leaf: Leaf, clock: str, heaviest: Leaf, weight: float) -> _Leaf:
        """Weigh a leaf too light to have points by its evidence against that of the heaviest leaf."""
        one, other = self._leaf(leaf, clock, 0.0), self._leaf(heaviest, clock, weight)
        log_ratio = one.log_evidence - other.log_evidence + np.log(leaf.weight / heaviest.weight)
        return replace(one, weight=weight * float(np.exp(max(log_ratio, _LIGHTEST))))

    def _leaf(self, leaf: Leaf, clock: str, weight: float) -> _Leaf:
        key = (clock, leaf.branch, leaf.family)
        if key not in self._leaves:
            ages = self.ages[clock].every
            scale_prior = self.knowledge[clock].scale_prior(self.prior, ages)
            points = leaf_points(evidence_of(ages), scale_prior, leaf, clock)
            log_evidence = float(log_sum(points.weight)) - float(np.log(leaf.weight))
            self._leaves[key] = _Leaf(leaf, clock, weight, log_evidence, _reference(points, leaf, self.prior), scale_prior)
        return replace(self._leaves[key], weight=weight)


@dataclass(frozen=True)
class _Found:
    """A leaf split: its weight in the whole, its factor, and its blocks a stratum, their weights adding to 1."""

    weight: float
    log_factor: float
    blocks: Mapping[Stratum, Sequence[Block]]


def split_of(whole: Whole, strata: Strata) -> Split:
    """Tell the strata apart over the whole prior tree, and on both clocks at once where the whole does."""
    held = list(whole.leaves(WORTH_SPLITTING))
    told = _told(whole, strata, held)
    found = [_split_leaf(whole, strata, one, told[one.clock]) for one in held]
    both = _on_both(whole, strata, WORTH_SPLITTING, _LAWS)
    if both is not None:
        found.append(_Found(whole.posterior.weight_of(clock=BOTH), both.log_factor, both.blocks))
    return _together(whole, strata, [*found, *_fitted_alike(whole, strata)])


def _fitted_alike(whole: Whole, strata: Strata) -> Iterator[_Found]:
    """Give every stratum the laws of the whole with bad fittings: few early failures cannot tell whose fittings are the worse."""
    weight = whole.posterior.weight_of(branch=FITTED_BADLY)
    if weight > WORTH_SPLITTING:
        badly = [replace(one, weight=one.weight / weight) for one in whole.posterior.blocks if one.branch == FITTED_BADLY]
        yield _Found(weight, 0.0, dict.fromkeys(strata, badly))


def log_factor_of(whole: Whole, strata: Strata) -> float:
    """Logarithm of the Bayes factor of the strata against the whole, read from the plainest law of each branch and clock.

    Lognormal lives and those with a share of constant hazard count as Weibull lives of the same branch do: the factor rests on how far the
    strata lie apart, hardly on the family. Quick enough to try many columns.
    """
    held = list(whole.leaves(WORTH_TRYING))
    told = _told(whole, strata, held)
    terms = [(weight, _split_leaf(whole, strata, one, told[one.clock]).log_factor) for one, weight in _standing_for_branches(held)]
    both = _on_both(whole, strata, WORTH_TRYING, _FEW_LAWS)
    if both is not None:
        terms.append((whole.posterior.weight_of(clock=BOTH), both.log_factor))
    weights = np.array([weight for weight, _ in terms])
    factors = np.array([factor for _, factor in terms])
    return float(log_sum(np.log(weights / weights.sum()) + factors)) if terms else 0.0


def _standing_for_branches(held: Sequence[_Leaf]) -> Iterator[tuple[_Leaf, float]]:
    """Give for each branch and clock its plain law with the weight of all; where that is light, the heaviest beside it."""
    for key in dict.fromkeys((one.leaf.branch, one.clock) for one in held):
        leaves = [one for one in held if (one.leaf.branch, one.clock) == key]
        total = sum(one.weight for one in leaves)
        plain = next((one for one in leaves if one.leaf.family in _PLAIN), leaves[0])
        heaviest = max(leaves, key=lambda one: one.weight)
        if plain is heaviest or plain.weight > _LIGHT * total:
            yield plain, total
        else:
            yield plain, plain.weight
            yield heaviest, total - plain.weight


def _on_both(whole: Whole, strata: Strata, least: float, laws: int) -> SplitOnBoth | None:
    if whole.on_both is None or whole.posterior.weight_of(clock=BOTH) <= least:
        return None
    lives = {stratum: whole.lives[rows] for stratum, rows in strata.items()}
    scale_prior = whole.knowledge["months"].scale_prior(whole.prior, whole.ages["months"].every)
    return split_on_both(whole.on_both, lives, Common(scale_prior.log_density, whole.prior.strata_scale_spread), laws)


def _told(whole: Whole, strata: Strata, held: Sequence[_Leaf]) -> dict[str, list[Told]]:
    """Sort the lives of each stratum on each clock that is needed, once for all leaves."""
    evidences = {
        clock: [evidence_of(whole.ages[clock].of(rows)) for rows in strata.values()] for clock in dict.fromkeys(one.clock for one in held)
    }
    return {clock: [(evidence, sketch_of(evidence)) for evidence in told] for clock, told in evidences.items()}


def _split_leaf(whole: Whole, strata: Strata, one: _Leaf, told: Sequence[Told]) -> _Found:
    shares = _shares(one.leaf)
    found = [_tied(told, one, whole.prior, share) for share in shares]
    log_evidence = np.array([tied.log_evidence for _, tied in found]) - np.log(len(shares))
    total = float(log_sum(log_evidence))
    heights = np.exp(log_evidence - total)
    blocks = {
        stratum: [
            _block(tables[place], tied.weights[place] * height, one, share)
            for (tables, tied), height, share in zip(found, heights, shares, strict=True)
        ]
        for place, stratum in enumerate(strata)
    }
    return _Found(one.weight, total - one.log_evidence, blocks)


def _tied(told: Sequence[Told], one: _Leaf, prior: Prior, share: float | None) -> tuple[list[Table], Tied]:
    family = one.leaf.family
    tables = [likelihood_table(values_of(full, family, share), values_of(sketch, family, share), one.reference) for full, sketch in told]
    spread = prior.strata_shape_spread if one.leaf.shape_sd else 0.0
    return tables, tie(tables, Common(_of_shape(one.leaf), spread), Common(one.scale_prior.log_density, prior.strata_scale_spread))


def _of_shape(leaf: Leaf) -> Callable[[Array], Array]:
    """Prior density of the middle of ln shape: that of the whole."""

    def log_density(points: Array) -> Array:
        away = (points - np.log(leaf.shape_median)) / leaf.shape_sd
        return -0.5 * away**2 - np.log(leaf.shape_sd * np.sqrt(2 * np.pi))

    return log_density


def _reference(whole: Block, leaf: Leaf, prior: Prior) -> Reference:
    """Say where a stratum may lie: around the whole, as far as the spread allows."""
    weight = np.exp(whole.weight - log_sum(whole.weight))
    log_scale = np.log(whole.scale)
    middle = float(weight @ log_scale)
    sd = float(np.sqrt(weight @ (log_scale - middle) ** 2))
    shape_sd = float(np.hypot(leaf.shape_sd, _WIDER * prior.strata_shape_spread)) if leaf.shape_sd else 0.0
    return Reference(float(np.log(leaf.shape_median)), shape_sd, middle, float(np.hypot(sd, _WIDER * prior.strata_scale_spread)))


@cache
def _shares(leaf: Leaf) -> list[float | None]:
    """Shares of constant hazard at even steps of their Beta(1, .) prior; none where the family has none."""
    if not leaf.floor_share:
        return [None]
    power = 1 / leaf.floor_share - 1
    steps = (np.arange(_SHARES) + 0.5) / _SHARES
    return [float(share) for share in 1 - (1 - steps) ** (1 / power)]


def _block(table: Table, weights: Array, one: _Leaf, share: float | None) -> Block:
    shapes, scales = (points.ravel() for points in np.meshgrid(table.log_shape, table.log_scale, indexing="ij"))
    cells = [float(edges[1] - edges[0]) if edges.size > 1 else 0.0 for edges in (table.shape_edges, table.scale_edges)]
    shape_cell, scale_cell = (np.full(shapes.size, cell) for cell in cells)
    floor = None if share is None else np.full(shapes.size, share)
    leaf = one.leaf
    return Block(leaf.branch, leaf.family, one.clock, np.exp(shapes), np.exp(scales), weights.ravel(), floor, shape_cell, scale_cell)


def _together(whole: Whole, strata: Strata, found: Sequence[_Found]) -> Split:
    log_weight = np.array([np.log(one.weight) + one.log_factor for one in found])
    total = float(log_sum(log_weight))
    heights = np.exp(log_weight - total)
    log_factor = total - float(np.log(sum(one.weight for one in found)))
    held: dict[Stratum, Posterior] = {}
    for stratum, rows in strata.items():
        blocks = [
            replace(block, weight=block.weight * height)
            for one, height in zip(found, heights, strict=True)
            for block in one.blocks[stratum]
        ]
        held[stratum] = Posterior(pruned(blocks), _supported(whole, rows), whole.posterior.log_evidence + log_factor, whole.posterior.basis)
    return Split(log_factor, held)


def _supported(whole: Whole, rows: NDArray[np.intp]) -> dict[str, float]:
    """Ages that the lives of a stratum support, those of the whole where it has none."""
    own: dict[str, Ages] = {clock: whole.ages[clock].of(rows) for clock in CLOCKS}
    return {
        clock: supported_age(own[clock]) if clock in own and own[clock].lives else age for clock, age in whole.posterior.supported.items()
    }
