"""Alarms on ledgers in which a known thing went wrong, by the command as a person would run it."""

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import polars as pl
import pytest

from pipelines.command.main import main
from tests.support.small_fleet import ask

BOATS = [f"V{number}" for number in range(1, 9)]
YEARS = range(2020, 2026)
ROPE, WEED = "rope or weed round propeller", "weed in intake"
LAST = date(2025, 9, 30)
Books = dict[str, list[dict[str, Any]]]


def quiet_fleet() -> Books:
    """Eight boats that run 30 h a month, renew their belt each April, and call ten times a year, nothing out of the ordinary."""
    return {
        "vessels": [{"vessel_id": boat, "base": "Saltern Basin", "in_service_on": "2019-04-01"} for boat in BOATS],
        "engines": [{"engine_id": f"E{boat[1:]}", "vessel_id": boat, "commissioned_on": "2019-04-01"} for boat in BOATS],
        "hour_readings": [
            {"engine_id": f"E{boat[1:]}", "read_on": day, "meter_h": 30 * (months + 1)}
            for boat in BOATS
            for months, day in enumerate(first_days())
        ],
        "service_tickets": [belt(boat, date(year, 4, 5), "planned", "B8") for boat in BOATS for year in YEARS],
        "rescue_calls": [call(day, ROPE) for year in YEARS for day in season_days(year, 10)],
    }


def first_days() -> Iterator[date]:
    for year in YEARS:
        yield from (date(year, month, 1) for month in range(1, 13) if date(year, month, 1) <= LAST)


def season_days(year: int, calls: int) -> list[date]:
    days = [date(year, 5, 1) + timedelta(days=14 * place) for place in range(calls)]
    return [day for day in days if day <= LAST]


def belt(boat: str, day: date, reason: str, batch: str) -> dict[str, Any]:
    told = {"component": "drive belt", "action": "renew", "reason": reason, "batch": batch, "done_by": "north bench"}
    return {"engine_id": f"E{boat[1:]}", "done_on": day, **told}


def call(day: date, cause: str) -> dict[str, Any]:
    return {"vessel_id": BOATS[day.toordinal() % len(BOATS)], "called_at": day, "symptom": "stops under way", "cause": cause}


def alarms_of(books: Books, folder: Path, capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    (folder / "records").mkdir()
    for kind, rows in books.items():
        pl.DataFrame(rows, infer_schema_length=None).write_csv(folder / "records" / f"{kind}.csv")
    assert main(["intake", str(folder / "records"), "--ledger", str(folder / "fleet.duckdb")]) == 0
    capsys.readouterr()
    return ask(capsys, "backtest", "--alarms", "--ledger", folder / "fleet.duckdb")


def test_a_quiet_fleet_has_no_alarm(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    told = alarms_of(quiet_fleet(), tmp_path, capsys)
    assert told["rows"] == []
    assert told["watched"] > 0


def test_a_cause_that_comes_three_times_as_often_is_told_with_its_calls(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    books = quiet_fleet()
    more = [call(day + timedelta(days=gap), ROPE) for day in season_days(2025, 10) for gap in (3, 6)]
    books["rescue_calls"] += more
    (row,) = alarms_of(books, tmp_path, capsys)["rows"]
    assert (row["alarm"], row["what"], row["seen"]) == ("cause above forecast", ROPE, 30)
    assert len(row["evidence"]) == 30
    assert 8 < row["expected"] < 13
    assert date.fromisoformat(row["since"]).year == 2025
    assert row["chance"] < 0.001


def test_a_change_of_coding_is_no_alarm(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    books = quiet_fleet()
    days = [day for year in YEARS for first in season_days(year, 10) for day in (first, first + timedelta(days=5))]
    books["rescue_calls"] = [call(day, WEED if day.year == 2025 else ROPE) for day in days]
    assert alarms_of(books, tmp_path, capsys)["rows"] == []


def test_a_batch_that_fails_soon_is_told_with_the_tickets_of_its_failures(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    books = quiet_fleet()
    bad, sound = BOATS[:4], BOATS[4:]
    kept = [row for row in books["service_tickets"] if row["done_on"].year < 2025]
    fitted = [belt(boat, date(2025, 4, 5), "planned", "B9" if boat in bad else "B8") for boat in BOATS]
    books["service_tickets"] = kept + fitted + [belt(boat, date(2025, 5, 20), "failed", "B8") for boat in bad]
    rows = alarms_of(books, tmp_path, capsys)["rows"]
    (row,) = [row for row in rows if row["what"] == "batch B9 of drive belt"]
    assert (row["alarm"], row["seen"], len(row["evidence"])) == ("early failures", 4, 4)
    assert row["expected"] < 1 < len(sound)
    assert "ask the supplier" in row["look_at"]


def test_a_fitter_whose_work_fails_soon_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    books = quiet_fleet()
    for row in books["service_tickets"]:
        row["batch"] = None
    jobs = [row for row in books["service_tickets"] if row["done_on"].year in (2023, 2024) and row["engine_id"] in ("E1", "E2", "E3")]
    for row in jobs:
        row["done_by"] = "south bench"
    books["service_tickets"] += [
        belt(f"V{row['engine_id'][1:]}", row["done_on"] + timedelta(days=40), "failed", "B8") | {"batch": None} for row in jobs
    ]
    rows = alarms_of(books, tmp_path, capsys)["rows"]
    (row,) = [row for row in rows if row["alarm"] == "early failures"]
    assert row["what"] == "parts fitted by south bench"
    assert row["seen"] == len(row["evidence"]) == len(jobs)


def test_a_meter_that_stands_still_while_the_boat_calls_is_told_with_its_readings(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    books = quiet_fleet()
    for row in books["hour_readings"]:
        if row["engine_id"] == "E4" and row["read_on"] > date(2025, 6, 1):
            row["meter_h"] = 30 * 66
    books["rescue_calls"].append({"vessel_id": "V4", "called_at": date(2025, 8, 2), "symptom": "stops under way", "cause": ROPE})
    (row,) = alarms_of(books, tmp_path, capsys)["rows"]
    assert (row["alarm"], row["what"], row["vessel_id"]) == ("hours stand still", "engine E4", "V4")
    assert row["since"] == "2025-06-01"
    assert len(row["evidence"]) == 4
    assert "1 Jun 2025" in row["sentence"]
