"""A day after the last record: what is due and used up then, and nothing more of how parts last."""

from datetime import date

import polars as pl
import pytest

from pipelines.advice.case import Fleet
from pipelines.errors import NoFigure
from pipelines.flow.ahead import day_ahead, moved_ahead
from pipelines.flow.estimating import Matter
from pipelines.terms.scope import Scope

LAST = date(2025, 10, 31)
NONE = pl.DataFrame()


def matter() -> Matter:
    use = pl.DataFrame({"engine_id": ["E1"] * 12, "month_of_year": list(range(1, 13)), "hours_per_day": [2.0] * 11 + [0.0]})
    fitted = pl.DataFrame(
        {"hours_engine_id": ["E1", "E9", None], "age_h": [100.0, 100.0, None], "age_months": [6.0, 6.0, None], "component": ["a", "b", "c"]}
    )
    fleet = Fleet(positions=NONE, engine_use=use, catalogue=NONE, costs=NONE, limits=NONE, plan=NONE, fitted_now=fitted)
    return Matter(as_of=LAST, lives=NONE, fleet=fleet, parts=NONE, looks=NONE, vessels=NONE, engines=NONE)


def test_a_part_grows_older_by_its_engines_own_hours_in_each_month():
    # 30 days of November at two hours a day, 31 of December laid up.
    moved = moved_ahead(matter(), date(2025, 12, 31))
    assert moved.as_of == date(2025, 12, 31)
    assert moved.fleet.fitted_now["age_h"].to_list() == [160.0, None, None]
    assert moved.fleet.fitted_now["age_months"].to_list() == pytest.approx([6 + 61 / (365.25 / 12)] * 2 + [None])


def test_without_a_later_day_nothing_moves():
    still = matter()
    assert moved_ahead(still, None) is still
    assert day_ahead(Scope(), LAST) is None
    assert day_ahead(Scope(as_of=LAST), LAST) is None
    assert day_ahead(Scope(as_of=date(2026, 1, 1), until=date(2025, 5, 1)), LAST) is None


def test_an_end_of_the_filters_alone_is_not_a_later_day():
    assert day_ahead(Scope(until=date(2026, 1, 1)), LAST) is None


def test_a_later_day_is_told_up_to_a_year_ahead():
    assert day_ahead(Scope(as_of=date(2026, 11, 1)), LAST) == date(2026, 11, 1)
    with pytest.raises(NoFigure, match="more than a year after 2025-10-31"):
        day_ahead(Scope(as_of=date(2026, 11, 2)), LAST)
