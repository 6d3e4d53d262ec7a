"""Strata of a part that wears on both clocks at once.

In: the laws of the whole on both clocks, the lives of each stratum, what is believed of ln age over all strata. Out: `SplitOnBoth`.
Strata share the two shapes and the share of the hazard that hours bring, taken from a few laws that stand for the whole; they differ in the
age by which most have failed, that is in one factor on both scales. Two shapes a stratum would ask more of the lives than they tell.
Elsewhere: strata on one clock (`splits`), the integration (`strata`), the law (`two_clock_block`).
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipelines.fits.lattice import log_sum
from pipelines.fits.likelihood_table import Reference, Table, likelihood_table, middles
from pipelines.fits.strata import Common, tie
from pipelines.fits.two_clock_block import TwoClocks
from pipelines.fits.two_clock_likelihood import Pairs, log_likelihood, pairs_of, sketch_of

Array = NDArray[np.float64]
Stratum = tuple[str, ...]

_BOTH_AGES = ("entry_h", "low_h", "entry_months", "low_months")
_MOST_FAILED = -np.expm1(-1.0)
_EDGE = 1e-9
_WIDER = 2.0
_KNOWN_SHAPE = 0.0


@dataclass(frozen=True)
class SplitOnBoth:
    """Factor of the strata against the whole, and a block a stratum whose weights add to 1."""

    log_factor: float
    blocks: Mapping[Stratum, tuple[TwoClocks]]


@dataclass(frozen=True)
class _Law:
    """Shapes, and what hours bring of the hazard when most have failed; where ln age of a stratum may lie."""

    shapes: Array
    share: float
    reference: Reference

    def values(self, pairs: Pairs):
        """Log-likelihood over ln ages, one row."""

        def of(_: Array, log_age: Array) -> Array:
            count = log_age.size
            return log_likelihood(pairs, np.tile(self.shapes, (count, 1)), np.full(count, self.share), log_age)[None, :]

        return of

    def table(self, pairs: Pairs, sketch: Pairs) -> Table:
        """Likelihood table over ln age."""
        return likelihood_table(self.values(pairs), self.values(sketch), self.reference)


def split_on_both(laws: TwoClocks, lives: Mapping[Stratum, pl.DataFrame], age: Common, count: int) -> SplitOnBoth:
    """Tell strata apart under laws on both clocks.

    Parameters
    ----------
    laws
        Of the whole.
    lives
        Rows of `derived.lives` of each stratum; those without both ages are passed over.
    age
        What is believed of ln age (months, most have failed) over all strata.
    count
        Laws that stand for the whole.
    """
    timed = {stratum: rows.drop_nulls(_BOTH_AGES) for stratum, rows in lives.items()}
    pairs = {stratum: pairs_of(rows, laws.hours_a_month) for stratum, rows in timed.items()}
    sketches = {stratum: sketch_of(one) for stratum, one in pairs.items()}
    every = pairs_of(pl.concat(timed.values()), laws.hours_a_month)
    chosen = _standing_for(laws, count, age.spread)
    tables = [[law.table(pairs[one], sketches[one]) for one in pairs] for law in chosen]
    nothing_known = Common(np.zeros_like, 0.0)
    tied = [tie(each, nothing_known, age) for each in tables]
    alone = [tie([law.table(every, sketch_of(every))], nothing_known, replace(age, spread=0.0)).log_evidence for law in chosen]
    log_factors = np.array([one.log_evidence for one in tied]) - np.array(alone)
    total = float(log_sum(log_factors))
    heights = np.exp(log_factors - total)
    blocks = {
        stratum: (
            _block(laws, chosen, [each[place] for each in tables], [t.weights[place][0] * h for t, h in zip(tied, heights, strict=True)]),
        )
        for place, stratum in enumerate(pairs)
    }
    return SplitOnBoth(total - float(np.log(len(chosen))), blocks)


def _standing_for(laws: TwoClocks, count: int, spread: float) -> list[_Law]:
    """Choose laws at even steps through the weight of the whole, in the order of its points."""
    heights = np.cumsum(laws.weight) / laws.weight.sum()
    few = laws.only(np.searchsorted(heights, (np.arange(count) + 0.5) / count))
    log_age = np.log(laws.age_at(_MOST_FAILED))
    weight = laws.weight / laws.weight.sum()
    middle = float(weight @ log_age)
    sd = float(np.hypot(np.sqrt(weight @ (log_age - middle) ** 2), _WIDER * spread))
    ages = few.age_at(_MOST_FAILED)
    share = np.clip((ages * few.hours_a_month / few.scale) ** few.shape, _EDGE, 1 - _EDGE)
    reference = Reference(_KNOWN_SHAPE, 0.0, middle, sd)
    return [_Law(np.array([h, m]), float(s), reference) for h, m, s in zip(few.shape, few.months_shape, share, strict=True)]


def _block(laws: TwoClocks, chosen: list[_Law], tables: list[Table], weights: list[Array]) -> TwoClocks:
    """Put the cells of every law into one block."""
    ages = [np.exp(middles(table.scale_edges)) for table in tables]
    each = np.repeat(np.arange(len(chosen)), [one.size for one in ages])
    shapes, share = np.array([law.shapes for law in chosen])[each], np.array([law.share for law in chosen])[each]
    age = np.concatenate(ages)
    cell = np.repeat([float(table.scale_edges[1] - table.scale_edges[0]) for table in tables], [one.size for one in ages])
    return replace(
        laws,
        shape=shapes[:, 0],
        scale=laws.hours_a_month * age * share ** (-1 / shapes[:, 0]),
        weight=np.concatenate(weights),
        months_shape=shapes[:, 1],
        months_scale=age * (1 - share) ** (-1 / shapes[:, 1]),
        scale_cell=cell,
        shape_cell=0.0,
    )
