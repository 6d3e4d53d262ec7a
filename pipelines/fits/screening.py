"""A quick look at whether groups fail more or less than the whole foretells, to spare the long way where nothing stands out.

In: a part taken as one. Out: failures expected of each life, and a rough Bayes factor of any groups.
Failures of a group are taken as Poisson around what the whole foretells for its lives, and their logarithm as normal with a spread between
groups that is averaged over its prior. Rough, but on the kind side: it takes the middle of the groups as known.
Elsewhere: the Bayes factor that decides (`splits`).
"""

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from pipelines.fits.ages import CLOCKS
from pipelines.fits.blocks import Block
from pipelines.fits.lattice import log_sum
from pipelines.fits.splits import Whole
from pipelines.fits.two_clock_block import TwoClocks

Array = NDArray[np.float64]

_LAWS = 7
_TYPICAL_SHAPE = 2.5
_STEPS = (np.arange(6) + 0.5) / 6 * 3.2
_LEAST = 1e-9


def expected_and_failed(whole: Whole) -> tuple[Array, NDArray[np.bool_]]:
    """Failures that the whole foretells for each life, and whether it failed; a life without an age has none of either."""
    total, weight = np.zeros(whole.lives.height), np.zeros(whole.lives.height)
    for block in whole.posterior.blocks:
        one = _middle_law(block)
        found, known = _expected(one, whole)
        total += np.where(known, float(block.weight.sum()) * found, 0.0)
        weight += np.where(known, float(block.weight.sum()), 0.0)
    failed = np.logical_or(*(ages.known & np.isfinite(ages.high) for ages in whole.ages.values()))
    return np.divide(total, weight, out=np.zeros_like(total), where=weight > 0), failed & (weight > 0)


def rough_log_factor(expected: Array, failed: NDArray[np.bool_], groups: Iterable[NDArray[np.intp]], spread: float) -> float:
    """Logarithm of a rough Bayes factor of groups against the whole.

    Parameters
    ----------
    expected, failed
        From `expected_and_failed`.
    groups
        Rows of the lives of each group.
    spread
        Scale of the half-normal prior of the spread of ln scale.
    """
    counts = np.array([[expected[rows].sum(), failed[rows].sum()] for rows in groups])
    usual = np.maximum(counts[:, 0] * counts[:, 1].sum() / max(counts[:, 0].sum(), _LEAST), _LEAST)
    away = (counts[:, 1] - usual) ** 2 / usual
    told = ((_TYPICAL_SHAPE * spread * _STEPS) ** 2)[:, None] * usual
    log_factors = (-0.5 * np.log1p(told) + 0.5 * away * told / (1 + told)).sum(axis=1)
    log_weights = -0.5 * _STEPS**2
    return float(log_sum(log_factors + log_weights) - log_sum(log_weights))


def _middle_law(block: Block) -> Block:
    """Keep a few points at even steps through the weight of a block."""
    heights = np.cumsum(block.weight) / block.weight.sum()
    few = np.searchsorted(heights, (np.arange(_LAWS) + 0.5) / _LAWS)
    return block.only(np.minimum(few, block.weight.size - 1))


def _expected(block: Block, whole: Whole) -> tuple[Array, NDArray[np.bool_]]:
    """Hazard gained over each life, mean of the points of a block; which lives it can be told of."""
    if isinstance(block, TwoClocks):
        hours, months = (whole.ages[clock] for clock in CLOCKS)
        known = hours.known & months.known
        ends = [block.hazard_at(h, m) for h, m in ((hours.finish, months.finish), (hours.entry, months.entry))]
    else:
        ages = whole.ages[block.clock]
        known = ages.known
        ends = [block.cumulative_hazard(np.where(known, at, 0.0)) for at in (ages.finish, ages.entry)]
    return (ends[0] - ends[1]).mean(axis=0), known
