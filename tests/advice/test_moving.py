"""What moving a job from its own day costs, against integrals worked out apart and the rules of a yard."""

from datetime import timedelta

import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from pipelines.advice.age_replacement import best_weibull_age
from pipelines.advice.case import Estimate
from pipelines.advice.moving import Moves, moves_of
from pipelines.advice.present import DOWN, RUNNING
from pipelines.advice.seasons import Seasons
from tests.advice.made import TODAY, YEAR_H, derived, even_use, unhurried, weibull

DAYS = 90
MONTH = 365.25 / 12
A_DAY = YEAR_H / 365.25
NO_LIVES = derived("lives")


def job(due_in=30, **said) -> dict:
    """A renewal every 200 h on an engine that runs evenly, due in so many days."""
    age_h = 200.0 - due_in * A_DAY
    plain = {
        "engine_id": "e0",
        "vessel_id": "v0",
        "component": "part",
        "position": None,
        "task": "renew",
        "due_on": TODAY + timedelta(days=due_in),
        "overdue": due_in <= 0,
        "deferred_until": None,
        "ceiling_on": None,
        "state": RUNNING,
        "hours_engine_id": "e0",
        "age_h": age_h,
        "age_months": age_h / YEAR_H * 12,
        "year_h": YEAR_H,
        "every_h": 200.0,
        "every_months": None,
        "safety": False,
        "hidden": False,
        "planned_cost": 100.0,
        "failure_cost": 600.0,
        "visit_cost": 35.0,
    }
    return plain | said


SCHEMA = {
    **dict.fromkeys(("engine_id", "vessel_id", "component", "position", "task", "state", "hours_engine_id"), pl.String),
    **dict.fromkeys(("due_on", "deferred_until", "ceiling_on"), pl.Date),
    **dict.fromkeys(("overdue", "safety", "hidden"), pl.Boolean),
    **dict.fromkeys(("age_h", "age_months", "year_h", "every_h", "every_months"), pl.Float64),
    **dict.fromkeys(("planned_cost", "failure_cost", "visit_cost"), pl.Float64),
}


def moves(*jobs: dict, law=None, slack=0.1) -> Moves:
    known = [] if law is None else [Estimate("part", None, law, NO_LIVES)]
    return moves_of(pl.DataFrame(list(jobs), schema=SCHEMA), known, Seasons(even_use(1), TODAY), TODAY, DAYS, slack)


def worked_out(from_day: float, to_day: float, due_in: int, shape: float, scale: float) -> float:
    """Cost rate of the interval over the time between two days, less the failures in it: by quadrature, for one Weibull law on hours."""

    def lasting(age):
        return np.exp(-((age / scale) ** shape))

    failed = 1 - lasting(200.0)
    rate = (135.0 * lasting(200.0) + 635.0 * failed) / quad(lasting, 0, 200)[0]
    now = 200.0 - due_in * A_DAY
    start, end = now + from_day * A_DAY, now + to_day * A_DAY
    return (rate * quad(lasting, start, end)[0] - 500.0 * (lasting(start) - lasting(end))) / lasting(now)


@pytest.mark.parametrize(("shape", "scale"), [(2.5, 400.0), (3.5, 500.0), (1.0, 900.0)])
def test_a_day_brought_forward_costs_the_cost_rate_less_the_failures_it_spares(shape, scale):
    cost = moves(job(42), law=weibull(shape, scale)).cost[0]
    for day in (0, 21, 35):
        assert cost[day] == pytest.approx(worked_out(day, 42, 42, shape, scale), rel=0.01)


def test_a_day_put_back_costs_the_failures_it_adds_less_the_cost_rate():
    cost = moves(job(42), law=weibull(4.0, 200.0)).cost[0]
    assert worked_out(42, 63, 42, 4.0, 200.0) < 0
    assert cost[63] == pytest.approx(-worked_out(42, 63, 42, 4.0, 200.0), rel=0.01)


def test_at_the_interval_of_least_cost_the_first_days_either_way_cost_next_to_nothing():
    # Dekker, Wildeman and van der Duyn Schouten (1997): the penalty function is flat at the age that is best for the part alone.
    scale = 200.0 / (best_weibull_age(3.0, 1.0, 135.0, 635.0) or 1.0)
    cost = moves(job(42), law=weibull(3.0, scale)).cost[0]
    assert cost[35] < 0.15 * cost[0]
    assert cost[49] < 1.0


def test_what_another_interval_would_save_is_no_saving_of_a_visit():
    # Renewed far too early, a part gains by every day it is put back: that is for its interval to say, and counts as nought here.
    assert worked_out(42, 56, 42, 3.0, 2000.0) > 0
    assert moves(job(42), law=weibull(3.0, 2000.0)).cost[0][42:56] == pytest.approx(0.0)


def test_a_part_without_laws_costs_its_share_of_renewal_and_visit_a_day():
    days_of_200_h = 200 / A_DAY
    cost = moves(job(42)).cost[0]
    assert cost[0] == pytest.approx(42 * 135 / days_of_200_h)


def test_a_part_without_costs_costs_its_share_of_the_visit_a_day():
    cost = moves(job(42, planned_cost=None, failure_cost=None), law=weibull(2.0, 400.0)).cost[0]
    assert cost[0] == pytest.approx(42 * 35 / (200 / A_DAY))


def test_a_look_costs_its_share_of_the_visit_a_day_and_is_never_put_back():
    told = moves(job(42, task="inspect", every_h=None, every_months=6.0), law=weibull(2.0, 400.0))
    assert told.cost[0][0] == pytest.approx(42 * 35 / (6 * MONTH))
    assert told.last_day[0] == 42


def test_a_renewal_may_be_put_back_by_a_share_of_its_interval():
    assert moves(job(42)).last_day[0] == 42 + int(0.1 * 200 / A_DAY)
    assert moves(job(42), slack=0.0).last_day[0] == 42


@pytest.mark.parametrize("said", [{"safety": True}, {"hidden": True}, {"task": "test"}, {"task": "inspect"}], ids=str)
def test_safety_and_hidden_parts_looks_and_tests_are_only_brought_forward(said):
    assert moves(job(42, **said)).last_day[0] == 42


def test_no_job_is_put_back_past_a_limit_that_must_be_kept():
    told = moves(job(42, ceiling_on=TODAY + timedelta(days=47)))
    assert told.last_day[0] == 47
    assert np.isinf(told.cost[0][48:]).all()


def test_what_is_overdue_or_down_is_done_at_the_first_visit():
    told = moves(job(-5), job(-90, state=DOWN, overdue=True))
    assert list(told.own_day) == [0, 0]
    assert list(told.last_day) == [0, 0]


def test_what_was_put_off_has_its_new_day_and_goes_no_further():
    told = moves(job(-5, overdue=False, deferred_until=TODAY + timedelta(days=20)))
    assert (told.own_day[0], told.last_day[0]) == (20, 20)


@unhurried
@given(st.integers(-20, DAYS), st.floats(0.7, 5.0), st.floats(80, 3000), st.floats(0, 0.5), st.booleans())
def test_moving_never_costs_less_the_further_a_job_is_from_its_day(due_in, shape, scale, slack, safety):
    told = moves(job(due_in, safety=safety), law=weibull(shape, scale), slack=slack)
    own, last, cost = told.own_day[0], told.last_day[0], told.cost[0]
    assert cost[own] == 0
    assert (np.diff(cost[: own + 1]) <= 1e-9).all()
    assert (np.diff(cost[own : last + 1]) >= -1e-9).all()
    assert np.isinf(cost[last + 1 :]).all()
    assert np.isfinite(cost[: last + 1]).all()


def test_an_engine_whose_use_is_not_known_is_reckoned_by_months():
    told = moves(job(42, hours_engine_id=None, year_h=None, age_h=None, every_h=None, every_months=10.0), law=weibull(3.0, 20.0, "months"))
    assert 0 < told.cost[0][0] < 42 * 135 / (10 * MONTH)
