"""Litres per engine hour, miles per engine hour."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pipelines.fits.ratio_of_sums import ratio_with_limits


def limits_of(upper, lower, level=0.95) -> tuple[float, float]:
    told = ratio_with_limits(upper, lower, level)
    assert told.low is not None
    assert told.high is not None
    return told.low, told.high


pairs = st.lists(st.tuples(st.floats(0, 500), st.floats(0.1, 50)), min_size=2, max_size=30)


def test_the_ratio_is_of_the_sums_not_the_mean_of_the_ratios():
    assert ratio_with_limits([10, 2], [10, 1]).value == pytest.approx(12 / 11)


# With every denominator equal the ratio is a mean over a constant, so its limits are Student's for a mean (scipy as the outside reference).
def test_equal_hours_give_students_limits_of_a_mean():
    litres = [3.1, 4.0, 2.7, 3.6, 4.4]
    theirs = stats.t.interval(0.95, 4, loc=np.mean(litres), scale=stats.sem(litres))
    assert limits_of(litres, [2.0] * 5) == pytest.approx(tuple(np.array(theirs) / 2))


# The delete-one jackknife (Quenouille 1956; Tukey 1958) is another way to the variance of a ratio; on even data the two agree closely.
def test_limits_agree_with_the_jackknife_on_many_even_trips():
    rng = np.random.default_rng(11)
    hours = rng.uniform(2, 6, 400)
    litres = hours * 3 + rng.normal(0, 1, 400)
    low, high = limits_of(list(litres), list(hours))
    without = (litres.sum() - litres) / (hours.sum() - hours)
    spread = np.sqrt(399 / 400 * ((without - without.mean()) ** 2).sum())
    assert high - low == pytest.approx(2 * stats.t.ppf(0.975, 399) * spread, rel=0.01)


def test_limits_cover_the_true_burn_about_as_often_as_they_say():
    rng = np.random.default_rng(12)
    held = 0
    for _ in range(600):
        hours = rng.uniform(1, 6, 25)
        low, high = limits_of(list(hours * 3.2 + rng.normal(0, 1.5, 25)), list(hours))
        held += low <= 3.2 <= high
    assert 0.92 <= held / 600 <= 0.975


def test_a_trip_that_lacks_either_figure_or_ran_no_hours_is_left_out():
    assert ratio_with_limits([5, None, 7, 3], [2, 3, None, 0]).pairs == 1


def test_one_trip_has_a_ratio_and_no_limits():
    alone = ratio_with_limits([6], [2])
    assert (alone.value, alone.low, alone.high) == (3, None, None)


def test_no_trip_has_no_ratio():
    assert ratio_with_limits([], []).value is None


@given(pairs)
def test_limits_hold_the_ratio_and_never_fall_below_nothing(held):
    upper, lower = zip(*held, strict=True)
    low, high = limits_of(upper, lower)
    value = sum(upper) / sum(lower)
    assert 0 <= low <= value + 1e-9
    assert value <= high + 1e-9
