"""Verbs that write: taking in, undoing, adopting, backing up and bringing back."""

import pytest

from pipelines.command.main import main
from tests.support.small_fleet import ask, refuse

IMPELLER = "raw-water pump impeller"


def held(capsys, ledger):
    return {row["kind"]: row for row in ask(capsys, "records", "--ledger", ledger)["rows"]}


def test_the_same_folder_again_changes_nothing(own_ledger, records, capsys):
    before = own_ledger.read_bytes()
    told = ask(capsys, "intake", records, "--ledger", own_ledger)
    assert all(row["repeated"] == row["rows_in"] for row in told["rows"])
    assert own_ledger.read_bytes() == before


def test_rows_left_out_are_told_on_standard_error_and_written_with_their_reasons(tmp_path, capsys):
    tickets = tmp_path / "tickets.csv"
    tickets.write_text("engine_id,done_on,component,action,meter_h\nE1,2024-05-01,impeller,renew,12:40\nE1,2024-05-01,belt,renew,100.5\n")
    assert main(["intake", str(tickets), "--ledger", str(tmp_path / "f.duckdb"), "--left-out", str(tmp_path / "out.csv")]) == 0
    told = capsys.readouterr()
    assert "tickets.csv, line 2, meter_h: '12:40'." in told.err
    assert "2 rows in = 1 accepted + 0 repeated + 0 superseded + 1 left out" in told.err
    assert "12:40" in (tmp_path / "out.csv").read_text()


def test_strict_takes_in_nothing_if_any_row_is_left_out(tmp_path, capsys):
    tickets = tmp_path / "tickets.csv"
    tickets.write_text("engine_id,done_on,component,action\nE1,2024-05-01,impeller,renew\nE1,2024-02-31,belt,renew\n")
    said = refuse(capsys, 1, "intake", tickets, "--ledger", tmp_path / "f.duckdb", "--strict")
    assert "line 3, done_on: '2024-02-31'" in said
    assert not (tmp_path / "f.duckdb").exists()


def test_an_import_can_be_undone(own_ledger, tmp_path, capsys):
    before = held(capsys, own_ledger)
    boat = tmp_path / "more.csv"
    boat.write_text("vessel_id,name\nX99,Late Arrival\n")
    ask(capsys, "intake", boat, "--ledger", own_ledger)
    assert held(capsys, own_ledger)["vessels"]["accepted"] == before["vessels"]["accepted"] + 1
    ask(capsys, "intake", "--undo", 2, "--ledger", own_ledger)
    assert held(capsys, own_ledger) == before


def test_undoing_what_is_not_there_is_refused(own_ledger, capsys):
    assert "99" in refuse(capsys, 2, "intake", "--undo", 99, "--ledger", own_ledger)


def test_an_adopted_interval_becomes_the_plan_and_what_is_due_follows(own_ledger, capsys):
    words = ["--adopt", IMPELLER, "--every-h", 150, "--every-months", 12, "--adopted-by", "Yard office", "--because", "Winter review"]
    row = ask(capsys, "intervals", "--ledger", own_ledger, "--component", IMPELLER, *words)["rows"][0]
    assert (row["current_h"], row["current_months"]) == (150, 12)
    due = ask(capsys, "due", "--ledger", own_ledger, "--component", IMPELLER, "--within", "3000d")["rows"]
    assert any(task["due_in_h"] is not None for task in due if task["task"] == "renew")


def test_without_an_interval_the_advised_one_is_adopted(own_ledger, capsys):
    advised = ask(capsys, "intervals", "--ledger", own_ledger, "--component", IMPELLER)["rows"][0]
    told = ask(
        capsys,
        "intervals",
        "--ledger",
        own_ledger,
        "--component",
        IMPELLER,
        "--adopt",
        IMPELLER,
        "--adopted-by",
        "Yard",
        "--because",
        "It saves",
    )
    assert told["rows"][0]["current_h"] == advised["renew_h"]
    assert told["rows"][0]["current_months"] == advised["renew_months"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--adopt", IMPELLER], "--adopted-by NAME --because TEXT"),
        (["--adopt", "flux capacitor", "--adopted-by", "Yard", "--because", "x"], "'flux capacitor': no verdict"),
    ],
)
def test_an_adoption_needs_who_why_and_a_known_part(own_ledger, capsys, words, said):
    before = own_ledger.read_bytes()
    assert said in refuse(capsys, 2, "intervals", "--ledger", own_ledger, *words)
    assert own_ledger.read_bytes() == before


def test_an_adoption_past_a_binding_limit_is_refused(own_ledger, capsys):
    bound = next(row for row in ask(capsys, "intervals", "--ledger", own_ledger)["rows"] if row["limit_binding"])
    words = ["--adopt", bound["component"], "--every-h", 90000, "--every-months", 900, "--adopted-by", "Yard", "--because", "x"]
    assert "which is binding or has no written approval" in refuse(capsys, 2, "intervals", "--ledger", own_ledger, *words)


def test_a_backup_brings_the_ledger_back(own_ledger, tmp_path, capsys):
    before = held(capsys, own_ledger)
    assert main(["backup", str(tmp_path / "copy.duckdb"), "--ledger", str(own_ledger)]) == 0
    boat = tmp_path / "more.csv"
    boat.write_text("vessel_id,name\nX99,Late Arrival\n")
    ask(capsys, "intake", boat, "--ledger", own_ledger)
    assert main(["restore", str(tmp_path / "copy.duckdb"), "--ledger", str(own_ledger)]) == 0
    capsys.readouterr()
    assert held(capsys, own_ledger) == before


def test_a_mapping_is_suggested_and_nothing_is_taken_in(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    log = tmp_path / "log.csv"
    log.write_text("Boat;When;What was seen\nReed 4;14.07.2024;overheats\n")
    assert main(["intake", "--suggest-map", str(log)]) == 0
    assert "vessel_id" in capsys.readouterr().out
    assert [file.name for file in tmp_path.iterdir()] == ["log.csv"]


def test_a_part_that_must_not_fail_is_never_adopted_without_an_interval(own_ledger, tmp_path, capsys):
    limits = tmp_path / "limits.csv"
    limits.write_text("component,task,max_h,binding\nwiring,test,100,no\n")
    ask(capsys, "intake", limits, "--ledger", own_ledger)
    rows = {row["component"]: row for row in ask(capsys, "intervals", "--ledger", own_ledger)["rows"]}
    if "wiring" in rows and rows["wiring"]["renew_h"] is None and rows["wiring"]["renew_months"] is None:
        words = ["--adopt", "wiring", "--adopted-by", "Yard", "--because", "x"]
        assert "never left to fail" in refuse(capsys, 2, "intervals", "--ledger", own_ledger, *words)


def test_an_adoption_after_the_last_record_stays_in_force_under_other_settings(own_ledger, tmp_path, capsys):
    words = ["--adopt", IMPELLER, "--every-h", 150, "--adopted-by", "Yard office", "--because", "Winter review"]
    ask(capsys, "intervals", "--ledger", own_ledger, "--component", IMPELLER, *words)
    settings = tmp_path / "settings.toml"
    settings.write_text("condition_fraction = 0.86\n")
    other = ask(capsys, "intervals", "--ledger", own_ledger, "--component", IMPELLER, "--settings", settings)
    assert other["rows"][0]["current_h"] == 150
    then = ask(capsys, "intervals", "--ledger", own_ledger, "--component", IMPELLER, "--as-of", other["as_of"])
    assert then["rows"][0]["current_h"] != 150
