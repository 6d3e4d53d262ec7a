"""Pictures of What to stock: whole pieces, what is covered told apart by more than colour, rules beside the budget curve, kits."""

import polars as pl
import pytest

from dashboard.charts.kits import kit_curve_chart, kit_tows_chart
from dashboard.charts.part_use import part_use_chart, running_out_chart
from dashboard.charts.shelf import budget_chart
from dashboard.charts.theme import ADVISED, ALARM, CEILING, HELD, UNKNOWN_SPAN
from dashboard.sentences.kit import tow_lines
from dashboard.sentences.stock import marks_frame, months_frame, use_frame
from tests.dashboard import invented, invented_stock
from tests.dashboard.charts.reading import every_row, layers, marks, styles, titles

ROW = invented.stock().row(0, named=True)


def test_each_number_of_pieces_is_a_bar_of_its_own_and_short_ones_are_drawn_in_outline():
    use = use_frame(ROW["season_use"], 4)
    assert use["chance"].sum() == pytest.approx(1)
    assert use.select("pieces", "covered").rows() == [(2, True), (3, True), (4, True), (5, False), (6, False)]
    chart = part_use_chart(use, marks_frame(ROW, "here", "order up to"), "pieces used")
    assert {HELD, ALARM} <= styles(chart)
    assert marks(chart, ALARM)[0]["filled"] is False
    assert titles(chart, "x") == {"pieces used"}
    named = {row["words"] for row in every_row(chart) if "words" in row}
    assert named == {"here and coming: 4", "order up to 11"}
    ticks = layers(chart)[0]["encoding"]["x"]["axis"]["values"]
    assert all(tick == int(tick) for tick in ticks)


def test_a_use_that_cannot_be_told_has_no_bars():
    assert use_frame(None, 3).is_empty()
    assert months_frame(None).is_empty()


def test_running_out_is_drawn_against_the_chance_that_is_put_up_with():
    chart = running_out_chart(months_frame(ROW["running_out"]), 0.95)
    assert [row["level"] for row in every_row(chart) if "level" in row] == [pytest.approx(0.05)]
    assert titles(chart, "y") == {"chance of having run out"}
    days = layers(chart)[1]["encoding"]["x"]["axis"]["values"]
    assert [(day["year"], day["date"]) for day in days] == [(2025, 31), (2025, 30)]


def test_plain_rules_are_crosses_beside_the_curve_and_the_budget_is_upright():
    chart = budget_chart(invented.budget_curve(), "EUR", 40.0, invented.plain_lists())
    assert {ADVISED, CEILING} <= styles(chart)
    assert marks(chart, CEILING)[0]["shape"] == "cross"
    assert "two of everything" in {row.get("list") for row in every_row(chart)}
    assert CEILING not in styles(budget_chart(invented.budget_curve(), "EUR"))


def test_a_kit_is_marked_on_its_curve_and_unknown_tows_are_drawn_in_outline():
    kit = invented_stock.kits().extra["kits"][0]
    curve = kit_curve_chart(kit["curve"], kit["spend"], "EUR")
    assert marks(curve, ADVISED)[0]["shape"] == "diamond"
    assert titles(curve, "x") == {"for the kit of one boat (EUR)"}
    chart = kit_tows_chart(tow_lines(kit["gaps"]))
    assert marks(chart, UNKNOWN_SPAN)[0]["filled"] is False
    assert sum(row["share"] for row in every_row(chart) if "share" in row) == pytest.approx(1)


def test_the_rest_of_many_faults_stands_together_and_unknown_by_itself():
    faults = [(f"fault {n}", "cause", 1 / 20) for n in range(19)] + [("unknown", "unknown", 1 / 20)]
    gaps = pl.DataFrame(faults, schema=["fault", "sort", "share"], orient="row").with_columns(
        pl.lit(value=False).alias("covered"), pl.lit("crew briefing").alias("remedy"), pl.lit("told").alias("covered_by")
    )
    lines = tow_lines(gaps)
    assert lines["share"].sum() == pytest.approx(1)
    assert lines["line"].to_list()[-2:] == ["unknown", "7 other faults"]
