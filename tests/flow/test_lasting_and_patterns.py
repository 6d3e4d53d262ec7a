"""What stands behind rates and fits: in the order of the rows, the same figures as the methods give, a reason where there is none."""

from datetime import date, timedelta

import polars as pl
import pytest

from pipelines.errors import UnknownWord
from pipelines.fits.rates import rate_ratio
from pipelines.flow.patterns import patterns_of_calls, patterns_of_failures
from pipelines.flow.rating import compared

RATES = pl.DataFrame({"group": ["a", "b", "c"], "events": [30, 10, 2], "exposure_h": [10_000.0, 10_000.0, None], "rate": [3.0, 1.0, None]})


def test_two_rows_are_compared_with_exact_limits():
    found, wanted = compared(RATES, "a", "b", 0.95), rate_ratio(30, 10_000.0, 10, 10_000.0)
    assert (found["ratio"], found["low"], found["high"]) == (wanted.value, wanted.low, wanted.high)
    assert found["note"] is None


def test_a_row_without_hours_has_no_ratio_and_says_why():
    found = compared(RATES, "a", "c", 0.95)
    assert found["ratio"] is None
    assert "engine hours" in found["note"]


def test_a_row_that_is_not_there_is_named_with_those_that_are():
    with pytest.raises(UnknownWord, match="Its rows: a, b, c"):
        compared(RATES, "a", "z", 0.95)


def fleet(boats: int = 6, months: int = 30) -> tuple[pl.DataFrame, pl.DataFrame, pl.DataFrame]:
    """Calls, watched months, rates by boat. From month 15 'seized' is written where it was 'other'; boat 0 calls ten times as much."""
    firsts = [date(2022 + place // 12, place % 12 + 1, 1) for place in range(months)]
    watched = [
        {"vessel_id": f"V{boat}", "engine_id": f"E{boat}", "month": first, "days": 28, "engine_h": 50.0}
        for boat in range(boats)
        for first in firsts
    ]
    calls = [
        {
            "vessel_id": f"V{boat}",
            "month": first,
            "called_on": first + timedelta(days=5 + number),
            "cause": "other" if place < 15 else "seized",
            "cost": 100.0 if boat else None,
        }
        for boat in range(boats)
        for place, first in enumerate(firsts)
        for number in range(10 if boat == 0 else 1)
    ]
    by_vessel = pl.DataFrame(
        {
            "group": [f"V{boat}" for boat in range(boats)],
            "events": [300 if boat == 0 else 30 for boat in range(boats)],
            "exposure_h": [1500.0] * boats,
            "rate": [200.0 if boat == 0 else 20.0 for boat in range(boats)],
        }
    )
    return pl.DataFrame(calls, infer_schema_length=None), pl.DataFrame(watched), by_vessel


def test_a_change_of_coding_is_found_and_the_trends_of_its_causes_are_cut_there():
    found = patterns_of_calls(*fleet(), 0.95)
    (step,) = found["trend"]["breaks"]
    assert (step["month"], step["fewer"], step["more"]) == (date(2023, 4, 1), ["other"], ["seized"])
    assert found["trend"]["per_year"] == pytest.approx(1.0, abs=0.02)
    assert all("2023-04" in cause["note"] for cause in found["trend"]["causes"])


def test_the_boat_that_calls_ten_times_as_often_stands_out():
    rows = patterns_of_calls(*fleet(), 0.95)["boats"]["rows"]
    assert rows.filter(pl.col("standing") == "stands out high")["name"].to_list() == ["V0"]


def test_calls_and_costs_add_up_to_the_mean_of_a_boat():
    found = patterns_of_calls(*fleet(), 0.95)
    assert found["recurrence"]["rows"]["mean"][-1] == pytest.approx((300 + 5 * 30) / 6)
    assert found["cost_recurrence"]["rows"]["mean"][-1] == pytest.approx(5 * 30 * 100 / 6)
    assert "300 of 450 calls have no cost" in found["cost_recurrence"]["note"]


def test_without_hours_each_pattern_says_why_there_is_none():
    calls, watched, by_vessel = fleet(2, 6)
    bare = patterns_of_calls(
        calls.with_columns(cost=pl.lit(None, pl.Float64)),
        watched.with_columns(engine_h=pl.lit(None, pl.Float64)),
        by_vessel.with_columns(exposure_h=pl.lit(None, pl.Float64), rate=pl.lit(None, pl.Float64)),
        0.95,
    )
    assert all(bare[name]["note"] for name in ("trend", "seasons", "boats", "cost_recurrence"))
    assert bare["recurrence"]["rows"].height, "calls add up by the day, without hours"


def test_failures_by_month_have_trend_seasons_and_boats():
    months = [f"{2022 + place // 12}-{place % 12 + 1:02d}" for place in range(30)]
    by_month = pl.DataFrame({"group": [*months, "unknown"], "events": [3] * 31, "exposure_h": [900.0] * 30 + [None]})
    found = patterns_of_failures(by_month, fleet()[2], 0.95)
    assert found["trend"]["per_year"] == pytest.approx(1.0, abs=0.01)
    assert found["seasons"]["p_value"] > 0.9
    assert found["trend"]["breaks"] == found["trend"]["causes"] == []
