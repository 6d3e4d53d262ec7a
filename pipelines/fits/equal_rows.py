"""Equal lives counted once, quickly: a million of them in a tenth of a second, of whole hours in a fortieth.

In: arrays of entry, low, high and count. Out: the distinct rows, sorted, with their counts added up.
Elsewhere: what the rows mean and which are refused (`ages`).
"""

import numpy as np
import polars as pl
from numpy.typing import NDArray

Array = NDArray[np.float64]
Columns = tuple[Array, Array, Array, Array]
"""Entry, low, high and count."""

NAMES = ("entry", "low", "high", "count")
_AGES = NAMES[:3]
_MANY = 20_000
_ODD = (0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9)
"""Odd 64-bit numbers without a pattern in their bits."""
_SAME = 1e-12
_GREATEST_WHOLE, _MOST_PLACES = 1e6, 2


def counted_once(columns: Columns) -> Columns:
    """Add up the counts of rows that are equal in entry, low and high.

    Parameters
    ----------
    columns
        Entry, low, high (infinite: none) and count, all of one length, none of them not a number.

    Returns
    -------
    tuple
        The distinct rows sorted by entry, low, high.
    """
    at_once = _by_number(columns)
    if at_once is not None:
        return at_once
    # An age of -0 is 0, but its bits are not.
    columns = (columns[0] + 0.0, columns[1] + 0.0, columns[2] + 0.0, columns[3])
    frame = pl.DataFrame(dict(zip(NAMES, columns, strict=True)))
    found = _by_key(frame, columns) if frame.height > _MANY else None
    if found is None:
        found = frame.group_by(_AGES).agg(pl.col("count").sum())
    rows = found.sort(_AGES)
    entry, low, high, count = (rows[name].to_numpy() for name in NAMES)
    return entry, low, high, count


def _by_number(columns: Columns) -> Columns | None:
    """Count rows of whole ages, failed at a known age or not failed, each in a place of its own; `None` for others, or too many places."""
    entry, low, high, count = columns
    if not entry.size or max(entry.max(), low.max()) > _GREATEST_WHOLE:
        return None
    started, reached, suspended = entry.astype(np.int64), low.astype(np.int64), np.isinf(high)
    width = int(reached.max()) + 1
    places = 2 * width * (int(started.max()) + 1)
    if places > _MOST_PLACES * entry.size or not ((started == entry) & (reached == low) & (suspended | (high == low))).all():
        return None
    started *= width
    started += reached
    started *= 2
    started += suspended
    held = np.bincount(started, None if (count == 1.0).all() else count, places).astype(np.float64)
    found = np.flatnonzero(held)
    of_entry, of_low = np.divmod(found // 2, width)
    age = of_low.astype(np.float64)
    return of_entry.astype(np.float64), age, np.where(found % 2, np.inf, age), held[found]


def _by_key(frame: pl.DataFrame, columns: Columns) -> pl.DataFrame | None:
    """Group by one 64-bit key made of the three ages, four times as quick as by the three of them.

    Unlike rows get one key with a chance of 3e-8 among a million lives; the sums before and after would differ then, and `None` is given.
    """
    ones = bool((columns[3] == 1.0).all())
    counting = pl.len().cast(pl.Float64).alias("count") if ones else pl.col("count").sum()
    found = frame.with_columns(pl.Series("key", _key(columns))).group_by("key").agg(pl.first(*_AGES), counting)
    return found if np.allclose(_sums(frame), _sums(found), rtol=_SAME * frame.height**0.5, atol=0) else None


def _key(columns: Columns) -> NDArray[np.uint64]:
    key = np.zeros(columns[0].size, np.uint64)
    for ages, odd in zip(columns[:3], _ODD, strict=True):
        # Whole numbers end in many empty bits, which a product would leave empty.
        bits = np.ascontiguousarray(ages).view(np.uint64)
        key ^= (bits ^ (bits >> np.uint64(29))) * np.uint64(odd)
        key = (key ^ (key >> np.uint64(32))) * np.uint64(_ODD[0])
    return key


def _sums(rows: pl.DataFrame) -> Array:
    ages = (pl.when(pl.col(name).is_finite()).then(name).otherwise(0.0) for name in _AGES)
    return rows.select((age * pl.col("count")).sum().alias(str(place)) for place, age in enumerate(ages)).to_numpy().ravel()
