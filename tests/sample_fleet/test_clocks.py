"""Hours and days are two ways of saying the same, and the next visit is the next one of that carrier."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sample_fleet.clocks import FAR, Days, HoursClock

GRID = np.array([0.0, 30.0, 60.0, 90.0, 120.0])
CLOCK = HoursClock(GRID, np.array([[0.0, 10.0, 10.0, 40.0, 45.0], [0.0, 0.0, 5.0, 5.0, 9.0]]))
VISITS = Days.from_lists([[40, 10, 80], [], [15]])


@given(st.floats(0.01, 44.99))
def test_the_hours_on_the_day_of_an_hour_are_that_hour(hours):
    carrier = np.array([0])
    assert CLOCK.hours_at(carrier, CLOCK.day_at(carrier, np.array([hours]))) == pytest.approx([hours])


@given(st.lists(st.floats(0, 120), min_size=2, max_size=2))
def test_hours_never_fall(days):
    hours = CLOCK.hours_at(np.array([1, 1]), np.array(sorted(days)))
    assert hours[0] <= hours[1]


def test_hours_are_linear_within_a_month():
    assert CLOCK.hours_at(np.array([0, 1]), np.array([75.0, 45.0])) == pytest.approx([25.0, 2.5])


def test_hours_that_are_never_run_have_no_day():
    assert CLOCK.day_at(np.array([0, 1]), np.array([46.0, 9.5])).tolist() == [FAR, FAR]


def test_a_month_without_hours_is_not_in_use():
    assert CLOCK.in_use(np.array([0, 0, 1]), np.array([45.0, 75.0, 10.0])).tolist() == [False, True, False]


def test_the_next_visit_is_on_the_day_or_after_it():
    assert VISITS.nth_after(np.array([0, 0, 0]), np.array([10.0, 10.5, 81.0])).tolist() == [10, 40, FAR]


def test_a_visit_of_another_carrier_is_none():
    assert VISITS.nth_after(np.array([1, 0]), np.array([0.0, 41.0]), np.array([0, 1])).tolist() == [FAR, FAR]


def test_a_visit_can_be_passed_over():
    assert VISITS.nth_after(np.array([0]), np.array([0.0]), 1).tolist() == [40]
