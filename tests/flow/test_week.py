"""The week as the command tells it, against the answers it is told from."""

import json
from datetime import date, timedelta
from pathlib import Path

import pytest

from pipelines.command.main import main
from pipelines.terms.answers import names_of
from pipelines.terms.week import MATTERS
from tests.support.small_fleet import ask, make_records


@pytest.fixture(scope="module")
def ledger(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("week")
    assert main(["intake", str(make_records(folder / "records")), "--ledger", str(folder / "fleet.duckdb")]) == 0
    return folder / "fleet.duckdb"


def days_after(day: str, days: int) -> str:
    return (date.fromisoformat(day) + timedelta(days=days)).isoformat()


def test_the_lines_have_their_columns_and_stand_in_the_order_of_matters(ledger: Path, capsys: pytest.CaptureFixture[str]):
    told = ask(capsys, "week", "--ledger", ledger)
    assert all(list(row) == names_of("week") for row in told["rows"])
    order = [list(MATTERS).index(row["matter"]) for row in told["rows"]]
    assert order == sorted(order)


def test_overdue_and_due_soon_are_the_jobs_of_the_due_list(ledger: Path, capsys: pytest.CaptureFixture[str]):
    told, due = ask(capsys, "week", "--ledger", ledger), ask(capsys, "due", "--within", "14d", "--ledger", ledger)
    late = [row for row in due["rows"] if row["overdue"]]
    assert len(told["overdue"]) == len(late)
    assert sum(row["count"] for row in told["rows"] if row["matter"] == "overdue") == len(late)
    soon = [row for row in due["rows"] if row["overdue"] is False]
    place = ("engine_id", "vessel_id", "component", "position", "task", "due_on")
    assert [[row[name] for name in place] for row in told["due_soon"]] == [[row[name] for name in place] for row in soon]
    assert told["until"] == days_after(told["as_of"], 14)


def test_calls_are_told_from_the_same_day_of_last_week_on(ledger: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path):
    day = ask(capsys, "records", "--ledger", ledger)["as_of"]
    late = [(f"C-{back}", days_after(day, -back)) for back in (0, 7, 8, 15, 16)]
    rows = [f"{call},V01,{called},overheats" for call, called in late]
    (tmp_path / "calls.csv").write_text("\n".join(["call_id,vessel_id,called_at,symptom", *rows]), encoding="utf-8")
    before = ask(capsys, "week", "--ledger", ledger)
    assert main(["intake", str(tmp_path / "calls.csv"), "--as", "rescue_calls", "--ledger", str(ledger)]) == 0
    capsys.readouterr()
    told = ask(capsys, "week", "--ledger", ledger)
    ids = [call["call_id"] for call in told["calls"]]
    assert ids[0] == "C-0"
    assert {"C-0", "C-7"} <= set(ids)
    assert not {"C-8", "C-15", "C-16"} & set(ids)
    assert told["calls_before"] == before["calls_before"] + 2
    line = next(row for row in told["rows"] if row["matter"] == "call")
    assert "overheats, cause not known yet" in line["sentence"]
    assert line["evidence"] == [told["calls"][0]["row_id"]]


def test_what_waits_is_what_the_queues_hold(ledger: Path, capsys: pytest.CaptureFixture[str]):
    told, queue, pairs = (ask(capsys, *words, "--ledger", ledger) for words in (["week"], ["records", "--queue"], ["records", "--pairs"]))
    assert told["waits"]["suggestions"] == len(queue["rows"])
    assert told["waits"]["words"] == len(queue["uncoded"]) + len(queue["near_misses"])
    assert told["waits"]["pairs"] == len(pairs["rows"])
    assert told["waits"]["left out"] == ask(capsys, "records", "--ledger", ledger)["left_out"]


def test_the_alarms_of_the_week_are_the_alarms(ledger: Path, capsys: pytest.CaptureFixture[str]):
    told, alarms = ask(capsys, "week", "--ledger", ledger), ask(capsys, "backtest", "--alarms", "--ledger", ledger)
    assert told["alarms"] == alarms["rows"]
    assert told["false_alarm"] == alarms["false_alarm"]
    assert [row["sentence"] for row in told["rows"] if row["matter"] == "alarm"] == [row["sentence"] for row in alarms["rows"]]


def test_what_runs_out_stands_on_the_shelf_list(ledger: Path, capsys: pytest.CaptureFixture[str]):
    told, shelf = ask(capsys, "week", "--ledger", ledger), ask(capsys, "stock", "--ledger", ledger)
    short = [row for row in shelf["rows"] if (row["probability_of_stock_out"] or 0) >= 0.5]
    assert len(told["runs_out"]) == len(short)
    assert all(row in short for row in told["runs_out"])


def test_a_base_is_told_alone(ledger: Path, capsys: pytest.CaptureFixture[str]):
    base = ask(capsys, "rates", "--by", "base", "--ledger", ledger)["rows"][0]["group"]
    told = ask(capsys, "week", "--base", base, "--ledger", ledger)
    assert all(call["base"] == base for call in told["calls"])
    due = ask(capsys, "due", "--base", base, "--ledger", ledger)
    assert len(told["overdue"]) == sum(bool(row["overdue"]) for row in due["rows"])


def test_the_page_says_of_every_matter_what_it_holds_or_that_it_holds_nothing(ledger: Path, capsys: pytest.CaptureFixture[str]):
    told = ask(capsys, "week", "--ledger", ledger)
    assert main(["week", "--ledger", str(ledger)]) == 0
    page = " ".join(capsys.readouterr().out.split())
    for matter, words in MATTERS.items():
        assert words.heading in page
        lines = [row["sentence"] for row in told["rows"] if row["matter"] == matter]
        assert (words.nothing in page) == (not lines)
        assert not lines or lines[0] in page
    assert "licensed technician come first" in page


def test_a_ledger_without_a_date_is_refused_with_the_way_out(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    (tmp_path / "vessels.csv").write_text("vessel_id,name\nV1,Dunlin\n", encoding="utf-8")
    assert main(["intake", str(tmp_path / "vessels.csv"), "--ledger", str(tmp_path / "f.duckdb")]) == 0
    capsys.readouterr()
    assert main(["week", "--ledger", str(tmp_path / "f.duckdb")]) == 1
    assert "Take in tickets" in capsys.readouterr().err


def test_json_of_the_week_is_one_object(ledger: Path, capsys: pytest.CaptureFixture[str]):
    assert main(["week", "--ledger", str(ledger), "--format", "json"]) == 0
    assert {"as_of", "ledger_version", "records", "left_out", "rows"} <= json.loads(capsys.readouterr().out).keys()
