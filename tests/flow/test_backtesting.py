"""Seasons foretold and marked on a small fleet, by the command as a person would run it, and its alarms."""

from pathlib import Path

import pytest

from pipelines.command.main import main
from tests.support.small_fleet import ask, make_records, refuse

KEYS = ["season", "component", "base", "expected", "low", "high", "actual"]


@pytest.fixture(scope="module")
def ledger(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("backtest")
    assert main(["intake", str(make_records(folder / "records")), "--ledger", str(folder / "fleet.duckdb")]) == 0
    return folder / "fleet.duckdb"


@pytest.mark.slow
def test_the_keys_are_those_of_the_contract_and_every_season_comes_after_its_evidence(ledger: Path, capsys: pytest.CaptureFixture[str]):
    told = ask(capsys, "backtest", "--ledger", ledger)
    assert [list(row) for row in told["rows"]] == [KEYS] * len(told["rows"])
    assert {"as_of", "ledger_version", "records", "left_out", "coverage", "calibration", "log_score", "condition_renewals"} <= told.keys()
    assert all(row["low"] <= row["high"] and row["actual"] >= 0 for row in told["rows"])
    assert told["coverage"]["rows"] == len(told["rows"])
    assert sum(each["share"] for each in told["calibration"]) == pytest.approx(1)
    assert [list(row) for row in told["condition_renewals"]["rows"]] == [KEYS] * len(told["condition_renewals"]["rows"])
    seasons = {row["season"] for row in told["rows"]}
    assert {row["season"] for row in told["totals"]} == seasons
    assert {row["season"] for row in told["advice_cost"]} == seasons


@pytest.mark.slow
def test_a_row_known_only_later_changes_no_forecast(ledger: Path, capsys: pytest.CaptureFixture[str]):
    last = ask(capsys, "backtest", "--ledger", ledger, "--component", "thermostat")["rows"][-1]["season"]
    whole = ask(capsys, "backtest", "--ledger", ledger, "--component", "thermostat", "--since", f"{last}-01-01")["rows"]
    cut = ask(capsys, "backtest", "--ledger", ledger, "--component", "thermostat", "--since", f"{last}-01-01", "--as-of", f"{last}-12-31")
    assert [row["expected"] for row in cut["rows"]] == pytest.approx([row["expected"] for row in whole])


def test_without_a_season_before_it_is_refused_with_the_way_out(ledger: Path, capsys: pytest.CaptureFixture[str]):
    told = refuse(capsys, 1, "backtest", "--ledger", ledger, "--since", "2040-01-01")
    assert "No season can be marked yet" in told
    assert "take older tickets in" in told


def test_alarms_have_their_columns_and_a_stated_chance(ledger: Path, capsys: pytest.CaptureFixture[str]):
    told = ask(capsys, "backtest", "--alarms", "--ledger", ledger)
    assert told["false_alarm"] == 0.05
    names = ["alarm", "what", "where", "since", "seen", "expected", "chance", "sentence", "look_at", "vessel_id", "evidence"]
    assert all(list(row) == names for row in told["rows"])


def test_an_alarm_answer_without_alarms_says_so(ledger: Path, capsys: pytest.CaptureFixture[str]):
    assert main(["backtest", "--alarms", "--component", "anodes", "--ledger", str(ledger)]) == 0
    assert "Nothing wants a look" in capsys.readouterr().out
