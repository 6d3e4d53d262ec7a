import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.advice.hidden import keepable_months, years_between_tests
from tests.advice.made import unhurried


@unhurried
@given(st.floats(0.02, 50), st.floats(0.5, 0.9999))
def test_tests_that_often_keep_the_wanted_availability(rate, availability):
    faults = rate * years_between_tests(rate, availability)
    assert (1 - math.exp(-faults)) / faults == pytest.approx(availability, rel=1e-6)


# For a rare failure the mean time down is half the time between tests (a first-order expansion of the formula).
def test_a_rare_failure_is_down_for_half_the_time_between_tests():
    assert years_between_tests(0.1, 0.99) == pytest.approx(2 * 0.01 / 0.1, rel=0.01)


def test_what_never_fails_need_not_be_tested_in_a_lifetime():
    assert years_between_tests(0.0, 0.99) == 100.0


@pytest.mark.parametrize(
    ("years", "ceiling", "months"), [(0.3, None, 3.0), (0.3, 2.0, 2.0), (0.3, 12.0, 3.0), (0.05, None, 0.46), (0.001, None, 0.23)]
)
def test_months_are_whole_and_weeks_whole_below_a_month(years, ceiling, months):
    assert keepable_months(years, ceiling) == months


@unhurried
@given(st.floats(0.001, 100), st.floats(0.2, 60))
def test_a_limit_on_testing_is_never_passed(years, ceiling):
    assert keepable_months(years, ceiling) <= ceiling or keepable_months(years, ceiling) == pytest.approx(0.23)
