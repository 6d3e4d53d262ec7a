"""Marks: ranges, the randomised reading of whole counts, calibration and log score, against scipy's distributions."""

import numpy as np
import pytest
from scipy import stats

from pipelines.advice.counts import gamma_poisson, poisson
from pipelines.advice.marks import calibration, coverage, log_score, mark


@pytest.mark.parametrize("mean", [0.3, 2.0, 11.5])
def test_a_range_and_a_score_are_scipy_s_poisson(mean: float):
    found = mark(poisson(mean), poisson(mean), 2)
    assert (found.low, found.high) == (stats.poisson.ppf(0.05, mean), stats.poisson.ppf(0.95, mean))
    assert found.log_score == pytest.approx(stats.poisson.logpmf(2, mean))
    assert (found.below, found.up_to) == pytest.approx((stats.poisson.cdf(1, mean), stats.poisson.cdf(2, mean)))


def test_a_plain_count_is_scipy_s_negative_binomial():
    ours = gamma_poisson(7.5, 40.0, 12.0).probability
    assert ours[:15] == pytest.approx(stats.nbinom.pmf(np.arange(15), 7.5, 40 / 52), abs=1e-9)


def test_right_forecasts_are_calibrated_and_the_randomised_coverage_is_the_level():
    draw = np.random.default_rng(2)
    means = draw.gamma(0.8, 2.0, 3000)
    marks = [mark(poisson(mean), poisson(mean), int(draw.poisson(mean))) for mean in means]
    held = coverage(marks)
    assert held["randomised"] == pytest.approx(0.9, abs=0.015)
    assert held["covered"] > held["randomised"]
    assert [each["share"] for each in calibration(marks)] == pytest.approx([0.1] * 10, abs=0.02)


def test_ranges_that_are_too_narrow_show():
    draw = np.random.default_rng(4)
    marks = [mark(poisson(10.0), poisson(10.0), int(draw.negative_binomial(2, 2 / 12))) for _ in range(500)]
    assert coverage(marks)["many_covered"] < 0.8
    ends = [each["share"] for each in calibration(marks)]
    assert ends[0] + ends[-1] > 0.4


def test_the_better_forecast_has_the_better_score():
    marks = [mark(poisson(4.0), poisson(1.0), count) for count in (3, 4, 5, 6)]
    score = log_score(marks)
    assert score["forecast"] > score["naive"]


def test_without_marks_there_is_no_figure():
    assert coverage([])["covered"] is None
    assert log_score([])["forecast"] is None
