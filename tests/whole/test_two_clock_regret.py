"""The study of two clocks at reduced size; whole by `python -m tests.whole.two_clock_regret`."""

import numpy as np
import pytest

from pipelines.advice.prospect import Decision
from tests.whole.two_clock_regret import Truth, cost_of, draw_lives, least, study


@pytest.mark.slow
def test_advice_averaged_over_the_clocks_is_good_whichever_counts():
    both = study("both", 6)
    assert both["averaged"].mean() < 0.015
    assert both["averaged"].mean() < both["hours alone"].mean() / 2
    assert study("random", 6)["averaged"].mean() < 0.04


def test_the_true_cost_of_running_to_failure_is_the_failure_cost_over_the_mean_life():
    exponential = Truth(1.0, 500.0, 1.0, 1e12, 5.0)
    costs = exponential.costs()
    # 12 x 5 / (500 h / hours a year) a year at each use, so 5 x hours a month / 500 a month.
    rate = np.mean(120.0 * np.exp(0.4 * np.linspace(-1.5, 1.5, 7))) / 12
    assert cost_of(costs, Decision()) == pytest.approx(5.0 * rate / 500, rel=1e-3)
    assert least(costs, {"hours": 400.0, "months": 40.0}) == pytest.approx(5.0 * rate / 500, rel=1e-3)


def test_a_fleet_of_the_study_has_the_failures_it_is_meant_to_have():
    lives = draw_lives(Truth(2.5, 300.0, 3.0, 30.0, 5.0), 40, np.random.default_rng(2))
    assert lives["high_h"].count() == lives["high_months"].count() == 40
