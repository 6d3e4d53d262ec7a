"""The coverage study at reduced size; whole by `python -m tests.whole.coverage_study`."""

import numpy as np
import pytest

from tests.whole.coverage_study import EXPECTED_LIFE, FLOOR_WEIBULL, LOGNORMAL, WEIBULL, Truth, coverage, truth_from_prior, watched_until


@pytest.mark.slow
def test_ninety_percent_limits_hold_the_truth_about_nine_times_in_ten():
    cells = [(5, 0.8), (5, 0.95), (10, 0.5), (20, 0.8), (50, 0.95), (200, 0.5)]
    found = [coverage(failures, suspended, 200) for failures, suspended in cells]
    for quantity in ("scale", "b10"):
        assert 0.87 <= np.mean([cell[quantity] for cell in found]) <= 0.93, quantity


def test_a_fleet_of_the_study_has_the_failures_and_suspensions_it_is_meant_to_have():
    rng = np.random.default_rng(5)
    for _ in range(20):
        ages = watched_until(truth_from_prior(rng), 10, 0.8, rng)
        assert (ages.failures, ages.lives, ages.interval_censored) == (10, 50, 0)
        assert 5 <= ages.delayed <= 30


@pytest.mark.parametrize("truth", [Truth(WEIBULL, 2.5, 400.0), Truth(LOGNORMAL, 2.0, 400.0), Truth(FLOOR_WEIBULL, 3.0, 400.0, 0.3)])
def test_lives_of_the_study_follow_their_law_beyond_an_age(truth):
    entry = np.full(100_000, EXPECTED_LIFE / 5)
    lives = truth.lives_beyond(entry, np.random.default_rng(6))
    for age in (150.0, 300.0, 600.0):
        expected = np.exp(truth.log_survival(np.array([age])) - truth.log_survival(entry[:1]))[0]
        assert (lives > age).mean() == pytest.approx(expected, abs=0.006)
