"""An invented answer of `backtest`: two seasons of three parts at two bases, one range missed."""

from datetime import date
from typing import Any

import polars as pl

ROWS = pl.DataFrame(
    {
        "season": ["2023"] * 3 + ["2024"] * 3,
        "component": ["thermostat", "drive belt", "start battery"] * 2,
        "base": ["Saltern Basin", "Eelgrass Quay", "Saltern Basin"] * 2,
        "expected": [3.2, 1.1, 0.4, 2.9, 1.4, 0.5],
        "low": [1, 0, 0, 1, 0, 0],
        "high": [6, 3, 1, 5, 3, 2],
        "actual": [2, 1, 0, 9, 1, 0],
    }
)


def extra() -> dict[str, Any]:
    """What stands beside the rows."""
    return {
        "coverage": {
            "level": 0.9,
            "rows": 6,
            "covered": 5 / 6,
            "upper": 5 / 6,
            "many_rows": 0,
            "many_covered": None,
            "randomised": 0.81,
            "bias": -0.2,
        },
        "calibration": [{"low": place / 10, "high": place / 10 + 0.1, "share": 0.1} for place in range(10)],
        "log_score": {"forecast": -1.31, "naive": -1.52, "rows": 6},
        "totals": pl.DataFrame(
            {
                "season": ["2023", "2024"],
                "until": [date(2023, 12, 31), date(2024, 9, 30)],
                "expected": [4.7, 4.8],
                "low": [2, 2],
                "high": [9, 9],
                "actual": [3, 10],
            }
        ),
        "by_component": pl.DataFrame({"component": ["thermostat"], "rows": [2], "expected": [6.1], "actual": [11], "covered": [0.5]}),
        "by_base": pl.DataFrame({"base": ["Saltern Basin"], "rows": [4], "expected": [7.0], "actual": [11], "covered": [0.75]}),
        "advice_cost": pl.DataFrame(
            {
                "season": ["2023", "2024"],
                "parts": [3, 3],
                "advised_cost": [900.0, 1000.0],
                "done_cost": [1000.0, 1300.0],
                "saving": [100.0, 300.0],
            }
        ),
        "advice_cost_note": "By what is believed today.",
        "currency": "EUR",
        "adopted": pl.DataFrame([ADOPTED, ADOPTED | {"component": "drive belt", "ratio": None, "low": None, "high": None}]),
        "adopted_note": "After a bad spell things get better by themselves (regression to the mean).",
    }


ADOPTED: dict[str, Any] = {
    "component": "thermostat",
    "engine_model": None,
    "base": "Saltern Basin",
    "adopted_on": date(2024, 1, 15),
    "every_h": 300.0,
    "every_months": None,
    "before": 11,
    "before_years": 20.0,
    "after": 2,
    "after_years": 15.0,
    "ratio": 0.24,
    "low": 0.03,
    "high": 0.95,
}
