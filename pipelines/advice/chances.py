"""The chance that each part fails in the days ahead, given that it has lasted until now.

In: present parts, estimates, engine hours ahead. Out: one probability a part.
Elsewhere: the laws (`fits`), the ages (`present`).
"""

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipelines.advice.age_replacement import Array
from pipelines.advice.case import Estimate
from pipelines.advice.laws import representative
from pipelines.advice.seasons import Seasons
from pipelines.advice.use import DAYS_A_MONTH
from pipelines.fits.posterior import Block

LAWS = 120
_GONE = 1e-300


def failure_chances(present: pl.DataFrame, estimates: Sequence[Estimate], seasons: Seasons, days: float) -> Array:
    """Chance that each part fails within so many days, averaged over the posterior; not a number where no age or law is known."""
    ages = {"hours": present["age_h"].to_numpy(), "months": present["age_months"].to_numpy()}
    ahead = {"hours": seasons.hours_by(present["hours_engine_id"].to_list(), days), "months": np.full(present.height, days / DAYS_A_MONTH)}
    chances = np.full(present.height, np.nan)
    for estimate, rows in matched(present, estimates):
        if estimate.posterior is None:
            continue
        blocks = representative(estimate.posterior, LAWS)
        here, further = ({clock: held[rows] for clock, held in both.items()} for both in (ages, ahead))
        parts = [_failing(block, here, further) for block in blocks]
        weights = np.array([block.weight.sum() for block in blocks])
        chances[rows] = _mean_of_known(np.array(parts), weights)
    return chances


def matched(rows: pl.DataFrame, estimates: Sequence[Estimate]) -> Iterator[tuple[Estimate, NDArray[np.intp]]]:
    """Give each estimate with the numbers of the rows it is for: those of its component and group that no finer group claims."""
    taken = np.zeros(rows.height, dtype=bool)
    for estimate in sorted(estimates, key=lambda one: -len(one.group or {})):
        fits = rows.select(estimate.is_of).to_series().to_numpy()
        chosen = np.flatnonzero(fits & ~taken)
        taken[chosen] = True
        if chosen.size:
            yield estimate, chosen


def _failing(block: Block, age: Mapping[str, Array], ahead: Mapping[str, Array]) -> Array:
    """Mean chance over the laws of one block, for each part."""
    share = block.weight / block.weight.sum()
    looked_at = {clock: np.concatenate([now, now + ahead[clock]]) for clock, now in age.items()}
    now, then = block.survival_of(looked_at).reshape(share.size, 2, -1).transpose(1, 0, 2)
    return share @ (1 - then / np.maximum(now, _GONE))


def _mean_of_known(chances: Array, weights: Array) -> Array:
    """Mean over the blocks whose clock is known for a part."""
    known = ~np.isnan(chances)
    weight = weights[:, None] * known
    total = weight.sum(axis=0)
    return np.where(total > 0, np.nansum(chances * weight, axis=0) / np.where(total > 0, total, 1), np.nan)
