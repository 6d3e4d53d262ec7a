"""The arithmetic that scores advice, against closed forms and a published table."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sample_fleet.truths import Curve, Limit, PartTruth, Pattern
from tests.whole.regret_cost import age_of, ceiling_of, cost_rates, true_costs


def part(**changes) -> PartTruth:
    plain = {"component": "drive belt", "pattern": Pattern.WEARS_OUT, "cause": "", "planned_cost": 100.0, "failure_cost": 500.0}
    return PartTruth(**(plain | changes))


# Jardine & Tsang, Maintenance, Replacement, and Reliability, ch. 2 problem 2: uniform life 0 to 40,000, costs 100 and 200.
UNIFORM_PRINTED = {10_000: 0.0143, 20_000: 0.01, 30_000: 0.0093, 40_000: 0.01}


def test_a_uniform_life_costs_what_the_book_prints():
    ages = np.linspace(0, 40_000, 4001)
    rates = cost_rates(ages, 1 - ages / 40_000, 100, 200)
    assert {age: rates[ages == age][0] for age in UNIFORM_PRINTED} == pytest.approx(UNIFORM_PRINTED, abs=6e-5)


def test_the_best_age_of_a_uniform_life_is_where_the_closed_form_puts_it():
    ages = np.linspace(0, 40_000, 40_001)
    assert ages[np.argmin(cost_rates(ages, 1 - ages / 40_000, 100, 200))] == pytest.approx(40_000 * (np.sqrt(3) - 1), abs=1)


def test_a_random_part_renewed_only_when_it_fails_costs_failure_cost_over_mean_life():
    coil = part(pattern=Pattern.RANDOM, hours=Curve(1.0, 2000.0))
    costs = true_costs(coil, np.array([1.0]), np.array([250.0]))
    assert costs.at(np.array([np.inf])) == pytest.approx(250 * 500 / 2000, rel=1e-5)
    assert costs.best(np.array([np.inf]))[0] == np.inf


def test_renewing_a_random_part_costs_the_planned_renewals_on_top():
    coil = part(pattern=Pattern.RANDOM, months=Curve(1.0, 50.0))
    at_20 = true_costs(coil, np.array([1.0]), np.array([100.0])).at(np.array([20.0]))
    lost = np.exp(-20 / 50)
    assert at_20 == pytest.approx(12 * (100 * lost + 500 * (1 - lost)) / (50 * (1 - lost)), rel=1e-5)


# Recomputed by root finding and by quadrature, not published: shape 2.5, scale 1000, costs 1 and 5 give T 493.047, cost rate 0.003462.
def test_the_best_hours_of_a_wearing_part_agree_with_root_finding():
    belt = part(planned_cost=1.0, failure_cost=5.0, hours=Curve(2.5, 1000.0))
    age, cost = true_costs(belt, np.array([1.0]), np.array([12.0])).best(np.array([np.inf]))
    assert age == pytest.approx(493.047, abs=1.0)
    assert cost / 12 == pytest.approx(0.003462, abs=1e-6)


def test_two_clocks_cost_more_than_either_alone():
    hours, months = Curve(2.0, 800.0), Curve(3.0, 50.0)
    by_hours, by_months, by_both = (
        true_costs(part(hours=one, months=other), *position()).best(np.array([np.inf]))[1]
        for one, other in ((hours, None), (None, months), (hours, months))
    )
    assert by_both > max(by_hours, by_months)


def position() -> tuple[np.ndarray, np.ndarray]:
    return np.array([1.0]), np.array([240.0])


def test_bad_fittings_make_a_short_interval_dearer():
    good, bad = part(months=Curve(3.0, 100.0)), part(months=Curve(3.0, 100.0), early_share=0.1, early_mean_h=20)
    at_6 = [true_costs(each, *position()).at(np.array([6.0]))[0] for each in (good, bad)]
    killed = 0.1 * (1 - np.exp(-120 / 20))
    alive_months = 0.9 * 6 + 0.1 * 1 * (1 - np.exp(-120 / 20))
    assert at_6 == pytest.approx([200.0, 12 * (100 * (1 - killed) + 500 * killed) / alive_months], rel=2e-3)


def test_a_ceiling_holds_the_best_age_down():
    belt = part(months=Curve(3.0, 100.0))
    age, cost = true_costs(belt, *position()).best(np.array([12.0]))
    assert age == pytest.approx([12.0])
    assert cost == pytest.approx(true_costs(belt, *position()).at(np.array([12.0])))


def test_hours_and_months_become_the_age_that_comes_first():
    assert age_of(200, 12, np.array([100.0, 400.0])) == pytest.approx([12.0, 6.0])
    assert age_of(None, None, np.array([100.0]))[0] == np.inf


def test_a_limit_that_somebody_approved_passing_is_no_ceiling():
    use = np.array([120.0])
    assert ceiling_of(Limit(max_h=100, binding=True), use) == pytest.approx([10.0])
    assert ceiling_of(Limit(max_h=100), use) == pytest.approx([10.0])
    assert ceiling_of(Limit(max_h=100, approval_note="letter of the maker"), use)[0] == np.inf


@given(shape=st.floats(1.0, 3.5), scale=st.floats(100, 4000), ratio=st.floats(3, 10), use=st.floats(60, 500), age=st.floats(1, 300))
def test_no_interval_is_cheaper_than_the_best(shape, scale, ratio, use, age):
    belt = part(failure_cost=100.0 * ratio, hours=Curve(shape, scale))
    costs = true_costs(belt, np.array([1.0]), np.array([use]))
    assert costs.at(np.array([age]))[0] >= costs.best(np.array([np.inf]))[1][0] * (1 - 1e-9)
