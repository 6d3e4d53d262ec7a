import numpy as np
import polars as pl
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from pipelines.advice.age_replacement import best_weibull_age
from pipelines.advice.interval import ROUNDING_MAY_COST, Axis, Bounds, choose, reached
from pipelines.advice.laws import tabulate
from pipelines.advice.prospect import NEVER, Decision, Prospect
from pipelines.advice.use import Use
from tests.advice.made import YEAR_H, believed, drawn_lives, unhurried, weibull

EVEN = Use(np.array([YEAR_H]), np.ones(1))
BELIEF = tabulate(believed(drawn_lives(2.5, 400, 300, 80)))
ROOM = Bounds(Axis(records=2000.0), Axis(records=0.0), may_never=True)


def best_of(looked_at, bounds=ROOM):
    choice = choose(looked_at, bounds)
    assert choice is not None
    return choice


def chosen(posterior, bounds=ROOM, failure=5.0, planned=1.0, use=EVEN):
    return best_of(Prospect(tabulate(posterior), use, planned, failure), bounds)


def hours_of(choice):
    assert choice.decision.hours is not None
    return choice.decision.hours


def exact_age(shape, scale, ratio=5.0):
    best = best_weibull_age(shape, scale, 1, ratio)
    assert best is not None
    return best


@pytest.mark.parametrize(("shape", "scale"), [(1.7, 600), (2.5, 400), (4, 900)])
def test_one_known_law_is_renewed_at_its_exact_best_age_to_a_round_ten(shape, scale):
    choice = chosen(weibull(shape, scale))
    assert choice.decision.months is None
    assert hours_of(choice) == pytest.approx(exact_age(shape, scale), abs=10.5)
    assert hours_of(choice) % 10 == 0


def test_a_random_part_is_renewed_only_when_it_fails():
    assert chosen(weibull(1, 400)).decision == NEVER


def test_a_planned_renewal_as_dear_as_a_failure_is_never_advised():
    assert chosen(weibull(4, 400), planned=5.0, failure=5.0).decision == NEVER


def test_a_part_that_must_not_fail_gets_the_longest_interval_allowed_where_nothing_wears():
    choice = chosen(weibull(1, 400), Bounds(Axis(records=700.0), Axis(records=0.0), may_never=False))
    assert choice.decision == Decision(700.0, None)


def test_without_any_interval_to_choose_there_is_no_choice():
    nothing = Bounds(Axis(records=0.0), Axis(records=0.0), may_never=False)
    assert choose(Prospect(tabulate(weibull(2, 400)), EVEN, 1.0, 5.0), nothing) is None


@unhurried
@given(st.floats(1.2, 30), st.floats(1.05, 4))
def test_a_dearer_failure_never_lengthens_the_interval(ratio, dearer):
    """Up to the rounding to ten hours, on which nothing turns."""
    cheap, dear = (best_of(Prospect(BELIEF, EVEN, 1.0, failure)).decision for failure in (ratio, ratio * dearer))
    longest = np.inf if cheap.hours is None else cheap.hours
    assert dear.hours is not None or cheap.is_never
    assert (dear.hours or 0.0) <= longest + 10 or dear.is_never


@unhurried
@given(st.floats(5, 900), st.floats(1, 60), st.floats(1.5, 20))
def test_a_limit_is_never_passed(limit_h, limit_months, ratio):
    bounds = Bounds(Axis(limit_h, 2000.0), Axis(limit_months, 0.0), may_never=False)
    choice = best_of(Prospect(BELIEF, EVEN, 1.0, ratio), bounds)
    assert 0 < hours_of(choice) <= limit_h
    assert choice.decision.months is not None
    assert 0 < choice.decision.months <= limit_months


@unhurried
@given(st.floats(30, 2000), st.floats(1.5, 20))
def test_the_interval_goes_no_further_than_the_records_allow(records, ratio):
    choice = best_of(Prospect(BELIEF, EVEN, 1.0, ratio), Bounds(Axis(records=records), Axis(records=0.0), may_never=False))
    assert hours_of(choice) <= records


@unhurried
@given(st.floats(1.2, 5), st.floats(3, 3000), st.floats(1.5, 30))
def test_rounding_costs_less_than_a_hundredth(shape, scale, ratio):
    top = 10 * scale
    looked_at = Prospect(tabulate(weibull(shape, scale)), EVEN, 1.0, ratio)
    choice = best_of(looked_at, Bounds(Axis(records=top), Axis(records=0.0), may_never=False))
    best = exact_age(shape, scale, ratio)
    assume(best < top)
    assert choice.cost <= ROUNDING_MAY_COST * looked_at.cost(Decision(best, None)) * 1.001


def test_a_limit_that_is_reached_is_kept_as_it_is_written():
    choice = chosen(weibull(2.5, 4000), Bounds(Axis(125.0, 2000.0), Axis(records=0.0), may_never=False))
    assert choice.decision.hours == 125.0


def test_a_limit_on_the_other_clock_is_named_too():
    choice = chosen(weibull(2.5, 400), Bounds(Axis(records=2000.0), Axis(limit=24.0, records=0.0), may_never=False))
    assert choice.decision.months == 24.0
    assert hours_of(choice) == pytest.approx(exact_age(2.5, 400), abs=10.5)


def test_both_clocks_are_named_only_where_both_pay():
    spread = Use(np.array([100.0, 240.0, 400.0]), np.array([0.3, 0.4, 0.3]))
    both = Bounds(Axis(records=2000.0), Axis(records=100.0), may_never=True)
    on_hours = chosen(weibull(3, 400), both, use=spread)
    on_months = chosen(weibull(3, 20, "months"), both, use=spread)
    assert on_hours.decision.months is None
    assert on_months.decision.hours is None
    assert on_months.decision.months == pytest.approx(exact_age(3, 20), abs=1)


def test_the_range_holds_the_advice_and_what_costs_hardly_more():
    looked_at = Prospect(BELIEF, EVEN, 1.0, 5.0)
    choice = best_of(looked_at, ROOM)
    assert choice.range_hours is not None
    low, high = choice.range_hours
    assert high is not None
    assert low <= hours_of(choice) <= high
    for age in (low, high):
        assert looked_at.cost(Decision(age, None)) <= 1.021 * choice.cost
    assert looked_at.cost(Decision(0.9 * low, None)) > 1.02 * choice.cost


def test_the_range_of_a_random_part_has_no_end():
    range_hours = chosen(weibull(1, 400)).range_hours
    assert range_hours is not None
    assert range_hours[0] > 400
    assert range_hours[1] is None


def test_reach_is_the_age_of_the_tenth_oldest_life():
    held = pl.DataFrame(
        {"low_h": [float(age) for age in range(1, 31)], "low_months": [None] * 30}, schema_overrides={"low_months": pl.Float64}
    )
    assert reached(held, "hours") == 21.0
    assert reached(held, "months") is None
    assert reached(held.head(9), "hours") is None


@pytest.mark.parametrize("failure", [1.05, 1.3, 2.0, 5.0])
@pytest.mark.parametrize("shape", [1.2, 1.8, 3.0])
def test_a_range_has_no_end_only_where_stopping_costs_hardly_more(shape, failure):
    looked_at = Prospect(tabulate(weibull(shape, 500)), EVEN, 1.0, failure)
    choice = best_of(looked_at)
    assert choice.range_hours is not None
    if choice.range_hours[1] is None:
        assert looked_at.cost(NEVER) <= 1.02 * choice.cost


@given(st.floats(1.3, 4), st.floats(1.5, 12), st.floats(90, 1500))
def test_a_range_holds_its_own_interval_and_all_between_cost_hardly_more(shape, ratio, reach):
    looked_at = Prospect(tabulate(weibull(shape, 500)), EVEN, 1.0, ratio)
    choice = best_of(looked_at, Bounds(Axis(records=reach), Axis(records=0.0), may_never=False))
    assert choice.range_hours is not None
    least, most = choice.range_hours
    assert most is not None
    assert least <= hours_of(choice) <= most
    between = np.geomspace(least, most, 30)
    assert np.all(looked_at.expected(between, np.full(30, np.inf)) <= 1.021 * choice.cost)
