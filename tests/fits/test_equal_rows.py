"""However lives are counted, the same rows come out, sorted, with the same counts."""

import numpy as np
import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipelines.fits import equal_rows
from pipelines.fits.equal_rows import NAMES, counted_once

INF = np.inf
kinds = st.sampled_from(["whole", "tenths", "any", "between"])


def drawn(seed: int, count: int, kind: str) -> equal_rows.Columns:
    """Rows with many ties: whole hours, tenths, any numbers out of a few, or whole hours with ends of intervals."""
    chance = np.random.default_rng(seed)
    unit = {"tenths": 0.1, "any": np.pi}.get(kind, 1.0)
    entry = np.where(chance.random(count) < 0.5, 0.0, unit * chance.integers(0, 9, count)).astype(np.float64)
    low = np.asarray(entry + unit * chance.integers(0, 9, count), dtype=np.float64)
    wide = unit * chance.integers(0, 4, count) if kind == "between" else 0.0
    high = np.where(chance.random(count) < 0.5, INF, low + wide).astype(np.float64)
    return entry, low, high, chance.integers(1, 4, count).astype(float)


def plainly(columns: equal_rows.Columns) -> pl.DataFrame:
    frame = pl.DataFrame(dict(zip(NAMES, columns, strict=True)))
    return frame.group_by(NAMES[:3]).agg(pl.col("count").sum()).sort(NAMES[:3])


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.integers(0, 10_000), st.integers(1, 400), kinds, st.booleans())
def test_rows_are_those_of_a_plain_grouping(seed, count, kind, by_key):
    columns = drawn(seed, count, kind)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(equal_rows, "_MANY", 0 if by_key else 10**9)
        found = counted_once(columns)
    assert pl.DataFrame(dict(zip(NAMES, found, strict=True))).equals(plainly(columns))


@pytest.mark.parametrize("kind", ["whole", "any", "between"])
def test_a_million_rows_too(kind):
    columns = drawn(1, 1_000_000, kind)
    found = counted_once((*columns[:3], np.ones(1_000_000)))
    assert pl.DataFrame(dict(zip(NAMES, found, strict=True))).equals(plainly((*columns[:3], np.ones(1_000_000))))


def test_unlike_rows_that_fall_on_one_key_are_told_apart_all_the_same(monkeypatch):
    columns = drawn(2, 500, "any")
    monkeypatch.setattr(equal_rows, "_MANY", 0)
    monkeypatch.setattr(equal_rows, "_key", lambda columns: np.zeros(columns[0].size, np.uint64))
    found = counted_once(columns)
    assert pl.DataFrame(dict(zip(NAMES, found, strict=True))).equals(plainly(columns))


def test_ages_spread_too_wide_for_a_place_each_are_counted_another_way():
    columns = (np.zeros(3), np.array([5.0, 900_000.0, 5.0]), np.array([5.0, INF, 5.0]), np.ones(3))
    assert [list(column) for column in counted_once(columns)] == [[0, 0], [5, 900_000], [5, INF], [2, 1]]


def test_no_rows_stay_no_rows():
    assert all(column.size == 0 for column in counted_once((np.empty(0), np.empty(0), np.empty(0), np.empty(0))))
