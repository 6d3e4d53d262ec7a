from dataclasses import replace

import numpy as np
import pytest

from pipelines.advice.early import early_failures, failed_of_bad_fitting
from pipelines.advice.prospect import NEVER
from pipelines.advice.ruling import rule
from pipelines.advice.weighing import weigh
from pipelines.advice.words import IMPROVE
from pipelines.terms.settings import Settings
from tests.advice.made import believed, case, drawn_lives, lives, weibull


def fitted_badly(count=240, share=0.1, seed=3):
    rng = np.random.default_rng(seed)
    ages = np.where(rng.random(count) < share, rng.exponential(8, count), 500 * rng.weibull(3, count))
    return lives("part", list(np.minimum(ages, 300)), list(ages < 300))


def of(held):
    return early_failures(case(lives=held, posterior=believed(held)))


def test_a_tenth_of_bad_fits_is_found():
    found = of(fitted_badly())
    assert found is not None
    assert found.clock == "hours"
    assert 10 < found.age < 60
    assert found.observed > 3 * found.expected
    assert found.probability > 0.9
    assert found.share == pytest.approx(0.1, abs=0.04)


@pytest.mark.parametrize("shape", [1.0, 2.5])
def test_wear_and_chance_alone_are_not_bad_fitting(shape):
    assert not any(of(drawn_lives(shape, 500, 300, 100, seed)) for seed in range(5))


def test_two_early_failures_say_nothing():
    assert of(lives("part", [3.0, 5.0] + [300.0] * 100, [True, True] + [False] * 100)) is None


def test_no_life_no_early_failure():
    assert of(lives("part", [], [])) is None


def test_the_interval_is_that_of_the_wear_and_every_renewal_runs_the_risk_anew():
    held = fitted_badly(600)
    one = case(lives=held, posterior=believed(held))
    weighed = weigh(one, Settings())
    ruling = rule(one, weighed, Settings())
    assert ruling.verdict == IMPROVE
    # Shape 3, costs 1 and 5: 0.5026 x 500 h if every fitting were good (tests/published/age_replacement_grid.csv, computed); bad fittings
    # make each renewal dearer, so that it pays later.
    assert ruling.decision.hours is not None
    assert 230 < ruling.decision.hours < 400
    assert weighed is not None
    good = replace(one, posterior=weibull(3.0, 500.0))
    without = weigh(good, Settings())
    assert without is not None
    assert weighed.prospect.cost(NEVER) > without.prospect.cost(NEVER)
    assert without.choice is not None
    assert without.choice.decision.hours is not None
    assert without.choice.decision.hours <= ruling.decision.hours


def test_what_bad_fitting_ends_is_told_from_what_wear_ends():
    posterior = believed(fitted_badly(600))
    assert failed_of_bad_fitting(posterior, {"hours": 100.0, "months": 5.0}) == pytest.approx(0.1, abs=0.03)
    assert failed_of_bad_fitting(posterior, {"hours": 0.0, "months": 0.0}) == 0
    assert failed_of_bad_fitting(weibull(3.0, 500.0), {"hours": 100.0, "months": 5.0}) == 0
    assert failed_of_bad_fitting(None, {"hours": 100.0, "months": 5.0}) == 0
