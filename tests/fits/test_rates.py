import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.stats import binom, poisson
from statsmodels.stats.proportion import proportion_confint
from statsmodels.stats.rates import confint_poisson, test_poisson_2indep

from pipelines.errors import NoFigure
from pipelines.fits.rates import (
    count_limits,
    mean_hours_between,
    rate_at_most,
    rate_ratio,
    rate_with_limits,
    share_limits,
    share_with_limits,
)
from tests.fits.published_frames import published_frame

test_poisson_2indep.__test__ = False
LEVELS = st.sampled_from([0.5, 0.8, 0.9, 0.95, 0.99])


# Method of Garwood (1936), Biometrika 28, 437-442; tests/published/garwood.csv by R's poisson.test and root finding.
@pytest.mark.parametrize("level", [0.9, 0.95, 0.99])
def test_limits_of_counts_are_garwoods(level):
    table = published_frame("garwood").filter(pl.col("level") == level)
    low, high = count_limits(table["n"], level)
    assert_allclose(low, table["lo"], atol=1e-6)
    assert_allclose(high, table["hi"], atol=1e-6)


def test_no_event_at_all_still_bounds_the_rate():
    # Closed form -ln(0.05), the "rule of three"; 250 h: -ln(0.1)/250 one-sided, -ln(0.025)/250 two-sided.
    assert rate_at_most(0, 1_000) == pytest.approx(2.995732274, abs=1e-9)
    assert rate_at_most(0, 250, 0.9) / 1_000 == pytest.approx(0.009210340372, rel=1e-9)
    rate = rate_with_limits(0, 250)
    assert (rate.value, rate.low) == (0, 0)
    assert rate.high / 1_000 == pytest.approx(0.01475551782, rel=1e-9)


def test_the_first_example_of_poisson_test_is_met():
    # R, help page of stats::poisson.test, example 1: 137 events over 24.19893.
    rate = rate_with_limits(137, 24.19893 * 1_000)
    assert (rate.value, rate.low, rate.high) == pytest.approx((5.661407343, 4.753124805, 6.692709334), rel=1e-7)


def test_the_second_example_of_poisson_test_is_met():
    # R, help page of stats::poisson.test, example 2: 11 in 800 against 21 in 3,011.
    ratio = rate_ratio(11, 800, 21, 3_011)
    assert ratio.value == pytest.approx(1.971488095, rel=1e-9)
    assert ratio.p_value == pytest.approx(0.07966863303, rel=1e-6)
    assert (ratio.low, ratio.high) == pytest.approx((0.8584264034, 4.277265944), rel=1e-6)


# NIST/SEMATECH e-Handbook, 8.4.5.1: factors from the estimated mean time to its limits.
def test_limits_of_the_mean_time_are_the_handbooks_factors():
    for confidence, failures, lower, upper in published_frame("mtbf_factors").iter_rows():
        mean = mean_hours_between(failures, 1_000.0 * failures, confidence)
        assert mean.value == pytest.approx(1_000)
        assert mean.low == pytest.approx(1_000 * lower, rel=1e-5)
        assert mean.high == pytest.approx(1_000 * upper, rel=1e-5)


def test_the_printed_factors_and_closed_forms_of_the_mean_time_are_met():
    # e-Handbook 8.4.5.1, r = 2 at 90 % (table recalled): 0.3177 and 5.6281; no failure: T / -ln(alpha); 2 failures in 800 h.
    two = mean_hours_between(2, 2_000, 0.9)
    assert (two.low, two.high) == pytest.approx((317.7, 5_628.1), abs=0.06)
    assert mean_hours_between(0, 1_000, 0.9).low == pytest.approx(333.8082007, rel=1e-9)
    assert (mean_hours_between(0, 1_000).value, mean_hours_between(0, 1_000).high) == (None, None)
    both = mean_hours_between(2, 800, 0.9)
    assert (both.low, both.high) == pytest.approx((127.0689683, 2251.228611), rel=1e-8)


@given(st.integers(0, 500), LEVELS)
def test_a_count_at_its_limit_is_just_that_unlikely(events, level):
    low, high = count_limits(events, level)
    assert low <= events <= high
    assert poisson.cdf(events, high) == pytest.approx((1 - level) / 2, rel=1e-6)
    if events:
        assert poisson.sf(events - 1, low) == pytest.approx((1 - level) / 2, rel=1e-6)


@given(st.integers(1, 200), st.floats(1, 1e6), LEVELS)
def test_statsmodels_gives_the_same_rate(events, hours, level):
    low, high = confint_poisson(events, hours / 1_000, method="exact-c", alpha=1 - level)
    rate = rate_with_limits(events, hours, level)
    assert (rate.low, rate.high) == pytest.approx((low, high), rel=1e-8)


@given(st.integers(0, 60), st.integers(0, 60), st.floats(10, 1e5), st.floats(10, 1e5), LEVELS)
def test_a_rate_ratio_lies_in_limits_at_which_the_test_is_at_its_level(events, others, hours, other_hours, level):
    if not events + others:
        with pytest.raises(NoFigure, match="Neither of the two had an event"):
            rate_ratio(events, hours, others, other_hours)
        return
    ratio = rate_ratio(events, hours, others, other_hours, level)
    assert ratio.low <= ratio.value <= ratio.high
    total, cut = events + others, (1 - level) / 2
    if others:
        at_high = ratio.high * hours / (ratio.high * hours + other_hours)
        assert binom.cdf(events, total, at_high) == pytest.approx(cut, rel=1e-5)
    if events:
        at_low = ratio.low * hours / (ratio.low * hours + other_hours) if np.isfinite(ratio.low) else 1.0
        assert binom.sf(events - 1, total, at_low) == pytest.approx(cut, rel=1e-5)


def naive_p_value(events: int, total: int, share: float) -> float:
    chances = binom.pmf(np.arange(total + 1), total, share)
    return float(chances[chances <= chances[events] * (1 + 1e-7)].sum())


@pytest.mark.parametrize("seed", range(20))
def test_the_p_value_adds_up_the_outcomes_no_more_likely(seed):
    draw = np.random.default_rng(seed)
    events, others = draw.integers(0, 25, 2)
    hours, other_hours = draw.uniform(100, 5_000, 2)
    p_value = rate_ratio(int(events), hours, int(others) + 1, other_hours).p_value
    assert p_value == pytest.approx(naive_p_value(events, events + others + 1, hours / (hours + other_hours)), rel=1e-9)


def test_statsmodels_agrees_on_the_rate_ratio():
    theirs = test_poisson_2indep(11, 800, 21, 3_011, method="exact-cond", compare="ratio")
    assert rate_ratio(11, 800, 21, 3_011).p_value == pytest.approx(theirs.pvalue, rel=1e-9)


def test_a_rate_over_one_without_events_is_without_end():
    ratio = rate_ratio(3, 100, 0, 100)
    assert np.isinf([ratio.value, ratio.high]).all()
    assert np.isfinite(ratio.low)


@given(st.integers(0, 300), st.integers(1, 300), LEVELS)
def test_a_share_lies_in_its_exact_limits(events, more, level):
    total = events + more
    share = share_with_limits(events, total, level)
    low, high = proportion_confint(events, total, alpha=1 - level, method="beta")
    assert (share.low, share.high) == pytest.approx((low, high), rel=1e-8, abs=1e-12)
    assert share.low <= share.value <= share.high


def test_the_whole_and_nothing_are_shares_too():
    assert share_with_limits(5, 5).high == 1
    assert share_with_limits(0, 5).low == 0
    assert share_limits([0, 5], 5)[1][1] == 1


@pytest.mark.parametrize("hours", [0, -3, np.nan, np.inf])
def test_no_hours_no_rate(hours):
    with pytest.raises(NoFigure, match=r"No rate: .* engine hours were watched"):
        rate_with_limits(3, hours)


@pytest.mark.parametrize("wrong", [lambda: rate_with_limits(-1, 5), lambda: share_with_limits(2, 0), lambda: share_with_limits(3, 2)])
def test_counts_that_cannot_be_are_refused(wrong):
    with pytest.raises(NoFigure):
        wrong()


@pytest.mark.parametrize("level", [0, 1, 95, -0.5, np.nan])
def test_a_level_that_is_no_share_is_refused(level):
    with pytest.raises(NoFigure, match="Give a share between 0 and 1"):
        rate_with_limits(3, 100, level)
