"""Days as filters: what they mean for lives."""

from datetime import date

import polars as pl
import pytest

from pipelines.flow.scoping import as_watched, seen_since
from pipelines.terms.scope import Scope


def life(began: date, ended: date, low_h: float | None, failed: bool) -> dict:
    months = (ended - began).days / (365.25 / 12)
    return {
        "began_on": began,
        "ended_on": ended,
        "entry_h": None if low_h is None else 0.0,
        "low_h": low_h,
        "high_h": low_h if failed else None,
        "entry_months": 0.0,
        "low_months": months,
        "high_months": months if failed else None,
    }


LIVES = pl.DataFrame(
    [
        life(date(2020, 1, 1), date(2020, 12, 31), 100.0, True),
        life(date(2020, 7, 1), date(2021, 7, 1), 200.0, True),
        life(date(2021, 3, 1), date(2021, 9, 1), 50.0, False),
        life(date(2020, 1, 1), date(2021, 9, 1), None, False),
    ]
)


def test_a_life_that_ended_before_is_out_and_one_that_began_before_enters_at_its_age_then():
    seen = seen_since(LIVES, date(2021, 1, 1))
    assert seen["low_h"].to_list() == [200.0, 50.0, None]
    assert seen["entry_h"].to_list() == pytest.approx([200 * 184 / 365, 0.0, None])
    assert seen["entry_months"].to_list() == pytest.approx([184 / (365.25 / 12), 0.0, 366 / (365.25 / 12)])


def test_what_had_not_failed_has_still_not_failed_and_unknown_hours_stay_unknown():
    seen = seen_since(LIVES, date(2021, 1, 1))
    assert seen["high_h"].to_list() == [200.0, None, None]


def test_without_a_day_nothing_changes():
    assert seen_since(LIVES, None).equals(LIVES)


def test_the_last_day_of_a_filter_is_the_last_day_known():
    assert as_watched(Scope(until=date(2024, 5, 1))) == Scope(as_of=date(2024, 5, 1))
    assert as_watched(Scope(until=date(2024, 5, 1), as_of=date(2023, 5, 1))).as_of == date(2023, 5, 1)
    assert as_watched(Scope()) == Scope()
