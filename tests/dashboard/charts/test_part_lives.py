"""Survival curves: steps with their band, number watched below, the fit within the ages seen and dashed beyond them."""

import math

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.charts.part_lives import AGE_TITLES, MOST_POINTS, life_ranges_chart, survival_chart, thinned
from dashboard.charts.theme import ADVISED, BAND, BEYOND, FIGURE, FITTED, MEASURED, NOTE, SPAN
from dashboard.sentences.lives import life_lines
from tests.dashboard import invented, invented_patterns
from tests.dashboard.charts.reading import layers, marks, rows, styles, titles

LAST = 600.0


def chart(line: pl.DataFrame | None = None, *, bare: bool = False):
    return survival_chart(invented.curve(), None if bare else invented_patterns.line() if line is None else line, "hours")


def whole_line(drawn):
    return [row for row in rows(drawn, FITTED) if "surviving" in row]


@pytest.mark.parametrize("clock", ["hours", "months"])
def test_the_axes_have_titles_with_units(clock: str):
    drawn = survival_chart(invented.curve(), None, clock)
    assert titles(drawn, "x") == {AGE_TITLES[clock]}
    assert titles(drawn, "y") == {"still running"}


def test_the_curve_is_a_step_with_its_band():
    for style in (BAND, MEASURED):
        (mark,) = [layer["mark"] for layer in layers(chart()) if layer["mark"].get("style") == style]
        assert mark["interpolate"] == "step-after"
    (band,) = [layer for layer in layers(chart()) if layer["mark"].get("style") == BAND]
    assert (band["encoding"]["y"]["field"], band["encoding"]["y2"]["field"]) == ("low", "high")


def test_every_point_of_the_curve_is_drawn():
    assert rows(chart(), MEASURED) == invented.curve().to_dicts()


def test_a_curve_of_those_that_reach_an_age_says_so_and_so_does_the_fit():
    drawn = survival_chart(invented.curve(start=200.0), invented_patterns.line(start=200.0), "hours")
    assert titles(drawn, "y") == {"still running, of those that reach 200"}
    fitted = whole_line(drawn)
    assert (fitted[0]["age"], fitted[0]["surviving"]) == (200.0, 1.0)
    assert fitted[-1]["surviving"] == pytest.approx(math.exp((200 / 520) ** 2.4 - (fitted[-1]["age"] / 520) ** 2.4))


def test_the_number_watched_stands_under_the_axis():
    watched = [row for row in rows(chart(), FIGURE) if "watched" in row]
    curve = invented.curve()
    assert [row["age"] for row in watched] == [0.0, 200.0, 400.0, 600.0]
    assert [row["watched"] for row in watched[1:]] == [curve.filter(pl.col("age") >= age)["at_risk"][0] for age in (200, 400, 600)]


def test_the_fit_is_whole_within_the_ages_seen_and_dashed_beyond():
    within, beyond = whole_line(chart()), rows(chart(), BEYOND)
    assert max(row["age"] for row in within) <= LAST <= min(row["age"] for row in beyond)
    assert "beyond what was seen" in [row["words"] for row in rows(chart(), NOTE) if "words" in row]


def test_the_fit_follows_the_weibull():
    assert all(row["surviving"] == pytest.approx(math.exp(-((row["age"] / 520) ** 2.4))) for row in whole_line(chart()))


def test_the_limits_of_the_fit_are_fine_lines_that_go_on_beyond_what_was_seen():
    fine = [row for row in rows(chart(), FITTED) if "surviving" not in row]
    line = invented_patterns.line()
    assert [row["low"] for row in fine if "low" in row] == line["low"].to_list()
    assert [row["high"] for row in fine if "high" in row] == line["high"].to_list()
    assert {tuple(mark["strokeDash"]) for mark in marks(chart(), FITTED) if "strokeDash" in mark} == {(2, 3)}


def test_without_a_fit_there_is_no_line_and_no_word_of_one():
    bare = chart(bare=True)
    assert not styles(bare) & {FITTED, BEYOND}
    assert max(row["age"] for row in rows(bare, MEASURED)) == LAST


@given(st.integers(2, 3000))
def test_thinning_keeps_the_ends_and_changes_no_row(points: int):
    curve = invented.curve(points)
    kept = thinned(curve)
    assert kept.height == min(points + 1, MOST_POINTS)
    assert kept.row(0) == curve.row(0)
    assert kept.row(-1) == curve.row(-1)
    assert kept.join(curve, on=curve.columns, how="semi").height == kept.height


def test_each_part_has_its_age_with_limits_and_its_counts():
    drawn = life_ranges_chart(life_lines(invented.fits()), "hours")
    assert titles(drawn, "x") == {"one in ten failed by age (engine hours)"}
    assert [row["counts"] for row in rows(drawn, SPAN)] == ["62 failed of 212", "26 failed of 96", "1 failed of 48"]
    assert [row["b10"] for row in rows(drawn, MEASURED)] == [204.0, 211.0, None]


def test_beneath_the_raw_age_stands_the_one_with_the_prior_also_where_there_is_no_raw_one():
    drawn = life_ranges_chart(life_lines(invented.fits()), "hours")
    (mark,) = [mark for mark in marks(drawn, ADVISED) if mark["type"] == "point"]
    assert (mark["shape"], mark["filled"], mark["yOffset"] > 0) == ("diamond", False, True)
    believed = [row["b10"] for row in invented.fits()["posterior"]]
    assert [row["drawn_b10"] for row in rows(drawn, ADVISED)] == believed


def test_a_limit_nobody_can_know_does_not_flatten_the_others():
    wild = invented.fits().with_columns(
        pl.when(pl.col("component") == "ignition coil").then(537281.0).otherwise("b10_high").alias("b10_high")
    )
    (end,) = {
        layer["encoding"]["x"]["scale"]["domain"][1]
        for layer in layers(life_ranges_chart(life_lines(wild), "hours"))
        if layer["encoding"]["x"].get("scale")
    }
    assert end == 3 * 211.0
