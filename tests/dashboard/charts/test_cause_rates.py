"""Rates drawn as dots with their limits: nothing lost, unknown in its own row, no rate where hours are unknown."""

import polars as pl
import pytest

from dashboard.charts.cause_rates import RATE_TITLE, monthly_rates_chart, rates_chart
from dashboard.charts.theme import LABEL, MEASURED, SPAN, UNKNOWN, UNKNOWN_SPAN
from tests.dashboard import invented
from tests.dashboard.charts.reading import layers, marks, rows, titles


def test_the_axis_says_per_what():
    assert titles(rates_chart(invented.rates()), "x") == {RATE_TITLE}


def test_no_row_is_lost_and_the_order_is_kept():
    drawn = rows(rates_chart(invented.rates()), LABEL)
    assert [row["group"] for row in drawn] == invented.rates()["group"].to_list()


def test_events_and_hours_stand_beside_every_row():
    drawn = {row["group"]: row["counts"] for row in rows(rates_chart(invented.rates()), LABEL)}
    assert drawn["fuel exhausted"] == "28 in 40,250 h"


def test_a_row_without_hours_has_its_count_and_no_rate():
    drawn = {row["group"]: row for row in rows(rates_chart(invented.rates()), LABEL)}
    assert drawn["seized"]["counts"] == "2 (hours unknown)"
    assert drawn["seized"]["rate"] is None
    assert all(mark["invalid"] == "filter" for mark in marks(rates_chart(invented.rates()), MEASURED))


def test_limits_are_drawn_from_low_to_high():
    bars = [layer for layer in layers(rates_chart(invented.rates())) if layer["mark"].get("style") in (SPAN, UNKNOWN_SPAN)]
    assert {(bar["encoding"]["x"]["field"], bar["encoding"]["x2"]["field"]) for bar in bars} == {("low", "high")}


def test_unknown_is_a_row_of_its_own_and_drawn_hollow():
    chart = rates_chart(invented.rates())
    assert [row["group"] for row in rows(chart, UNKNOWN)] == ["unknown"]
    assert [mark["filled"] for mark in marks(chart, UNKNOWN)] == [False]
    assert "unknown" not in [row["group"] for row in rows(chart, MEASURED)]


def test_a_group_with_few_hours_does_not_flatten_the_others():
    wild = invented.rates().with_columns(pl.when(pl.col("group") == "lanyard pulled").then(184.0).otherwise("high").alias("high"))
    ends = {layer["encoding"]["x"]["scale"]["domain"][1] for layer in layers(rates_chart(wild)) if "scale" in layer["encoding"]["x"]}
    assert ends == {3 * 1.516}


def test_rows_that_had_no_event_still_show_how_bad_it_could_be():
    quiet = invented.rates().head(2).with_columns(pl.lit(0.0).alias("rate"), pl.lit(0.0).alias("low"), pl.lit(0.9).alias("high"))
    ends = {layer["encoding"]["x"]["scale"]["domain"][1] for layer in layers(rates_chart(quiet)) if "scale" in layer["encoding"]["x"]}
    assert ends == {0.9}


def test_every_month_with_hours_has_its_mark():
    months = invented.monthly_rates()
    chart = monthly_rates_chart(months)
    drawn = [row["group"] for row in [*rows(chart, MEASURED), *rows(chart, UNKNOWN)]]
    assert sorted(drawn) == months.filter(pl.col("rate").is_not_null())["group"].to_list()


def test_a_month_of_few_hours_does_not_flatten_the_others():
    chart = monthly_rates_chart(invented.monthly_rates())
    (top,) = {layer["encoding"]["y"]["scale"]["domain"][1] for layer in layers(chart)}
    usual = invented.monthly_rates().filter(pl.col("exposure_h") > 500)
    assert top == pytest.approx(usual["high"].max())
    beyond = rows(chart, UNKNOWN)
    assert beyond
    assert all(row["rate"] > top for row in beyond)
    thin = [layer["mark"] for layer in layers(chart) if layer["mark"].get("strokeWidth") == 1]
    assert [mark["style"] for mark in thin] == [SPAN]


def test_months_are_titled_with_their_unit():
    chart = monthly_rates_chart(invented.monthly_rates())
    assert titles(chart, "y") == {RATE_TITLE}
    assert titles(chart, "x") == {"month"}


def test_months_without_any_hours_can_still_be_drawn():
    none = invented.monthly_rates().with_columns(*(pl.lit(None, pl.Float64).alias(name) for name in ("exposure_h", "rate", "low", "high")))
    assert rows(monthly_rates_chart(none), MEASURED) == []
