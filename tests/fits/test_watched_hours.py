from datetime import date

import polars as pl
import pytest

from pipelines.fits.watched_hours import (
    boat_months,
    failures_of_lives,
    fell_within,
    position_hours,
    position_hours_by_month,
    with_known_hours,
)

MAY, JUNE = date(2024, 5, 1), date(2024, 6, 1)


def months(*rows: tuple[str, str, date, float, float | None]) -> pl.DataFrame:
    return pl.DataFrame(rows, schema={"engine_id": str, "vessel_id": str, "month": pl.Date, "days": float, "engine_h": float}, orient="row")


def lives(*rows: dict) -> pl.DataFrame:
    schema = {"life_id": str, "vessel_id": str, "component": str, "ended_on": pl.Date, "cause": str, "ending": str}
    schema |= {f"{part}_{clock}": float for part in ("entry", "low", "high") for clock in ("h", "months")}
    filled = [{"life_id": f"L{at}", "vessel_id": "V1", "entry_h": 0.0, "entry_months": 0.0, **row} for at, row in enumerate(rows)]
    return pl.DataFrame(filled, schema=schema)


def test_two_engines_are_summed_and_their_days_counted_once():
    watched = months(("E1", "V1", MAY, 31, 40.0), ("E2", "V1", MAY, 31, 42.0), ("E3", "V2", MAY, 12, 5.0))
    assert boat_months(watched).rows() == [("V1", MAY, 31, 82), ("V2", MAY, 12, 5)]


def test_hours_of_one_engine_are_not_those_of_the_boat():
    watched = months(("E1", "V1", MAY, 31, 40.0), ("E2", "V1", MAY, 31, None), ("E1", "V1", JUNE, 30, 30.0), ("E2", "V1", JUNE, 30, 31.0))
    assert boat_months(watched)["engine_h"].to_list() == [None, 61]
    assert with_known_hours(watched)["month"].unique().to_list() == [JUNE]


def test_months_without_a_watched_day_are_no_watch():
    assert boat_months(months(("E1", "V1", MAY, 0, None))).is_empty()


def test_an_event_falls_within_its_boats_own_months_only():
    watched = months(("E1", "V1", MAY, 31, 40.0))
    events = pl.DataFrame({"vessel_id": ["V1", "V1", "V2", None], "month": [MAY, JUNE, MAY, MAY]})
    assert fell_within(events, watched).to_list() == [True, False, False, False]


def test_a_renewal_on_condition_is_no_failure():
    endings = ["failed", "found failed", "condition", "planned", "opportunistic", "outside damage", "withdrawn", "running"]
    ended = lives(*({"ending": ending, "ended_on": date(2024, 6, 9), "component": "drive belt"} for ending in endings))
    assert failures_of_lives(ended)["ending"].to_list() == ["failed", "found failed"]


def test_a_failure_has_the_system_of_its_cause_else_of_its_component():
    failed = lives(
        {"ending": "failed", "ended_on": date(2024, 6, 9), "component": "drive belt", "cause": "belt broken"},
        {"ending": "failed", "ended_on": date(2024, 6, 9), "component": "raw-water pump impeller"},
        {"ending": "failed", "ended_on": date(2024, 6, 9), "component": "davit hook"},
        {"ending": "failed", "ended_on": date(2024, 6, 9), "component": "raw-water pump impeller", "cause": "uncoded"},
    )
    told = failures_of_lives(failed)
    assert told["system"].to_list() == ["engine", "cooling", "unknown", "cooling"]
    assert told["cause"].to_list() == ["belt broken", "unknown", "unknown", "uncoded"]
    assert told["remedy"].to_list() == ["scheduled renewal", "unknown", "unknown", "unknown"]
    assert told["month"].unique().to_list() == [JUNE]
    assert failures_of_lives(failed, {"davit hook": "hull"})["system"].to_list()[2] == "hull"


def test_a_position_is_watched_until_it_failed_was_found_failed_or_was_renewed():
    table = lives(
        {"ending": "failed", "low_h": 90.0, "high_h": 90.0},
        {"ending": "found failed", "low_h": 50.0, "high_h": 120.0},
        {"ending": "condition", "low_h": 85.0, "high_h": 100.0},
        {"ending": "running", "entry_h": 30.0, "low_h": 70.0},
        {"ending": "running", "low_h": None},
    )
    assert position_hours(table)["engine_h"].to_list() == [90, 120, 85, 40]


def test_a_positions_hours_fall_in_the_months_in_which_its_boat_ran():
    table = lives({"ending": "running", "low_h": 60.0, "low_months": 2.0, "ended_on": date(2024, 6, 30)})
    run = months(("E1", "V1", MAY, 31, 10.0), ("E1", "V1", JUNE, 30, 20.0))
    spread = position_hours_by_month(table, run).sort("month")
    assert spread["month"].to_list() == [date(2024, 4, 1), MAY, JUNE]
    assert spread["engine_h"].to_list() == pytest.approx([0, 20, 40])


def test_without_the_boats_months_a_positions_hours_are_spread_evenly_and_none_is_lost():
    table = lives(
        {"ending": "running", "low_h": 60.0, "low_months": 2.9, "ended_on": date(2024, 6, 30)},
        {"ending": "failed", "low_h": 7.0, "high_h": 7.0, "ended_on": date(2024, 6, 30)},
    )
    spread = position_hours_by_month(table, None)
    assert spread["engine_h"].sum() == pytest.approx(67)
    assert spread.group_by("month").agg(pl.col("engine_h").sum()).sort("month")["engine_h"].to_list() == pytest.approx([20, 20, 27])
