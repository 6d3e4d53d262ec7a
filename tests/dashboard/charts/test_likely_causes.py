"""The picture of likely causes."""

from typing import Any

import polars as pl

from dashboard.charts.likely_causes import likely_chart

ROWS = pl.DataFrame(
    {
        "cause": ["weed in intake", "thermostat stuck", "unknown"],
        "probability": [0.42, 0.08, 0.5],
        "low": [0.3, 0.02, 0.4],
        "high": [0.55, 0.17, 0.6],
    }
)


def drawn() -> dict[str, Any]:
    return likely_chart(ROWS).to_dict()


def test_every_cause_has_its_chance_in_words():
    words = {row["cause"]: row["words"] for rows in drawn()["datasets"].values() for row in rows}
    assert words == {"weed in intake": "42 %", "thermostat stuck": "8 %", "unknown": "50 %"}


def test_limits_are_always_drawn_and_the_unknown_rest_is_hollow():
    layers = drawn()["layer"]
    assert sum(layer["mark"]["type"] == "rule" for layer in layers) == 2
    assert sorted(layer["mark"]["filled"] for layer in layers if layer["mark"]["type"] == "point") == [False, True]


def test_no_row_is_a_picture_too():
    assert likely_chart(ROWS.clear()).to_dict()["layer"]
