"""Pictures of what lies behind a rate: limits always drawn, nothing by colour alone, what runs off is marked."""

import polars as pl
import pytest

from dashboard.charts.adding_up import adding_up_chart
from dashboard.charts.boats import HOURS_TITLE, boats_chart
from dashboard.charts.cause_rates import monthly_rates_chart, rates_chart
from dashboard.charts.seasons import NAMES, seasons_chart
from dashboard.charts.theme import ADVISED, ALARM, BAND, CEILING, FIGURE, FITTED, MEASURED, NOTE, NOW, SPAN, UNKNOWN, dressed
from tests.dashboard import invented, invented_patterns
from tests.dashboard.charts.reading import marks, rows, titles

TREND, SEASONS, BOATS, CALLS = (
    invented_patterns.trend(),
    invented_patterns.seasons(),
    invented_patterns.boats(),
    invented_patterns.recurrence(),
)


def boats():
    return boats_chart(BOATS["rows"], BOATS["limits"])


def months(**changes):
    told = {"expected": TREND["monthly"], "breaks": (invented_patterns.BREAK,)} | changes
    return monthly_rates_chart(invented.monthly_rates(), **told)


def test_a_boat_that_stands_out_has_a_shape_and_its_name():
    assert [row["name"] for row in rows(boats(), ALARM)] == ["V1"]
    assert {mark["shape"] for mark in marks(boats(), ALARM)} == {"triangle-up"}
    (look,) = [mark for mark in marks(boats(), NOW) if mark["type"] == "point"]
    assert look["shape"] == "diamond"
    assert [row["name"] for row in rows(boats(), FIGURE)] == ["V1", "V4"]


def test_both_limits_of_the_boats_are_drawn_and_named_with_units_on_the_axes():
    assert titles(boats(), "x") == {HOURS_TITLE}
    assert titles(boats(), "y") == {"per 1,000 engine hours"}
    assert len(marks(boats(), CEILING)) == 2
    assert [row["words"] for row in rows(boats(), NOTE)] == ["99.8 of 100 like boats", "95 of 100", "the fleet"]


def test_every_month_of_the_year_has_its_place_and_thin_ones_are_marked():
    drawn = seasons_chart(SEASONS["rows"])
    held = {row["name"]: row for style in (MEASURED, UNKNOWN) for row in rows(drawn, style)}
    assert set(held) == set(NAMES)
    thin, thick = (mark for mark in marks(drawn, SPAN))
    assert {thin.get("strokeWidth"), thick.get("strokeWidth")} == {1, None}
    assert [row["name"] for row in rows(drawn, UNKNOWN)] == ["Mar"]


def test_the_year_s_mean_is_all_events_over_all_hours():
    (mean,) = {row["rate"] for row in rows(seasons_chart(SEASONS["rows"]), NOW)}
    assert mean == pytest.approx(1000 * SEASONS["rows"]["events"].sum() / SEASONS["rows"]["exposure_h"].sum())


def test_the_trend_is_a_line_and_a_change_of_coding_an_upright_one_with_words():
    drawn = months()
    assert rows(drawn, FITTED)[0]["rate"] == pytest.approx(2.8 / 900 * 1000)
    assert [row["month"][:7] for row in rows(drawn, CEILING)] == ["2024-05"]
    assert [row["words"] for row in rows(drawn, NOTE)] == ["coding changed"]


def test_months_without_hours_break_the_line_of_the_trend():
    assert any(row["rate"] is None for row in rows(months(), FITTED))


def test_without_a_trend_or_a_break_neither_is_drawn():
    bare = months(expected=None, breaks=())
    assert not marks(bare, FITTED)
    assert not marks(bare, CEILING)


def test_an_unknown_month_is_no_point_on_the_line_of_time():
    told = pl.concat([invented.monthly_rates(), invented.monthly_rates().head(1).with_columns(group=pl.lit("unknown"))])
    assert len(rows(monthly_rates_chart(told), MEASURED)) <= invented.monthly_rates().height


def test_calls_add_up_from_nothing_with_their_band_and_the_boats_watched():
    drawn = adding_up_chart(CALLS["rows"], "calls a boat")
    assert titles(drawn, "y") == {"calls a boat"}
    first, *_, last = rows(drawn, MEASURED)
    assert (first["mean"], last["mean"]) == (0.0, pytest.approx(3.0))
    assert {mark["interpolate"] for style in (BAND, MEASURED) for mark in marks(drawn, style)} == {"step-after"}
    assert [row["watched"] for row in rows(drawn, FIGURE)] == [40.0, 40.0]


def test_the_shrunken_rate_stands_beneath_the_raw_one_as_a_hollow_diamond():
    drawn = rates_chart(invented.rates())
    (mark,) = marks(drawn, ADVISED)
    assert (mark["shape"], mark["filled"]) == ("diamond", False)
    assert len(rows(drawn, ADVISED)) == invented.rates()["shrunken_rate"].is_not_null().sum()


@pytest.mark.parametrize("night", [False, True])
def test_each_is_drawn_by_day_and_by_night(night: bool):
    for chart in (boats(), months(), seasons_chart(SEASONS["rows"]), adding_up_chart(CALLS["rows"], "calls a boat")):
        assert dressed(chart, night=night)["layer"]
