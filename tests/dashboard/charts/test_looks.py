"""Looks at the lives of a part: Weibull paper, hazard, causes stacked; limits always drawn, names where things stand."""

import itertools
import math

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.charts.endings import APART, MOST_CAUSES, OTHERS, ending_limits_chart, endings_chart
from dashboard.charts.hazard import hazard_chart
from dashboard.charts.theme import BAND, BEYOND, FITTED, LABEL, MEASURED, NOTE, SPAN
from dashboard.charts.weibull_paper import paper_chart
from tests.dashboard import invented_patterns
from tests.dashboard.charts.reading import layers, marks, rows, titles


def paper(line: pl.DataFrame | None = None):
    return paper_chart(invented_patterns.paper(), line, 600.0, "hours")


def test_a_weibull_is_a_straight_line_on_the_paper_and_its_slope_is_the_shape():
    drawn = [row for row in rows(paper(invented_patterns.line()), FITTED) if row["age"] > 0]
    slopes = [
        (after["at_failed"] - before["at_failed"]) / math.log(after["age"] / before["age"])
        for before, after in itertools.pairwise(drawn)
        if after["age"] > before["age"]
    ]
    assert slopes == pytest.approx([2.4] * len(slopes), rel=1e-6)


def test_the_paper_has_limits_of_dots_and_line_and_is_dashed_beyond_what_was_seen():
    drawn = paper(invented_patterns.line())
    assert marks(drawn, SPAN)
    assert len([mark for mark in marks(drawn, FITTED) if mark.get("strokeDash") == [2, 3]]) == 2
    assert min(row["age"] for row in rows(drawn, BEYOND) if row["age"] >= 600) == 600
    assert "fitted Weibull" in [row["words"] for row in rows(drawn, NOTE)]


def test_the_paper_says_its_scales():
    drawn = paper()
    assert titles(drawn, "x") == {"age (engine hours), logarithmic"}
    assert titles(drawn, "y") == {"failed by that age (Weibull scale)"}
    axis = next(layer["encoding"]["y"]["axis"] for layer in layers(drawn) if layer["encoding"]["y"].get("axis"))
    assert "'50 %'" in axis["labelExpr"]
    assert len(axis["values"]) >= 3


def test_without_a_fit_the_paper_has_dots_alone():
    assert not marks(paper(), FITTED)
    assert len(rows(paper(), MEASURED)) == 20


@pytest.mark.parametrize(("clock", "times", "unit"), [("hours", 1000, "1,000 hours"), ("months", 100, "100 months")])
def test_the_hazard_is_told_per_a_round_stretch_of_age_with_its_band(clock: str, times: int, unit: str):
    drawn = hazard_chart(invented_patterns.hazard(), clock)
    assert unit in next(iter(titles(drawn, "y")))
    assert rows(drawn, MEASURED)[9]["hazard"] == pytest.approx(times * invented_patterns.hazard()["hazard"][9])
    (band,) = [layer for layer in layers(drawn) if layer["mark"].get("style") == BAND]
    assert (band["encoding"]["y"]["field"], band["encoding"]["y2"]["field"]) == ("low", "high")


def names(drawn) -> list[str]:
    return [row["cause"] for row in rows(drawn, LABEL)]


@given(st.integers(1, 12))
def test_bands_stand_on_one_another_and_add_up_to_all_that_failed(causes: int):
    drawn = endings_chart(invented_patterns.incidence(causes), "hours")
    last = {row["cause"]: row for row in rows(drawn, BAND) if row["age"] == 600.0}
    total = invented_patterns.incidence(causes).filter(pl.col("age") == 600)["incidence"].sum()
    assert max(row["until"] for row in last.values()) == pytest.approx(total)
    edges = sorted((row["since"], row["until"]) for row in last.values())
    assert edges[0][0] == pytest.approx(0)
    assert all(before[1] == pytest.approx(after[0]) for before, after in itertools.pairwise(edges))


@given(st.integers(1, 12))
def test_each_band_has_its_name_and_none_covers_another(causes: int):
    drawn = endings_chart(invented_patterns.incidence(causes), "hours")
    assert len(names(drawn)) == min(causes, MOST_CAUSES + 1)
    heights = sorted(row["height"] for row in rows(drawn, LABEL))
    top = next(layer["encoding"]["y"]["scale"]["domain"][1] for layer in layers(drawn) if layer["encoding"]["y"].get("scale"))
    assert all(after - before >= APART * top * 0.999 for before, after in itertools.pairwise(heights))


def test_rare_causes_are_taken_together_and_said_to_be():
    assert names(endings_chart(invented_patterns.incidence(9), "hours"))[-1] == OTHERS


def test_each_cause_has_its_limits_and_its_count():
    drawn = ending_limits_chart(invented_patterns.incidence(3), "months")
    assert titles(drawn, "x") == {"% failed by that age, 600 months"}
    assert [row["counts"] for row in rows(drawn, SPAN)] == ["12 failed"] * 3
    assert rows(drawn, SPAN)[0]["low"] == pytest.approx(21.0)
