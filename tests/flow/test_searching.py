"""Finding things by what people type, on a ledger made for it, by the command as a person would run it."""

from pathlib import Path
from typing import Any

import pytest

from pipelines.command.main import main
from pipelines.terms.answers import names_of
from tests.support.small_fleet import ask, refuse

BOOKS = {
    "vessels": (
        "vessel_id,name,base,registration,mooring",
        "V7,Grey Heron,Saltern Basin,AB 12-345,east pontoon",
        "V8,Sandmartin,Saltern Basin,,west pontoon",
        "V77,Élan,Saltern Basin,,",
    ),
    "engines": ("engine_id,vessel_id,engine_model,commissioned_on", "E70,V7,TP-20,2020-04-01", "E80,V8,MD-35,2020-04-01"),
    "service_tickets": (
        "ticket_id,line_no,engine_id,done_on,component,action,reason,notes",
        "T100,1,E70,2023-05-02,drive belt,renew,planned,squeals when cold",
        "T100,2,E70,2023-05-02,raw-water pump impeller,renew,planned,two vanes cracked",
        "T101,1,E80,2024-06-11,drive belt,renew,failed,glazed and squealing",
    ),
    "rescue_calls": ("call_id,vessel_id,called_at,symptom,cause,notes", "C9,V8,2024-07-01,overheats,,steam from the engine box"),
    "parts": ("part_id,component,base,on_hand,lead_time_d,unit_cost", "P-55,drive belt,Saltern Basin,2,7,14"),
    "hour_readings": ("engine_id,read_on,meter_h", "E70,2023-04-01,100", "E70,2024-09-01,300"),
}


@pytest.fixture(scope="module")
def ledger(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("search")
    (folder / "first").mkdir()
    (folder / "first" / "vessels.csv").write_text("vessel_id,name,base\nV7,Bluebell,Saltern Basin\n", encoding="utf-8")
    (folder / "books").mkdir()
    for kind, lines in BOOKS.items():
        (folder / "books" / f"{kind}.csv").write_text("\n".join(lines), encoding="utf-8")
    for taken in ("first", "books"):
        assert main(["intake", str(folder / taken), "--ledger", str(folder / "fleet.duckdb")]) == 0
    return folder / "fleet.duckdb"


def found(ledger: Path, capsys: pytest.CaptureFixture[str], words: str) -> list[dict[str, Any]]:
    capsys.readouterr()
    told = ask(capsys, "records", "--find", words, "--ledger", ledger)
    assert all(list(row) == names_of("find") for row in told["rows"])
    return told["rows"]


@pytest.mark.parametrize(
    ("words", "met_by"),
    [
        ("V7", "id"),
        ("v 7", "id"),
        ("grey heron", "name"),
        ("HERON", "name"),
        ("greyheron", "name"),
        ("bluebell", "old name: Bluebell"),
        ("east pont", "mooring"),
    ],
)
def test_a_boat_is_found_by_all_it_goes_by(ledger: Path, capsys: pytest.CaptureFixture[str], words: str, met_by: str):
    first = found(ledger, capsys, words)[0]
    assert (first["found"], first["id"], first["label"], first["met_by"]) == ("boat", "V7", "V7 Grey Heron", met_by)


def test_the_very_id_comes_before_ids_that_begin_with_it(ledger: Path, capsys: pytest.CaptureFixture[str]):
    assert [row["id"] for row in found(ledger, capsys, "v7")] == ["V7", "V77"]


def test_accents_need_not_be_typed(ledger: Path, capsys: pytest.CaptureFixture[str]):
    assert found(ledger, capsys, "elan")[0]["id"] == "V77"


def test_an_engine_is_found_with_the_boat_it_is_in(ledger: Path, capsys: pytest.CaptureFixture[str]):
    (row,) = found(ledger, capsys, "e70")
    assert (row["found"], row["vessel_id"], row["label"]) == ("engine", "V7", "E70, TP-20, boat V7")


@pytest.mark.parametrize("words", ["drive belt", "impeller", "raw-water"])
def test_a_part_is_found_by_its_code_and_by_words_of_the_trade(ledger: Path, capsys: pytest.CaptureFixture[str], words: str):
    assert any(row["found"] == "part" for row in found(ledger, capsys, words))


def test_a_part_on_the_shelf_is_found_by_its_number_with_or_without_the_dash(ledger: Path, capsys: pytest.CaptureFixture[str]):
    for words in ("P-55", "p55"):
        (row,) = found(ledger, capsys, words)
        assert (row["found"], row["component"]) == ("stocked part", "drive belt")


def test_tickets_and_calls_are_found_by_id_and_by_words_of_their_notes(ledger: Path, capsys: pytest.CaptureFixture[str]):
    assert {row["found"] for row in found(ledger, capsys, "T100")} == {"ticket"}
    (call,) = found(ledger, capsys, "steam engine")
    assert (call["found"], call["id"], call["vessel_id"], call["on"], call["met_by"]) == ("call", "C9", "V8", "2024-07-01", "note")
    assert [row["id"] for row in found(ledger, capsys, "squeal")] == ["T101", "T100"]


def test_a_slip_is_taken_for_the_one_near_name_only_where_nothing_goes_by_it(ledger: Path, capsys: pytest.CaptureFixture[str]):
    (row,) = found(ledger, capsys, "sandmartni")
    assert (row["id"], row["met_by"]) == ("V8", "near word: Sandmartin")
    assert found(ledger, capsys, "V9") == []


def test_what_nothing_goes_by_is_said(ledger: Path, capsys: pytest.CaptureFixture[str]):
    assert main(["records", "--find", "zeppelin", "--ledger", str(ledger)]) == 0
    assert "Nothing goes by these words" in capsys.readouterr().out


@pytest.mark.parametrize("words", ["", "  ", "?!", "%"])
def test_words_without_a_letter_are_refused(ledger: Path, capsys: pytest.CaptureFixture[str], words: str):
    capsys.readouterr()
    assert "nothing to look for" in refuse(capsys, 2, "records", "--find", words, "--ledger", ledger)


@pytest.mark.parametrize("words", ["'; drop table x; --", "<b>V7</b>", "v7" * 400, "\\", "a%b_c", "$.x", "V7\u202e"])
def test_hostile_words_find_or_find_nothing_and_break_nothing(ledger: Path, capsys: pytest.CaptureFixture[str], words: str):
    capsys.readouterr()
    assert main(["records", "--find", words, "--ledger", str(ledger)]) in (0, 2)
    assert "Traceback" not in capsys.readouterr().err
