"""Ages of lives on one clock row by row, so that any choice of rows is had quickly.

In: rows of `derived.lives`. Out: `RowAges`, of which any rows are `Ages`.
Elsewhere: reading and checking ages (`ages`).
"""

from dataclasses import dataclass, replace

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipelines.fits.ages import CLOCKS, Ages

Array = NDArray[np.float64]


@dataclass(frozen=True)
class RowAges:
    """Ages a row of lives: entry, low, high as in `Ages`; `known` is false where there is nothing to read on this clock."""

    entry: Array
    low: Array
    high: Array
    known: NDArray[np.bool_]

    @property
    def finish(self) -> Array:
        """Age at which each row was last watched: when it failed at the latest, or when it was suspended."""
        return np.where(np.isinf(self.high), self.low, self.high)

    @property
    def every(self) -> Ages:
        """Ages of all rows."""
        return self.of(np.arange(self.low.size))

    def of(self, rows: NDArray[np.intp]) -> Ages:
        """Ages of some rows, each with a count of one."""
        kept = rows[self.known[rows]]
        return Ages(self.entry[kept], self.low[kept], self.high[kept], np.ones(kept.size))


def ages_by_row(lives: pl.DataFrame, clock: str) -> RowAges:
    """Read the ages of lives on one clock; rows without an age, or watched for no time, are not known.

    Parameters
    ----------
    lives
        Rows of `derived.lives`, checked as `ages.ages_from_lives` checks them.
    clock
        `hours` or `months`.
    """
    entry, low, high = (lives[f"{part}_{CLOCKS[clock]}"].cast(pl.Float64).fill_null(np.nan).to_numpy() for part in ("entry", "low", "high"))
    ends = np.where(np.isnan(high), np.inf, high)
    found = RowAges(entry, np.fmax(low, entry), ends, ~np.isnan(low) & ~np.isnan(entry))
    return replace(found, known=found.known & (np.nan_to_num(found.finish) > np.nan_to_num(entry)))
