from itertools import permutations

import numpy as np
import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import kstest, norm

from pipelines.errors import NoFigure
from pipelines.fits.recurrence import Histories, histories
from pipelines.fits.recurrence_trend import grouped_power_law, laplace, mean_time_now, mil_hdbk_189, one_boat, power_law, reversals
from tests.fits.published_frames import published_frame


def repairs() -> Histories:
    return one_boat(published_frame("nist_repairs_1500h")["hours"], 1_500)


def failures() -> Histories:
    return one_boat(published_frame("milhdbk189_27failures_300h")["hours"], 300)


# NIST/SEMATECH e-Handbook, 8.4.5.2 (printed) and 8.2.3.4 (tests, recomputed in R and Python): 10 repairs in 1,500 h.
def test_the_handbooks_power_law_of_ten_repairs_is_met():
    law = power_law(repairs())
    assert law.growth_unbiased == pytest.approx(0.483506, abs=1e-6)
    assert 10 / 1_500**law.growth_unbiased == pytest.approx(0.2913003, abs=1e-6)
    assert (law.growth, law.rate_factor) == pytest.approx((0.537228866, 0.196658216), abs=1e-7)
    assert mean_time_now(repairs(), 0.8) == pytest.approx((310.234, 157.7138, 548.5566), abs=1e-3)


def test_the_handbooks_trend_tests_of_ten_repairs_are_met():
    assert laplace(repairs()).statistic == pytest.approx(-1.326949183, abs=1e-7)
    chi = mil_hdbk_189(repairs())
    assert (chi.statistic, chi.degrees, chi.slower) == pytest.approx((37.22808148, 20, 0.010986357), abs=1e-6)
    turned = reversals(np.diff(repairs().age, prepend=0))
    assert (turned.statistic, turned.slower) == pytest.approx((33, 0.036275077), abs=1e-7)


# MIL-HDBK-189 (1981), appendix C, 27 failures in 300 h: printed 0.716, 0.454, 15.5 and 0.690; recomputed to full digits.
def test_the_standards_power_law_of_27_failures_is_met():
    law = power_law(failures(), level=0.9)
    assert (law.growth, law.rate_factor, law.growth_unbiased) == pytest.approx((0.716, 0.454, 0.690), abs=6e-4)
    assert 1 / law.rate_at_end == pytest.approx(15.5, abs=0.06)
    full = (0.7163392624, 0.4538418614, 0.06447053361, 0.6898081786)
    assert (law.growth, law.rate_factor, law.rate_at_end, law.growth_unbiased) == pytest.approx(full, rel=1e-6)
    assert (law.growth_low, law.growth_high) == pytest.approx((0.5056322876, 0.957151512), rel=1e-6)
    assert laplace(failures()).statistic == pytest.approx(-2.318, rel=1e-6)
    assert mil_hdbk_189(failures()).statistic == pytest.approx(75.38327555, rel=1e-6)


# MIL-HDBK-189 (1981), appendix C, counts in five intervals of 20 h: printed 0.753, 1.53 and 2.71.
def test_the_standards_power_law_of_counts_is_met():
    table = published_frame("milhdbk189_grouped")
    law = grouped_power_law(table["interval_end"], table["failures"])
    assert (law.growth, law.rate_factor, 1 / law.rate_at_end) == pytest.approx((0.753, 1.53, 2.71), abs=6e-3)
    full = (0.7528509, 1.529306, 0.3688969, 2.710784)
    assert (law.growth, law.rate_factor, law.rate_at_end, 1 / law.rate_at_end) == pytest.approx(full, rel=1e-5)
    assert law.growth_low < law.growth < law.growth_high


def test_a_watch_that_ends_with_its_last_event_counts_that_event_but_learns_nothing_from_its_time():
    # MIL-HDBK-189, appendix C, forms for a watch ended by a failure; worked by hand here.
    times = [10.0, 40.0, 100.0]
    law, test = power_law(one_boat(times), "failure"), mil_hdbk_189(one_boat(times), "failure")
    total = np.log(10) + np.log(2.5)
    assert (law.growth, law.growth_unbiased) == pytest.approx((3 / total, 1 / total))
    assert (test.statistic, test.degrees) == pytest.approx((2 * total, 4))


def fleet(seed: int, growth: float, boats: int = 12, start: float = 0.0) -> Histories:
    """Power-law events of boats that differ in how troublesome they are."""
    draw = np.random.default_rng(seed)
    end = draw.uniform(50, 150, boats)
    number = draw.poisson(draw.gamma(2, 3, boats))
    boat = np.repeat(np.arange(boats), number)
    events = pl.DataFrame({"boat": boat, "age": start + end[boat] * draw.random(boat.size) ** (1 / growth)})
    return histories(events, pl.DataFrame({"boat": np.arange(boats), "start": [start] * boats, "end": start + end}))


def test_without_a_trend_the_p_values_are_spread_evenly():
    fleets = [fleet(seed, 1.0, start=30.0) for seed in range(300)]
    assert kstest([mil_hdbk_189(one).slower for one in fleets], "uniform").pvalue > 0.01
    assert kstest([laplace(one).slower for one in fleets], "uniform").pvalue > 0.01


@pytest.mark.parametrize("growth", [0.6, 1.8])
def test_a_growth_lies_in_its_limits_as_often_as_they_say(growth):
    laws = [power_law(fleet(seed, growth), level=0.9) for seed in range(300)]
    assert 0.86 < np.mean([law.growth_low <= growth <= law.growth_high for law in laws]) < 0.94
    assert np.mean([law.growth_unbiased for law in laws]) == pytest.approx(growth, rel=0.03)


def test_slower_and_faster_are_told_apart():
    slower, faster = fleet(1, 0.5), fleet(2, 2.5)
    assert mil_hdbk_189(slower).slower < 0.01 < 0.9 < mil_hdbk_189(slower).faster
    assert mil_hdbk_189(faster).faster < 0.01
    assert laplace(faster).faster < 0.01
    assert laplace(faster).p_value == pytest.approx(2 * laplace(faster).faster)


@pytest.mark.parametrize("order", [(3, 1, 2), (1, 2, 3, 4), (4, 3, 2, 1), (2, 4, 1, 3, 5)])
def test_reversals_are_exact_among_all_orders(order):
    def rising(gaps) -> int:
        return sum(later > earlier for at, earlier in enumerate(gaps) for later in gaps[at + 1 :])

    counts = np.array([rising(gaps) for gaps in permutations(order)])
    test = reversals(order)
    assert test.statistic == rising(order)
    assert (test.faster, test.slower) == pytest.approx((np.mean(counts <= rising(order)), np.mean(counts >= rising(order))))


@pytest.mark.parametrize("size", [150, 151])
def test_many_gaps_are_near_the_normal_on_both_sides_of_where_it_takes_over(size):
    draw = np.random.default_rng(3)
    test = reversals(draw.exponential(1, size) * np.linspace(1, 1.4, size))
    mean, error = size * (size - 1) / 4, np.sqrt(size * (size - 1) * (2 * size + 5) / 72)
    assert test.slower == pytest.approx(norm.sf((test.statistic - 0.5 - mean) / error), rel=0.02)
    assert test.faster == pytest.approx(norm.cdf((test.statistic + 0.5 - mean) / error), rel=0.02)


@settings(deadline=None)
@given(st.lists(st.integers(0, 30), min_size=2, max_size=8))
def test_counts_have_a_power_law_within_its_limits_or_a_reason(counts):
    ends = np.arange(1.0, len(counts) + 1) * 10
    if sum(count > 0 for count in counts) < 2:
        with pytest.raises(NoFigure, match="at least two of them"):
            grouped_power_law(ends, counts)
        return
    law = grouped_power_law(ends, counts)
    assert law.growth_low < law.growth < law.growth_high


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        (lambda: laplace(one_boat([], 10.0)), "No events"),
        (lambda: power_law(one_boat([], 10.0)), "No events"),
        (lambda: power_law(one_boat([10.0], 10.0)), "at the very end"),
        (lambda: mil_hdbk_189(one_boat([10.0]), "failure"), "only the event that ended its watch"),
        (lambda: one_boat([]), "above 0"),
        (lambda: one_boat([0.0, 4.0], 10.0), "above 0"),
        (lambda: one_boat([4.0, 12.0], 10.0), "not after the end"),
        (lambda: mean_time_now(one_boat([4.0], 10.0)), "two events or more"),
        (lambda: mean_time_now(fleet(1, 1.0)), "one boat"),
        (lambda: reversals([3.0]), "needs two"),
        (lambda: grouped_power_law([20, 10], [3, 3]), "ascending"),
    ],
)
def test_too_little_for_a_trend_is_told(wrong, told):
    with pytest.raises(NoFigure, match=told):
        wrong()


def test_one_event_has_a_law_with_wide_limits():
    law = power_law(one_boat([4.0], 10.0))
    assert law.growth_low < law.growth < law.growth_high
    assert law.growth_unbiased == 0
