import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.advice.laws import tabulate
from pipelines.advice.prospect import NEVER, Decision, Prospect
from pipelines.advice.use import Use, hours_a_year, use_of
from tests.advice.made import believed, drawn_lives, even_use, positions, unhurried, weibull

EVEN = Use(np.array([240.0]), np.ones(1))
SPREAD = Use(np.array([120.0, 240.0, 360.0]), np.array([0.25, 0.5, 0.25]))


def prospect(posterior, use=EVEN, planned=1.0, failure=5.0):
    return Prospect(tabulate(posterior), use, planned, failure)


@unhurried
@given(st.floats(20, 900), st.one_of(st.none(), st.floats(1, 60)))
def test_the_expected_cost_is_the_mean_of_the_cost_under_each_law(hours, months):
    looked_at = BELIEF
    decision = Decision(hours, months)
    assert looked_at.cost(decision) == pytest.approx(float(looked_at.weight @ looked_at.each(decision)), rel=2e-3)


BELIEF = prospect(believed(drawn_lives(2.5, 400, 300, 80)), SPREAD)


def test_at_one_use_hours_and_months_are_the_same_interval():
    looked_at = prospect(weibull(2.5, 400))
    assert looked_at.cost(Decision(200.0, None)) == pytest.approx(looked_at.cost(Decision(None, 10.0)), rel=1e-6)


def test_a_law_on_months_costs_the_same_read_from_either_clock():
    on_months, on_hours = prospect(weibull(2.5, 20, "months")), prospect(weibull(2.5, 400))
    for decision in (Decision(200.0, None), Decision(None, 10.0), Decision(200.0, 30.0), NEVER):
        assert on_months.cost(decision) == pytest.approx(on_hours.cost(decision), rel=1e-3)


def test_uneven_use_makes_the_clock_of_the_law_the_better_one():
    looked_at = prospect(weibull(3, 400), SPREAD)
    hours = min(looked_at.cost(Decision(float(age), None)) for age in range(100, 400, 10))
    months = min(looked_at.cost(Decision(None, float(age))) for age in range(3, 40))
    assert hours < 0.97 * months


def test_running_to_failure_costs_a_failure_a_mean_life():
    looked_at = prospect(weibull(1, 400))
    assert looked_at.cost(NEVER) == pytest.approx(5 * 240 / 400, rel=1e-3)


def test_a_very_short_interval_costs_a_planned_renewal_each_time():
    looked_at = prospect(weibull(3, 400))
    assert looked_at.cost(Decision(0.01, None)) == pytest.approx(240 / 0.01, rel=1e-6)


def test_limits_hold_the_wanted_share_of_laws():
    costs = BELIEF.each(Decision(200.0, None))
    low, high = BELIEF.limits(costs, 0.9)
    inside = BELIEF.weight @ ((costs >= low) & (costs <= high))
    assert inside == pytest.approx(0.9, abs=0.02)


def test_use_is_the_mean_over_positions_of_their_engines_year():
    here = positions("part", 3)
    engine_use = even_use(3, 300.0, months=(6, 7, 8))
    assert hours_a_year(engine_use)["year_h"].to_list() == pytest.approx([300.0] * 3)
    assert use_of(here, engine_use).year_h == pytest.approx(300.0)


def test_positions_without_hours_leave_the_use_unknown():
    here = positions("part", 3, hours_engine_id=None)
    assert use_of(here, even_use(3)).year_h is None


def test_many_uses_are_held_as_a_few_with_the_same_mean():
    here = positions("part", 50)
    rng = np.random.default_rng(2)
    engine_use = even_use(50).with_columns(hours_per_day=np.repeat(rng.uniform(0.2, 1.5, 50), 12))
    use = use_of(here, engine_use)
    assert use.hours.size == 7
    assert use.share.sum() == pytest.approx(1)
    assert use.year_h == pytest.approx(hours_a_year(engine_use)["year_h"].mean())
