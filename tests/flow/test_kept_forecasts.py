"""The season that comes: foretold from what is known, kept as it was, and marked when its days are over."""

import shutil
from datetime import date
from pathlib import Path

import numpy as np
import polars as pl
import pytest

from pipelines.advice.counts import poisson
from pipelines.advice.marks import read_back, written_out
from pipelines.command.main import main
from pipelines.flow.copies import current_copy
from pipelines.flow.kept_forecasts import keep, kept, season_ahead
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings
from tests.support.small_fleet import ask, make_records, refuse

KEYS = ["season", "known_on", "begins", "ends", "sort", "component", "base", "expected", "low", "high"]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("kept")
    assert main(["intake", str(make_records(folder / "records")), "--ledger", str(folder / "fleet.duckdb")]) == 0
    return folder / "fleet.duckdb"


@pytest.fixture
def ledger(made: Path, tmp_path: Path) -> Path:
    """A ledger to change; its published copy comes with it."""
    for file in made.parent.glob("fleet.*"):
        shutil.copy(file, tmp_path / file.name, follow_symlinks=False)
    return tmp_path / made.name


@pytest.mark.parametrize(
    ("as_of", "starts", "begins", "ends"),
    [
        (date(2025, 12, 31), 1, date(2026, 1, 1), date(2026, 12, 31)),
        (date(2025, 11, 20), 1, date(2026, 1, 1), date(2026, 12, 31)),
        (date(2026, 3, 1), 1, date(2026, 1, 1), date(2026, 12, 31)),
        (date(2026, 5, 1), 7, date(2026, 7, 1), date(2027, 6, 30)),
    ],
)
def test_the_season_ahead_is_the_one_that_runs_unless_little_of_it_is_left(as_of: date, starts: int, begins: date, ends: date):
    season = season_ahead(as_of, starts)
    assert (season.begins, season.ends) == (begins, ends)


def test_a_distribution_written_out_is_read_back_as_it_was():
    told = poisson(3.7)
    back = read_back(written_out(told))
    assert back.mean == pytest.approx(told.mean, abs=1e-6)
    assert [back.quantile(level) for level in (0.05, 0.5, 0.95)] == [told.quantile(level) for level in (0.05, 0.5, 0.95)]
    assert np.allclose(back.probability, told.probability[: back.probability.size], atol=1e-8)


def test_the_season_that_comes_begins_the_day_after_the_last_record(made: Path, capsys: pytest.CaptureFixture[str]):
    told = ask(capsys, "backtest", "--next", "--ledger", made)
    assert [list(row) for row in told["rows"]] == [KEYS] * len(told["rows"])
    assert {row["known_on"] for row in told["rows"]} == {told["as_of"]}
    assert all(row["begins"] > told["as_of"] and row["low"] <= row["expected"] + 1 and row["low"] <= row["high"] for row in told["rows"])


def test_all_failures_of_the_fleet_are_the_sum_of_its_parts(made: Path, capsys: pytest.CaptureFixture[str]):
    rows = [row for row in ask(capsys, "backtest", "--next", "--ledger", made)["rows"] if row["sort"] == "failures"]
    whole = [row for row in rows if row["component"] is None]
    assert len(whole) == 1
    assert whole[0]["expected"] == pytest.approx(sum(row["expected"] for row in rows if row["component"]), rel=1e-3)


def test_a_kept_forecast_says_who_when_and_on_what_and_runs_until_its_days_are_over(ledger: Path, capsys: pytest.CaptureFixture[str]):
    told = ask(capsys, "backtest", "--keep", "--kept-by", "The manager", "--ledger", ledger)
    assert {(row["kept_by"], row["state"], row["actual"]) for row in told["rows"]} == {("The manager", "runs", None)}
    coming = ask(capsys, "backtest", "--next", "--ledger", ledger)["rows"]
    assert [row["expected"] for row in told["rows"]] == pytest.approx([row["expected"] for row in coming])
    assert told["coverage"]["rows"] == 0


@pytest.mark.slow
def test_a_forecast_whose_days_are_over_is_marked_as_the_same_season_foretold_in_hindsight(
    ledger: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
):
    told = ask(capsys, "backtest", "--ledger", ledger)
    season = max(row["season"] for row in told["rows"] if f"{row['season']}-12-31" <= told["as_of"])
    marked = [row for row in told["rows"] if row["season"] == season]
    monkeypatch.setattr("pipelines.flow.kept_forecasts.known_day", lambda _: date(int(season) - 1, 12, 31))
    keep(ledger, "The manager", Settings())
    monkeypatch.undo()
    with current_copy(ledger, Settings()) as copy:
        answer = kept(copy, Scope(), Settings())
    rows = answer.rows.filter(pl.col("sort") == "failures", pl.col("component").is_not_null())
    assert rows["state"].unique().to_list() == ["over"]
    assert rows["expected"].to_list() == pytest.approx([row["expected"] for row in marked])
    assert rows["actual"].to_list() == [row["actual"] for row in marked]
    assert answer.extra["coverage"]["rows"] == len(marked)


def test_a_forecast_that_is_taken_back_stays_in_the_list_and_marks_nothing(ledger: Path, capsys: pytest.CaptureFixture[str]):
    kept_as = ask(capsys, "backtest", "--keep", "--kept-by", "The manager", "--ledger", ledger)["rows"][0]["forecast"]
    assert main(["intake", "--undo", str(kept_as), "--ledger", str(ledger)]) == 0
    capsys.readouterr()
    told = ask(capsys, "backtest", "--kept", "--ledger", ledger)
    assert {row["state"] for row in told["rows"]} == {"taken back"}
    assert told["coverage"]["rows"] == 0


def test_a_forecast_is_kept_by_somebody(ledger: Path, capsys: pytest.CaptureFixture[str]):
    assert "--kept-by NAME" in refuse(capsys, 2, "backtest", "--keep", "--ledger", ledger)


def test_without_a_kept_forecast_the_way_to_one_is_told(made: Path, capsys: pytest.CaptureFixture[str]):
    assert "towless backtest --keep" in refuse(capsys, 1, "backtest", "--kept", "--ledger", made)
