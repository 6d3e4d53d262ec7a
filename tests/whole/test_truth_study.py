"""The truth study at reduced size; whole by `python -m tests.whole.truth_study`."""

import numpy as np
import pytest

from pipelines.fits.knowledge import Knowledge
from pipelines.fits.posterior import posterior
from tests.whole.coverage_study import EXPECTED_LIFE, PRIOR, WEIBULL, Truth, truth_from_prior, watched_until
from tests.whole.truth_study import MOST_RUNNING, cell, coverage_lines, failures_ahead, forecast, regret_lines, running_ages


@pytest.mark.slow
def test_ranges_of_forecast_counts_hold_what_comes():
    found = [cell(failures, suspended, 80) for failures, suspended in ((5, 0.8), (20, 0.95), (50, 0.5))]
    # Counts are whole, so a 90 % range holds at least nine in ten; of 240 draws fewer than 0.85 would hold by chance once in a hundred.
    assert np.mean([one.held["forecast"] for one in found]) >= 0.85
    assert abs(sum(one.foretold for one in found) / sum(one.came for one in found) - 1) < 0.10


@pytest.mark.slow
def test_the_tables_say_of_each_figure_whether_it_meets_its_target():
    lines = [*coverage_lines(10, (5,), (0.8,)), *regret_lines(6, (5,))]
    assert all("ok" in line or "MISS" in line for line in lines)


@pytest.mark.slow
def test_a_part_that_plainly_wears_is_seldom_left_to_fail():
    (line,) = regret_lines(30, (20,))
    assert float(line.split()[-1]) <= 0.1


def test_a_forecast_of_many_known_lives_is_near_the_truth():
    rng = np.random.default_rng(4)
    truth = Truth(WEIBULL, 2.5, 450.0)
    ages = watched_until(truth, 200, 0.5, rng)
    running = running_ages(ages, rng)
    foretold = forecast(posterior(ages, PRIOR, Knowledge(expected_life=EXPECTED_LIFE)), running)
    came = np.mean([failures_ahead(truth, running, rng) for _ in range(300)])
    assert foretold.mean == pytest.approx(came, rel=0.12)


def test_no_more_parts_are_foretold_than_the_study_takes():
    rng = np.random.default_rng(5)
    assert running_ages(watched_until(truth_from_prior(rng), 50, 0.95, rng), rng).size == MOST_RUNNING
