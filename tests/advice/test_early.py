import numpy as np
import pytest

from pipelines.advice.early import early_failures
from pipelines.advice.prospect import Decision
from tests.advice.made import believed, case, drawn_lives, lives


def fitted_badly(count=240, share=0.1, seed=3):
    rng = np.random.default_rng(seed)
    ages = np.where(rng.random(count) < share, rng.exponential(8, count), 500 * rng.weibull(3, count))
    return lives("part", list(np.minimum(ages, 300)), list(ages < 300))


def of(held, today=300.0):
    return early_failures(case(lives=held, posterior=believed(held), today=Decision(today, None)))


def test_a_tenth_of_bad_fits_is_found():
    found = of(fitted_badly())
    assert found is not None
    assert found.age in (30, 15, 7.5)
    assert found.observed > found.expected
    assert 0.04 < found.share < 0.16


@pytest.mark.parametrize("shape", [1.0, 2.5])
def test_wear_and_chance_alone_are_not_bad_fitting(shape):
    assert not any(of(drawn_lives(shape, 500, 300, 100, seed)) for seed in range(5))


def test_two_early_failures_say_nothing():
    held = lives("part", [3.0, 5.0] + [300.0] * 100, [True, True] + [False] * 100)
    assert of(held) is None


def test_early_failures_set_apart_become_suspensions_and_the_rest_stays():
    held = fitted_badly()
    found = of(held)
    assert found is not None
    rest = found.set_apart(held)
    assert rest.height == held.height
    assert rest.filter(rest["high_h"] <= found.age).is_empty()
    assert rest["high_h"].drop_nulls().len() == held.filter(held["high_h"] > found.age).height
    assert rest["low_h"].equals(held["low_h"])


def test_without_an_interval_the_age_that_ten_lives_reached_counts():
    found = early_failures(case(lives=fitted_badly(), posterior=believed(fitted_badly()), today=Decision()))
    assert found is not None
    assert found.age == pytest.approx(7.5, rel=0.1) or found.age >= 14


def test_no_life_no_early_failure():
    assert of(lives("part", [], [])) is None
