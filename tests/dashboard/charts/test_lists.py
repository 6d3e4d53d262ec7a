"""Intervals, jobs, shelf and account: every row there, shapes that tell apart what colours do."""

from datetime import timedelta

import polars as pl
import pytest

from dashboard.charts.cause_rates import rates_chart
from dashboard.charts.due_dates import MOST_BOATS, due_chart
from dashboard.charts.part_lives import life_ranges_chart
from dashboard.charts.reconciliation import reconciliation_chart
from dashboard.charts.renewal_intervals import intervals_chart
from dashboard.charts.shelf import budget_chart, shelf_chart
from dashboard.charts.theme import ADVISED, ADVISED_SPAN, ALARM, CEILING, FIGURE, HELD, LABEL, MEASURED, NOTE, NOW, SPAN
from dashboard.sentences.account import kind_lines
from dashboard.sentences.advice import advice_lines
from dashboard.sentences.lives import life_lines
from dashboard.sentences.work import shelf_lines
from tests.dashboard import invented
from tests.dashboard.charts.reading import every_row, layers, marks, rows, titles


def intervals(clock: str):
    return intervals_chart(advice_lines(invented.intervals()), clock)


@pytest.mark.parametrize(("clock", "title"), [("hours", "interval (engine hours)"), ("months", "interval (months)")])
def test_intervals_are_told_in_the_unit_asked_for(clock: str, title: str):
    assert titles(intervals(clock), "x") == {title}


def test_every_part_has_its_line_and_its_advice_in_words():
    told = {row["line"]: row["advice"] for row in rows(intervals("hours"), LABEL)}
    assert list(told) == invented.intervals()["component"].to_list()
    assert told["raw-water pump impeller"] == "190 h or 18 months"
    assert told["ignition coil"] == "when it fails"


def test_advised_now_and_limit_have_three_shapes():
    shapes = {mark["shape"] for style in (ADVISED, NOW, CEILING) for mark in marks(intervals("hours"), style)}
    assert shapes == {"diamond", "circle", "stroke"}


def test_the_range_is_drawn_and_one_without_an_end_reaches_the_edge():
    open_ended = invented.intervals().with_columns(
        pl.when(pl.col("component") == "drive belt").then(pl.lit([300.0, None])).otherwise("range_h").alias("range_h")
    )
    drawn = {row["line"]: (row["low"], row["high"]) for row in rows(intervals_chart(advice_lines(open_ended), "hours"), ADVISED_SPAN)}
    assert drawn["raw-water pump impeller"] == (150.0, 240.0)
    assert drawn["drive belt"] == (300.0, 1000.0)
    assert drawn["ignition coil"] == (None, None)


def test_every_job_is_drawn_on_its_day_overdue_ones_as_triangles():
    chart = due_chart(invented.due(), invented.TODAY)
    assert sum(row["jobs"] for row in rows(chart, ALARM)) == invented.due().height
    assert {mark["shape"] for mark in marks(chart, ALARM)} == {"triangle-left"}
    assert {mark["shape"] for mark in marks(chart, MEASURED)} == {"circle"}
    assert titles(chart, "x") == {"due on (date)"}


def test_jobs_that_would_cover_one_another_are_one_mark_with_their_number():
    same_day = (
        invented.due().head(3).with_columns(pl.lit(invented.TODAY - timedelta(days=400)).alias("due_on"), pl.lit(True).alias("overdue"))
    )
    (mark,) = rows(due_chart(same_day, invented.TODAY), ALARM)
    assert mark["jobs"] == 3
    assert mark["what"] == "renew raw-water pump impeller, renew drive belt, renew bilge pump"


def test_boats_with_most_overdue_come_first_with_their_counts():
    told = rows(due_chart(invented.due(), invented.TODAY), LABEL)
    late = invented.due().group_by("vessel_id").agg(pl.col("overdue").sum())
    assert told[0]["vessel_id"] == late.sort("overdue", descending=True)["vessel_id"][0]
    assert [row["late"] for row in told] == sorted((row["late"] for row in told), reverse=True)
    assert told[0]["counts"] == "2 overdue, 1 to come"


def test_a_job_long_overdue_stands_at_the_edge_and_one_without_a_day_at_today():
    rows_of_two = (
        invented.due()
        .head(2)
        .with_columns(pl.Series("due_on", [invented.TODAY - timedelta(days=900), None]), pl.Series("overdue", [True, True]))
    )
    drawn = sorted(row["drawn_on"] for row in rows(due_chart(rows_of_two, invented.TODAY), ALARM))
    assert [day[:10] for day in drawn] == ["2025-08-01", "2025-09-30"]


def test_a_large_fleet_is_drawn_as_far_as_a_page_can_show():
    many = pl.concat([invented.due().with_columns(pl.format("{}-{}", pl.lit(copy), "vessel_id").alias("vessel_id")) for copy in range(9)])
    assert len(rows(due_chart(many, invented.TODAY), LABEL)) == MOST_BOATS


def test_the_shelf_shows_pieces_use_with_its_range_and_the_level_to_order_at():
    chart = shelf_chart(shelf_lines(invented.stock()))
    assert titles(chart, "x") == {"pieces"}
    assert [row["on_hand"] for row in rows(chart, HELD)] == [2, 1, 5, 0]
    (span,) = [layer for layer in layers(chart) if layer["mark"].get("style") == SPAN]
    assert (span["encoding"]["x"]["field"], span["encoding"]["x2"]["field"]) == ("demand_low", "demand_high")
    assert [row["order"] for row in rows(chart, LABEL)] == ["order 9", "order 4", "enough", "cannot say"]


def test_the_budget_rises_in_steps_and_loses_no_step():
    chart = budget_chart(invented.budget_curve(), "EUR")
    assert titles(chart, "x") == {"spent now (EUR)"}
    assert titles(chart, "y") == {"in stock when asked for"}
    assert [row["service_level"] for row in rows(chart, MEASURED)] == invented.budget_curve()["service_level"].to_list()


def test_the_account_shows_every_count_as_a_figure():
    chart = reconciliation_chart(kind_lines(invented.reconciliation()))
    shown = [row["rows"] for row in rows(chart, FIGURE) if "rows" in row]
    expected = invented.reconciliation().drop("kind")
    assert sorted(shown) == sorted(value for column in expected.iter_columns() for value in column)
    assert [row["head"] for row in rows(chart, NOTE)] == ["rows in", "accepted", "repeated", "superseded", "left out"]


def test_the_bars_of_a_kind_add_to_its_rows_in():
    chart = reconciliation_chart(invented.reconciliation())
    shares: dict[str, float] = {}
    for row in every_row(chart):
        if "share" in row and row["fate"] != "rows_in":
            shares[row["kind"]] = shares.get(row["kind"], 0.0) + row["share"]
    assert list(shares.values()) == pytest.approx([1.0] * 5)


def test_a_kind_without_rows_has_no_bar():
    nothing = invented.reconciliation().head(1).with_columns(pl.lit(0).alias("rows_in"), pl.lit(0).alias("accepted"))
    assert {row["share"] for row in every_row(reconciliation_chart(nothing)) if "share" in row} == {0.0}


def unknown(frame: pl.DataFrame) -> pl.DataFrame:
    """The frame with every figure unknown."""
    return frame.with_columns(
        pl.lit(None, kind).alias(name) for name, kind in frame.schema.items() if kind.is_numeric() or kind.is_nested()
    )


@pytest.mark.parametrize(
    "chart",
    [
        lambda: intervals_chart(unknown(advice_lines(invented.intervals())), "hours"),
        lambda: shelf_chart(unknown(shelf_lines(invented.stock()))),
        lambda: life_ranges_chart(unknown(life_lines(invented.fits())), "hours"),
        lambda: rates_chart(unknown(invented.rates()).with_columns(pl.lit(0).alias("events"))),
    ],
    ids=["intervals", "shelf", "lives", "rates"],
)
def test_a_list_of_which_no_figure_is_known_still_has_its_lines(chart):
    assert rows(chart(), LABEL)


@pytest.mark.parametrize(
    "chart",
    [
        intervals("hours"),
        due_chart(invented.due(), invented.TODAY),
        shelf_chart(shelf_lines(invented.stock())),
        reconciliation_chart(invented.reconciliation()),
    ],
    ids=["intervals", "due", "shelf", "account"],
)
def test_names_stand_above_their_marks_so_that_a_telephone_has_room(chart):
    assert all(layer["mark"].get("baseline") == "bottom" for layer in layers(chart) if layer["mark"].get("style") == LABEL)
    assert chart.to_dict()["width"] == "container"
