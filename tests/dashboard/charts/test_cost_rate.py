"""Cost against interval: band, marked ages, the range the records support, the cost of waiting for the failure."""

from typing import Any

import polars as pl
import pytest

from dashboard.charts.cost_rate import cost_chart, marks_of
from dashboard.charts.theme import ADVISED, BAND, CEILING, FIGURE, MEASURED, NOTE, NOW, SUPPORTED
from tests.dashboard import invented
from tests.dashboard.charts.reading import layers, rows, styles, titles

IMPELLER = "raw-water pump impeller"


def row(**changes: Any) -> dict[str, Any]:
    return {**invented.intervals().row(0, named=True), **changes}


def curve() -> pl.DataFrame:
    return invented.cost_curve().filter(pl.col("component") == IMPELLER)


def test_the_axes_have_titles_with_money_and_age():
    drawn = cost_chart(curve(), row(), "hours", "EUR")
    assert titles(drawn, "x") == {"renewed at age (engine hours)"}
    assert titles(drawn, "y") == {"cost per position and year (EUR)"}


def test_without_a_currency_the_axis_says_money():
    assert titles(cost_chart(curve(), row(), "hours"), "y") == {"cost per position and year (money)"}


def test_the_cost_has_its_band_and_no_point_is_lost():
    drawn = cost_chart(curve(), row(), "hours")
    assert BAND in styles(drawn)
    assert [point["cost"] for point in rows(drawn, MEASURED)] == curve()["cost"].to_list()


def test_advised_now_and_limit_are_marked_and_named_beside_their_lines():
    marks = marks_of(row(), "hours")
    assert [(mark.age, mark.words, mark.style) for mark in marks] == [
        (300.0, "now: 300 h", NOW),
        (250.0, "limit: 250 h", CEILING),
        (190.0, "advised: 190 h", ADVISED),
    ]
    drawn = cost_chart(curve(), row(), "hours")
    assert {"advised: 190 h", "now: 300 h", "limit: 250 h"} <= {point.get("words") for point in rows(drawn, FIGURE)}


def test_the_three_lines_differ_in_their_dashes_not_only_in_colour():
    drawn = cost_chart(curve(), row(), "hours")
    dashes = [
        tuple(layer["mark"]["strokeDash"]) for layer in layers(drawn) if layer["mark"].get("strokeDash") and layer["mark"].get("clip")
    ]
    assert len(set(dashes)) == 3


def test_an_age_that_is_not_set_is_not_marked():
    assert [mark.style for mark in marks_of(row(current_h=None, limit_h=None), "hours")] == [ADVISED]


@pytest.mark.parametrize(("span", "end"), [([150.0, 240.0], 240.0), ([150.0, None], 600.0)])
def test_the_range_the_records_support_is_shaded(span: list[float | None], end: float):
    assert rows(cost_chart(curve(), row(range_h=span), "hours"), SUPPORTED) == [{"age": 150.0, "until": end}]


def test_without_a_range_nothing_is_shaded():
    assert SUPPORTED not in styles(cost_chart(curve(), row(range_h=None), "hours"))


def test_the_cost_of_waiting_for_the_failure_is_drawn_across_and_named():
    drawn = cost_chart(curve(), row(), "hours")
    assert "only when it fails" in [point.get("words") for point in rows(drawn, NOTE)]
    assert NOTE not in styles(cost_chart(curve(), row(run_to_failure_cost_rate=None), "hours"))


def test_the_endless_cost_of_renewing_daily_does_not_flatten_the_valley():
    drawn = cost_chart(curve(), row(), "hours")
    (top,) = {layer["encoding"]["y"]["scale"]["domain"][1] for layer in layers(drawn) if layer["encoding"].get("y", {}).get("scale")}
    assert top < 5 * curve()["cost"].min()  # pyright: ignore[reportOperatorIssue]
    assert top > 171.0


def test_on_the_other_clock_the_months_are_marked():
    assert [mark.words for mark in marks_of(row(), "months")] == ["limit: 24 months", "advised: 18 months", "now: 12 months"]
