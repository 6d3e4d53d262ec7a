"""Quantiles of weighted points and cells, and what a block of points says of its laws."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from pipelines.fits.blocks import RANDOM, WEARS_OUT, Block, cell_quantiles, weighted_quantiles
from pipelines.fits.likelihood import EXPONENTIAL, FLOOR_WEIBULL, LOGNORMAL, WEIBULL

points = st.lists(st.tuples(st.floats(0.1, 10.0), st.floats(0.01, 1.0)), min_size=1, max_size=30, unique_by=lambda point: point[0])


def block(family: str, shape: float, scale: float, floor: float | None = None) -> Block:
    return Block(WEARS_OUT, family, "hours", np.array([shape]), np.array([scale]), np.ones(1), None if floor is None else np.array([floor]))


@settings(max_examples=60, deadline=None)
@given(points, st.floats(0.01, 0.99))
def test_quantiles_of_weighted_points_leave_the_right_weight_on_each_side(points, probability):
    values, weights = (np.array(column) for column in zip(*points, strict=True))
    weights = weights / weights.sum()
    found = float(weighted_quantiles(values, weights, np.zeros(values.size, dtype=bool), probability))
    assert weights[values < found - 1e-12].sum() <= probability + weights.max() + 1e-9
    assert weights[values > found + 1e-12].sum() <= 1 - probability + weights.max() + 1e-9


@settings(max_examples=60, deadline=None)
@given(points, st.floats(0.0, 2.0), st.floats(0.01, 0.99))
def test_below_a_quantile_of_cells_lies_just_that_weight(points, width, probability):
    values, weights = (np.array(column) for column in zip(*points, strict=True))
    weights = weights / weights.sum()
    width = width + 0.01
    found = float(cell_quantiles(values, weights, np.full(values.size, width), probability))
    below = (weights * np.clip((found - values) / width + 0.5, 0, 1)).sum()
    assert below == pytest.approx(probability, abs=1e-6)


def test_a_lump_of_probability_is_a_quantile_itself():
    values, weights = np.array([0.5, 1.0, 2.0]), np.array([0.2, 0.5, 0.3])
    lumps = np.array([False, True, False])
    assert weighted_quantiles(values, weights, lumps, [0.21, 0.45, 0.69]) == pytest.approx([1.0, 1.0, 1.0])
    assert cell_quantiles(values, weights, np.where(lumps, 0.0, 0.4), [0.21, 0.45, 0.69]) == pytest.approx([1.0, 1.0, 1.0])


def test_cells_a_third_of_a_standard_deviation_wide_give_the_quantiles_of_a_normal():
    middles = np.arange(-6.0, 6.0, 1 / 3)
    weights = stats.norm.pdf(middles)
    found = cell_quantiles(middles, weights / weights.sum(), np.full(middles.size, 1 / 3), [0.05, 0.5, 0.95])
    assert stats.norm.cdf(found) == pytest.approx([0.05, 0.5, 0.95], abs=2e-3)


@pytest.mark.parametrize(
    ("family", "floor", "plain"),
    [
        (WEIBULL, None, stats.weibull_min(2.0, scale=300.0).sf),
        (FLOOR_WEIBULL, 0.25, lambda age: np.exp(-0.25 * age / 300.0 - 0.75 * (age / 300.0) ** 2)),
        (FLOOR_WEIBULL, 1.0, stats.expon(scale=300.0).sf),
        (EXPONENTIAL, None, stats.expon(scale=300.0).sf),
    ],
)
def test_survival_is_that_of_the_textbook(family, floor, plain):
    ages = np.array([0.0, 1.0, 150.0, 300.0, 900.0])
    assert block(family, 2.0, 300.0, floor).survival(ages)[0] == pytest.approx(plain(ages), rel=1e-12)


def test_every_family_has_lost_63_percent_at_its_scale_and_ten_percent_at_its_b10():
    for family, floor in ((WEIBULL, None), (LOGNORMAL, None), (FLOOR_WEIBULL, 0.4), (EXPONENTIAL, None)):
        held = block(family, 1.0 if family == EXPONENTIAL else 2.2, 300.0, floor)
        assert held.survival([300.0])[0, 0] == pytest.approx(np.exp(-1))
        assert held.survival([held.value("b10")[0]])[0, 0] == pytest.approx(0.9)


def test_the_shape_of_a_law_with_a_floor_lies_between_random_and_its_wear():
    assert 1.0 < block(FLOOR_WEIBULL, 3.0, 300.0, 0.3).value("shape")[0] < 3.0
    assert block(FLOOR_WEIBULL, 3.0, 300.0, 0.0).value("shape")[0] == pytest.approx(3.0)


def test_chosen_points_keep_all_that_belongs_to_them():
    three = np.array([1.0, 2.0, 3.0])
    held = Block(RANDOM, FLOOR_WEIBULL, "months", three, three * 10, three / 6, three / 10, three / 100, 0.5)
    kept = held.only(np.array([False, True, True]))
    assert (kept.shape.tolist(), kept.scale.tolist(), kept.cell("shape").tolist()) == ([2.0, 3.0], [20.0, 30.0], [0.02, 0.03])
    assert kept.cell("scale").tolist() == [0.5, 0.5]
