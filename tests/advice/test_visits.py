"""Jobs that share visits: never dearer than any other plan, by looking at every other plan."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.advice.moving import Moves
from pipelines.advice.visits import best_single_day, visit_days
from tests.advice.made import unhurried

DAYS = 8
money = st.integers(0, 12).map(float)


@st.composite
def one_boat(draw) -> Moves:
    """Up to five jobs whose cost never falls with the distance from their own day; some may not be put back."""
    jobs = draw(st.integers(1, 5))
    own = np.array([draw(st.integers(0, DAYS)) for _ in range(jobs)])
    last = np.array([draw(st.integers(day, DAYS)) for day in own])
    cost = np.zeros((jobs, DAYS + 1))
    for row, day in enumerate(own):
        steps = np.array([draw(money) for _ in range(DAYS)])
        cost[row, :day] = np.cumsum(steps[:day])[::-1]
        cost[row, day + 1 :] = np.cumsum(steps[day:])
        cost[row, last[row] + 1 :] = np.inf
    return Moves(own, last, cost)


def cost_of(moves: Moves, days: np.ndarray, visit: float) -> float:
    return visit * np.unique(days).size + float(moves.cost[np.arange(days.size), days].sum())


def partitions(jobs: list[int]):
    """Every way to part jobs into groups."""
    if not jobs:
        yield []
        return
    first, rest = jobs[0], jobs[1:]
    for others in partitions(rest):
        yield [[first], *others]
        for place, group in enumerate(others):
            yield [*others[:place], [first, *group], *others[place + 1 :]]


def least_over_all_partitions(moves: Moves, visit: float) -> float:
    """The least cost over every way to group the jobs, each group on its best day."""
    grouped = (
        sum(visit + moves.cost[group].sum(axis=0).min() for group in groups) for groups in partitions(list(range(moves.own_day.size)))
    )
    return float(min(grouped))


def least_over_all_days(moves: Moves, visit: float) -> float:
    """The least cost over every choice of days with a visit, each job on the best of them."""
    days = range(DAYS + 1)
    chosen = (list(some) for count in days for some in combinations(days, count + 1))
    return float(min(visit * len(some) + moves.cost[:, some].min(axis=1).sum() for some in chosen))


@unhurried
@given(one_boat(), st.floats(0.5, 20))
def test_no_grouping_of_the_jobs_costs_less(moves, visit):
    assert cost_of(moves, visit_days(moves, visit), visit) == pytest.approx(least_over_all_partitions(moves, visit), abs=1e-6)


@unhurried
@given(one_boat(), st.floats(0.5, 20))
def test_no_choice_of_visit_days_costs_less(moves, visit):
    assert cost_of(moves, visit_days(moves, visit), visit) == pytest.approx(least_over_all_days(moves, visit), abs=1e-6)


@unhurried
@given(one_boat(), st.floats(0.5, 20))
def test_no_job_is_done_after_its_last_day(moves, visit):
    assert (visit_days(moves, visit) <= moves.last_day).all()


@unhurried
@given(one_boat(), st.floats(0.5, 20))
def test_sharing_visits_never_costs_more_than_each_job_on_its_day_or_all_at_one_service(moves, visit):
    shared = cost_of(moves, visit_days(moves, visit), visit)
    assert shared <= visit * np.unique(moves.own_day).size + 1e-6
    assert shared <= visit + moves.cost[:, best_single_day(moves)].sum() + 1e-6


@unhurried
@given(one_boat(), st.floats(0.5, 10), st.floats(0.5, 10))
def test_dearer_visits_are_never_more(moves, visit, more):
    assert np.unique(visit_days(moves, visit + more)).size <= np.unique(visit_days(moves, visit)).size


def jobs(*rows: tuple[int, int, float, float], days: int = 40) -> Moves:
    """Jobs as own day, last day, money a day brought forward, money a day put back."""
    at = np.arange(days + 1)
    cost = [np.where(at > last, np.inf, np.where(at < own, (own - at) * early, (at - own) * late)) for own, last, early, late in rows]
    return Moves(np.array([row[0] for row in rows]), np.array([row[1] for row in rows]), np.array(cost))


def test_a_job_is_brought_forward_where_that_costs_less_than_a_visit():
    assert list(visit_days(jobs((10, 10, 1, 1), (15, 15, 1, 1)), 6.0)) == [10, 10]
    assert list(visit_days(jobs((10, 10, 1, 1), (15, 15, 1, 1)), 4.0)) == [10, 15]


def test_a_job_is_put_back_where_that_is_cheaper_than_bringing_the_other_forward():
    assert list(visit_days(jobs((10, 20, 5, 1), (15, 15, 5, 1)), 6.0)) == [15, 15]


def test_where_moving_costs_nothing_a_job_stays_next_to_its_day():
    assert list(visit_days(jobs((10, 10, 0, 0), (15, 15, 0, 0), (30, 30, 0, 0)), 1.0)) == [10, 10, 10]


def test_the_best_groups_need_not_be_consecutive():
    # Visits stand on days 5 and 30 anyway. Of the two jobs between, the first is cheap to put back, the second to bring forward.
    four = jobs((5, 5, 100, 100), (17, 40, 10, 0.1), (18, 18, 0.1, 10), (30, 30, 100, 100))
    assert list(visit_days(four, 20.0)) == [5, 30, 5, 30]


def test_a_boat_without_jobs_has_no_visit():
    assert visit_days(Moves(np.empty(0, int), np.empty(0, int), np.empty((0, 9))), 1.0).size == 0
