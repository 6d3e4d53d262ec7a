"""The pictures of one boat: readings used and set aside, the line of time, ages against intervals."""

from datetime import date
from typing import Any

import polars as pl

from dashboard.charts.boat_hours import boat_hours_chart
from dashboard.charts.boat_line import LANES, boat_line_chart
from dashboard.charts.days import across_days
from dashboard.charts.part_ages import part_ages_chart
from tests.dashboard.charts.reading import every_row, layers

READINGS = pl.DataFrame(
    {
        "on_date": [date(2024, 4, 1), date(2024, 6, 1), date(2024, 7, 1), date(2024, 8, 1)],
        "hours": [100.0, 150.0, 1730.0, 160.0],
        "used": [True, True, False, False],
        "said": ["reading", "ticket", "contradicted by the readings before and after", "not confirmed by a later reading"],
        "file": ["hours.csv"] * 4,
        "line": [2, 3, 4, 5],
    }
)


def test_a_reading_beyond_the_picture_stands_at_its_edge_and_keeps_what_was_written():
    rows = every_row(boat_hours_chart(READINGS))
    beyond = [row for row in rows if row.get("beyond")]
    assert [row["hours"] for row in beyond] == [1730.0]
    assert all(row["drawn_h"] <= 1.1 * 150 + 1e-9 for row in rows)


def test_every_reading_is_drawn_used_or_not():
    assert len(every_row(boat_hours_chart(READINGS))) == READINGS.height


def test_where_no_reading_is_believed_the_picture_still_holds_those_set_aside():
    rows = every_row(boat_hours_chart(READINGS.filter(~pl.col("used"))))
    assert [row["beyond"] for row in rows] == [False, False]


EVENTS = pl.DataFrame(
    {
        "on_date": [date(2024, 5, 1)] * 8 + [date(2024, 6, 1)],
        "lane": ["renewed"] * 8 + ["called"],
        "words": [f"part {number}: renew" for number in range(8)] + ["overheats"],
    }
)


def test_what_shares_a_day_and_a_lane_is_one_mark_with_its_number_and_its_words():
    marks = [row for row in every_row(boat_line_chart(EVENTS)) if "things" in row]
    assert sorted(row["things"] for row in marks) == [1, 8]
    crowded = next(row for row in marks if row["things"] == 8)
    assert crowded["words"].startswith("part 0: renew; part 1: renew")
    assert crowded["words"].endswith("and 2 more")


def test_every_lane_is_named_with_its_count_even_when_it_is_empty():
    named = [row for row in every_row(boat_line_chart(EVENTS)) if "counts" in row]
    assert {row["line"]: row["counts"] for row in named} == dict(zip(LANES.values(), ["1", "0", "8", "0"], strict=True))


def test_each_lane_has_a_shape_of_its_own_or_is_hollow():
    marks = [layer["mark"] for layer in layers(boat_line_chart(EVENTS)) if layer["mark"]["type"] == "point"]
    assert len({(mark["shape"], mark["filled"]) for mark in marks}) == len(LANES)


PARTS = pl.DataFrame({"line": ["impeller", "thermostat"], "age": ["500 of 200 h", "1 of 48 months"], "used": [2.5, 0.02]})


def test_a_part_past_its_interval_is_marked_otherwise_and_stands_at_the_edge_when_far_past():
    rows = {row["line"]: row for row in every_row(part_ages_chart(PARTS)) if "drawn" in row}
    assert (rows["impeller"]["drawn"], rows["impeller"]["over"]) == (2.0, True)
    assert rows["thermostat"]["over"] is False


def test_a_scale_of_days_has_room_around_a_single_day():
    axis: Any = across_days(pl.Series("on_date", [date(2024, 5, 10)])).to_dict()
    scale = axis["scale"]["domain"]
    assert (scale[0]["month"], scale[1]["month"]) == (4, 6)
    assert "scale" not in across_days(pl.Series("on_date", [], pl.Date)).to_dict()
