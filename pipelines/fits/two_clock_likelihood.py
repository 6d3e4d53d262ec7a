"""Log-likelihood of lives of which both ages are known, hours and months, under wear on both clocks.

In: rows of `derived.lives`. Out: `Pairs`, the sums and rows that a likelihood needs, and `log_likelihood` over many points at once.
The law is written by the age T in months at which the cumulative hazard is 1 at the group's own use, and the share of it that hours bring:
H = share x (hours / (use T))^shape_h + (1 - share) x (months / T)^shape_m. Share 1 is a Weibull law on hours, share 0 one on months.
A failure at a known age adds ln of the hazard a month along the life's own use, so that the likelihood stands on the measure of months,
as those of one clock do when they are compared (`clocks`).
Elsewhere: one clock (`likelihood`), what to believe (`two_clocks`).
"""

from dataclasses import dataclass, replace

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipelines.fits.likelihood import on_lattice

Array = NDArray[np.float64]

_MOST_CELLS = 300_000
_MOST_AGES, _STEP = 200, 0.03
_FINE_ROWS, _SKETCH_ROWS = 2500, 150
_FIRST_WIDTH = 0.01
_LEAST = 1e-300


@dataclass(frozen=True)
class Pairs:
    """What a likelihood reads of lives on both clocks; ages are logarithms, hours relative to use x unit, months to unit.

    Attributes
    ----------
    log_unit
        Logarithm of the greatest age in months.
    use
        Hours a month of the group.
    hours, hours_count, months, months_count
        Ages survived or failed at, and with a negative count those at entry, on each clock apart: their hazards only add.
    exact, exact_count
        d x 2, ages (hours, months) of failures.
    low, high, interval_count
        n x 2 each, ends of intervals in which a failure lies.
    log_months
        Sum of ln(months) over failures at a known age.
    """

    log_unit: float
    use: float
    hours: Array
    hours_count: Array
    months: Array
    months_count: Array
    exact: Array
    exact_count: Array
    low: Array
    high: Array
    interval_count: Array
    log_months: float

    @property
    def failures(self) -> float:
        """Failures at a known age and between two ages."""
        return float(self.exact_count.sum() + self.interval_count.sum())


def pairs_of(lives: pl.DataFrame, use: float) -> Pairs:
    """Sort lives with both ages into the terms of a log-likelihood.

    Parameters
    ----------
    lives
        Columns entry_h, low_h, high_h, entry_months, low_months, high_months; only `high` may be empty: had not failed.
    use
        Hours a month of the group, above 0.
    """
    entry, low, high = (lives.select(f"{part}_h", f"{part}_months").cast(pl.Float64).to_numpy() for part in ("entry", "low", "high"))
    low = np.maximum(low, entry)
    failed = ~np.isnan(high).any(axis=1)
    exact = failed & (low == high).all(axis=1)
    unit = float(np.nanmax(np.concatenate([low[:, 1], high[:, 1]]), initial=0.0)) or 1.0
    scales = np.array([use * unit, unit])
    entry, low, high = (_log(part / scales) for part in (entry, low, high))
    hours, months = (_survived(low[:, clock], entry[:, clock]) for clock in (0, 1))
    between = failed & ~exact
    pairs, pair_count = _merged(low[exact], _FINE_ROWS)
    ends, end_count = _merged(np.hstack([low[between], high[between]]), _FINE_ROWS)
    log_months = float(low[exact, 1].sum() + exact.sum() * np.log(unit))
    return Pairs(float(np.log(unit)), use, *hours, *months, pairs, pair_count, ends[:, :2], ends[:, 2:], end_count, log_months)


def sketch_of(pairs: Pairs) -> Pairs:
    """Return much the same evidence on few rows, to see quickly where a posterior has its mass."""
    exact, exact_count = _merged(pairs.exact, _SKETCH_ROWS, pairs.exact_count)
    ends, end_count = _merged(np.hstack([pairs.low, pairs.high]), _SKETCH_ROWS, pairs.interval_count)
    return replace(pairs, exact=exact, exact_count=exact_count, low=ends[:, :2], high=ends[:, 2:], interval_count=end_count)


def log_likelihood(pairs: Pairs, shapes: Array, share: Array, log_age: Array) -> Array:
    """Log-likelihood at k points.

    Parameters
    ----------
    pairs
        The lives.
    shapes
        k x 2, on hours and on months.
    share
        k of them, 0 to 1: what hours bring of the hazard at T.
    log_age
        k of them, ln T, months.

    Returns
    -------
    array
        k of them; minus infinity where the lives are impossible.
    """
    at = log_age - pairs.log_unit
    with np.errstate(divide="ignore", over="ignore", invalid="ignore", under="ignore"):
        # Powers of age times powers of T, so that each age is raised once a shape.
        weight = np.log(np.stack([share, 1 - share], axis=1)) - shapes * at[:, None]
        total = -np.exp(weight[:, 0]) * _power_sum(shapes[:, 0], pairs.hours, pairs.hours_count)
        total = total - np.exp(weight[:, 1]) * _power_sum(shapes[:, 1], pairs.months, pairs.months_count)
        total = total + _densities(pairs, shapes, weight) + _between(pairs, shapes, weight) - pairs.log_months
    return np.where(np.isnan(total), -np.inf, total)


def _densities(pairs: Pairs, shapes: Array, weight: Array) -> Array:
    """Sum of ln(months x hazard a month) over failures at a known age."""
    total, steep = np.zeros(len(shapes)), weight + np.log(shapes)
    for rows in _blocks(len(pairs.exact), len(shapes)):
        hazard = sum(np.exp(steep[:, c, None] + shapes[:, c, None] * pairs.exact[None, rows, c]) for c in (0, 1))
        total += np.vecdot(np.log(hazard), pairs.exact_count[rows])
    return total


def _between(pairs: Pairs, shapes: Array, weight: Array) -> Array:
    """Sum of ln(1 - exp(-hazard gained)) over intervals; -H(low) is among the survived ages."""
    total = np.zeros(len(shapes))
    for rows in _blocks(len(pairs.low), len(shapes)):
        gained = np.zeros((len(shapes), len(pairs.low[rows])))
        for c in (0, 1):
            for ends, way in ((pairs.high, 1), (pairs.low, -1)):
                gained += way * np.exp(weight[:, c, None] + shapes[:, c, None] * ends[None, rows, c])
        total += np.vecdot(np.log(-np.expm1(-np.maximum(gained, _LEAST))), pairs.interval_count[rows])
    return total


def _power_sum(shape: Array, log_ages: Array, counts: Array) -> Array:
    return np.maximum(np.exp(shape[:, None] * log_ages) @ counts, 0.0)


def _survived(reached: Array, entry: Array) -> tuple[Array, Array]:
    ages = np.concatenate([reached, entry])
    counts = np.concatenate([np.ones(reached.size), -np.ones(entry.size)])
    some = np.isfinite(ages)
    return on_lattice(ages[some], counts[some], _MOST_AGES, _STEP)


def _merged(rows: Array, most: int, counts: Array | None = None) -> tuple[Array, Array]:
    """Put rows that lie close together into one, at their mean, until there are few enough; ages of 0 stay apart from others."""
    held: Array = np.ones(len(rows)) if counts is None else counts
    width = _FIRST_WIDTH
    while len(rows) > most:
        cell = np.round(np.where(np.isfinite(rows), rows, -1e6) / width)
        _, place = np.unique(cell, axis=0, return_inverse=True)
        place = place.ravel()
        total = np.bincount(place, held).astype(np.float64)
        rows = np.stack([np.bincount(place, held * column) / total for column in rows.T], axis=1)
        held, width = total, 1.5 * width
    return rows, held


def _log(ages: Array) -> Array:
    return np.log(ages, out=np.full(ages.shape, -np.inf), where=ages > 0)


def _blocks(rows: int, width: int) -> list[slice]:
    size = max(1, _MOST_CELLS // max(width, 1))
    return [slice(start, start + size) for start in range(0, rows, size)]
