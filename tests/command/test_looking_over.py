"""Files are looked over before anything of them is taken in: what each column is taken for, what would be left out, what nobody knows."""

import json
from pathlib import Path

import pytest

from pipelines.command.main import main

JOBS = """Job No;Boat;Engine;Date;Hours;Part;Work;Why
J1;V01;E01;14/05/2024;"1.240,5";zincs;changed;due
J2;V01;E01;31/02/2024;1250,0;stat;changed;u/s
J3;V01;E01;20/06/2024;1302,5;thingummybob;changed;due
"""
MAPPING = """[kind.service_tickets.columns]
"Job No" = "ticket_id"
"Boat" = "vessel_id"
"Engine" = "engine_id"
"Date" = "done_on"
"Hours" = "meter_h"
"Part" = "component"
"Work" = "action"
"Why" = "reason"
"""


@pytest.fixture
def yard(tmp_path: Path) -> Path:
    (tmp_path / "jobs.csv").write_text(JOBS, encoding="utf-8")
    (tmp_path / "yard.toml").write_text(MAPPING, encoding="utf-8")
    return tmp_path


def looked_over(yard: Path, capsys: pytest.CaptureFixture[str], *more: str) -> tuple[dict, str]:
    words = ["intake", "--look-over", str(yard / "jobs.csv"), "--ledger", str(yard / "fleet.duckdb"), "--format", "json", *more]
    assert main(words) == 0
    said = capsys.readouterr()
    return json.loads(said.out), said.err


def test_nothing_is_written(yard: Path, capsys: pytest.CaptureFixture[str]):
    before = {file.name for file in yard.iterdir()}
    looked_over(yard, capsys, "--map", str(yard / "yard.toml"))
    assert {file.name for file in yard.iterdir()} == before


def test_what_would_be_taken_in_and_left_out_is_counted(yard: Path, capsys: pytest.CaptureFixture[str]):
    told, _ = looked_over(yard, capsys, "--map", str(yard / "yard.toml"))
    assert [(row["kind"], row["rows_in"], row["left_out"], row["refusal"]) for row in told["rows"]] == [("service_tickets", 3, 1, None)]
    assert [row["line"] for row in told["left_out_rows"]] == [3]
    assert "31/02/2024" in told["left_out_rows"][0]["reason"]


def test_each_column_says_what_it_is_taken_for_and_how_it_is_read(yard: Path, capsys: pytest.CaptureFixture[str]):
    columns = {row["yours"]: row for row in looked_over(yard, capsys, "--map", str(yard / "yard.toml"))[0]["columns"]}
    assert (columns["Hours"]["ours"], columns["Hours"]["settled"], columns["Hours"]["example"]) == ("meter_h", "decimal comma", "1.240,5")
    assert (columns["Date"]["ours"], columns["Date"]["settled"]) == ("done_on", "day first")


def test_words_that_nobody_knows_are_told(yard: Path, capsys: pytest.CaptureFixture[str]):
    words = looked_over(yard, capsys, "--map", str(yard / "yard.toml"))[0]["words"]
    assert [(row["word"], row["code"]) for row in words] == [("thingummybob", "uncoded")]


def test_a_file_that_would_be_refused_says_why_and_gets_a_first_mapping(yard: Path, capsys: pytest.CaptureFixture[str]):
    told, said = looked_over(yard, capsys)
    assert "Job No" in told["rows"][0]["refusal"]
    assert '"Hours" = "meter_h"' in said
    (yard / "suggested.toml").write_text(told["suggestion"], encoding="utf-8")
    assert looked_over(yard, capsys, "--map", str(yard / "suggested.toml"))[0]["rows"][0]["kind"] == "service_tickets"


def test_the_table_names_every_file_and_that_nothing_was_taken_in(yard: Path, capsys: pytest.CaptureFixture[str]):
    assert main(["intake", "--look-over", str(yard), "--ledger", str(yard / "fleet.duckdb")]) == 0
    shown = capsys.readouterr().out
    assert shown.startswith("nothing was taken in")
    assert "jobs.csv" in shown


def test_a_file_that_cannot_be_read_hides_no_other(yard: Path, capsys: pytest.CaptureFixture[str]):
    (yard / "empty.csv").write_bytes(b"")
    words = ["intake", "--look-over", str(yard), "--map", str(yard / "yard.toml"), "--format", "json"]
    assert main([*words, "--ledger", str(yard / "fleet.duckdb")]) == 0
    rows = json.loads(capsys.readouterr().out)["rows"]
    assert [(row["file"], row["kind"]) for row in rows] == [("empty.csv", None), ("jobs.csv", "service_tickets")]
    assert rows[0]["refusal"].startswith("empty.csv")


@pytest.mark.parametrize(
    ("words", "why"),
    [
        ([], "Name a file or a folder"),
        (["nowhere.csv"], "nowhere.csv"),
        (["jobs.csv", "--map", "nowhere.toml"], "nowhere.toml: cannot be read as a mapping"),
    ],
)
def test_what_cannot_be_looked_over_is_refused_with_the_way_out(
    yard: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, words: list[str], why: str
):
    monkeypatch.chdir(yard)
    assert main(["intake", "--look-over", *words]) == 2
    assert why in capsys.readouterr().err
