import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.advice.seasons import Seasons
from tests.advice.made import TODAY, even_use, unhurried

SUMMER = Seasons(even_use(1, 240.0, months=(6, 7, 8)), TODAY)
EVEN = Seasons(even_use(1), TODAY)


def test_a_summer_runs_its_hours_in_summer():
    assert SUMMER.hours_by(["e0"], 91)[0] == pytest.approx(240, abs=3)
    assert SUMMER.hours_by(["e0"], 200)[0] == pytest.approx(240, abs=3)
    assert SUMMER.hours_by(["e0"], 365 + 91)[0] == pytest.approx(480, abs=6)


def test_unknown_engines_have_unknown_hours():
    assert np.isnan(EVEN.hours_by(["other", None], 30)).all()
    assert np.isnan(EVEN.days_until(["other"], np.array([30.0]))).all()


def test_unknown_hours_have_no_day():
    assert np.isnan(EVEN.days_until(["e0"], np.array([np.nan]))).all()


def test_an_engine_that_never_runs_never_gets_there():
    laid_up = Seasons(even_use(1, 0.0), TODAY)
    assert laid_up.days_until(["e0"], np.array([5.0]))[0] == np.inf
    assert laid_up.days_until(["e0"], np.array([0.0]))[0] == 0


@unhurried
@given(st.floats(0.5, 2000))
def test_hours_and_days_undo_each_other(hours):
    days = EVEN.days_until(["e0"], np.array([hours]))[0]
    assert EVEN.hours_by(["e0"], days)[0] == pytest.approx(hours, abs=240 / 365 + 0.01 * hours)


def test_hours_run_over_are_counted_back():
    assert EVEN.days_until(["e0"], np.array([-24.0]))[0] == pytest.approx(-36.5, abs=0.5)


def test_no_engines_at_all_are_no_trouble():
    nobody = Seasons(even_use(0), TODAY)
    assert np.isnan(nobody.hours_by(["e0"], 30)).all()
    assert np.isnan(nobody.days_until(["e0"], np.array([30.0]))).all()
