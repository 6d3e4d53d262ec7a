"""Failures soon after fitting: more of them than wear or chance would bring mean that the fitting is at fault, not the part.

In: a `Case`, whose laws weigh bad fitting against wear and chance alone. Out: `EarlyFailures`, or `None` where bad fitting is less likely.
Elsewhere: the laws (`fits.fitted_badly`), what is said of it (`reasons`), batches and fitters (`early_groups`).
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import polars as pl

from pipelines.advice.age_replacement import Array
from pipelines.advice.case import Case
from pipelines.fits.ages import CLOCKS
from pipelines.fits.fitted_badly_block import FITTED_BADLY, FittedBadly
from pipelines.fits.posterior import FAILS_YOUNG, Posterior

FEWEST = 3
"""Failures soon after fitting from which on bad fitting is spoken of."""

_MORE_LIKELY_THAN_NOT = 0.5
_MOST_HAVE_DIED = 3.0
"""Mean ages by which 95 % of bad fittings have died."""


@dataclass(frozen=True)
class EarlyFailures:
    """Failures by an age on one clock, with the number that wear alone would bring, and the parts that were watched at such ages.

    Attributes
    ----------
    probability
        That some fittings are bad, or that the part fails young.
    share
        Share of fittings that are bad, as believed.
    """

    observed: int
    expected: float
    fitted: int
    age: float
    clock: str
    probability: float
    share: float


def early_failures(case: Case) -> EarlyFailures | None:
    """Find whether parts fail soon after fitting, more likely than not, for another reason than wear or chance.

    Fewer than 3 failures by the age at which most bad fittings have died say nothing. A part that is believed to fail young from the first
    hour is counted by the same age, as a share of its scale. In simulation, fleets with wear or chance alone raised hardly a false alarm
    (`tests/whole/bad_fitting_study.py`).
    """
    posterior = case.posterior
    if posterior is None or case.lives.is_empty():
        return None
    chance = posterior.weight_of(branch=FITTED_BADLY) + posterior.weight_of(branch=FAILS_YOUNG)
    badly = [block for block in posterior.blocks if isinstance(block, FittedBadly)]
    if chance <= _MORE_LIKELY_THAN_NOT or not badly:
        return None
    found = _counted(case.lives, max(badly, key=lambda block: block.weight.sum()), chance)
    return found if found.observed >= FEWEST else None


def failed_of_bad_fitting(posterior: Posterior | None, ages: Mapping[str, float]) -> float:
    """Share of parts that bad fitting alone is expected to have ended by an age on each clock: it tells nothing of wear."""
    badly = [block for block in posterior.blocks if isinstance(block, FittedBadly)] if posterior else []
    ends = [(block, [ages[block.clock]]) for block in badly]
    return sum(float(block.weight @ (block.wear.survival(age) - block.survival(age))[:, 0]) for block, age in ends)


def _counted(lives: pl.DataFrame, laws: FittedBadly, chance: float) -> EarlyFailures:
    unit = CLOCKS[laws.clock]
    weight = laws.weight / laws.weight.sum()
    age = _MOST_HAVE_DIED * float(np.exp(weight @ np.log(laws.early_age)))
    known = lives.filter(pl.col(f"low_{unit}").is_not_null())
    entry, low = (known[f"{part}_{unit}"].fill_null(0.0).to_numpy() for part in ("entry", "low"))
    soon = entry < age
    observed = int(((known[f"high_{unit}"] <= age).fill_null(value=False).to_numpy() & soon).sum())
    end = np.minimum(np.maximum(low, entry), age)
    expected = _worn(laws, weight, entry[soon], end[soon])
    return EarlyFailures(observed, expected, int(soon.sum()), age, laws.clock, chance, float(weight @ laws.early_share))


def _worn(laws: FittedBadly, weight: Array, entry: Array, end: Array) -> float:
    """Failures that wear alone is expected to bring between two ages of each life."""
    distinct, place = np.unique(np.concatenate([entry, end]), return_inverse=True)
    hazard = (weight @ laws.wear.cumulative_hazard(distinct))[place]
    return float(-np.expm1(hazard[: entry.size] - hazard[entry.size :]).sum())
