"""The pictures of what was foretold: every part is drawn, misses by a shape of their own, bars that stand on the ground."""

import polars as pl

from dashboard.charts.foretold import calibration_chart, every_part_chart, seasons_chart
from dashboard.charts.theme import ALARM, MEASURED, SPAN
from dashboard.sentences import forecasts
from tests.dashboard import invented_forecasts
from tests.dashboard.charts.reading import every_row, layers, marks, titles


def test_every_part_is_drawn_good_and_bad_and_a_miss_has_its_own_shape():
    chart = every_part_chart(forecasts.part_lines(invented_forecasts.ROWS, "2024"))
    lines = {row["line"] for row in every_row(chart) if "line" in row}
    assert lines == {"thermostat · Saltern Basin", "drive belt · Eelgrass Quay", "start battery · Saltern Basin"}
    assert marks(chart, ALARM)[0]["shape"] == "cross"
    assert "shape" not in marks(chart, MEASURED)[0]
    assert titles(chart, "x") == {"failures foretold"}


def test_seasons_stand_one_below_the_other_with_their_ranges_the_latest_first():
    told = forecasts.season_lines(invented_forecasts.extra()["totals"])
    assert told["line"].to_list() == ["2024", "2023"]
    assert told["told"][0] == "10 came, 4.8 foretold"
    assert marks(seasons_chart(told), SPAN)


def test_calibration_bars_stand_on_nought_beside_a_line_at_a_tenth():
    chart = calibration_chart(pl.DataFrame(invented_forecasts.extra()["calibration"]))
    assert layers(chart)[0]["encoding"]["y2"]["field"] == "ground"
    assert [row["even"] for row in every_row(chart) if "even" in row] == [0.1]
