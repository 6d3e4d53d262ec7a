"""Pairs of call and ticket that wait for a person: listed, settled at the command line, remembered."""

from pathlib import Path

import polars as pl
import pytest

from pipelines.command.main import main
from pipelines.flow import pairs
from pipelines.flow.copies import current_copy
from pipelines.terms.settings import Settings
from tests.support.small_fleet import ask, refuse

RECORDS = {
    "vessels": "vessel_id,base,in_service_on,tickets_from_on,calls_from_on\nV1,North,2020-01-01,2020-01-01,2020-01-01\n",
    "engines": "engine_id,vessel_id,place,drive,fuel,commissioned_on\nE1,V1,single,outboard,petrol,2020-01-01\n",
    "hour_readings": "engine_id,read_on,meter_h\nE1,2020-12-31,365\n",
    "rescue_calls": "call_id,vessel_id,called_at,symptom,outcome\nC1,V1,2020-04-10,overheats,towed\n",
    "service_tickets": "ticket_id,line_no,engine_id,done_on,component,action,reason,notes\n"
    "T1,1,E1,2020-04-11,raw-water pump impeller,renew,planned,with the rest\nT1,2,E1,2020-04-11,spark plugs,renew,planned,\n",
}


@pytest.fixture
def ledger(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    for kind, text in RECORDS.items():
        (tmp_path / f"{kind}.csv").write_text(text)
    made = tmp_path / "fleet.duckdb"
    assert main(["intake", *(str(tmp_path / f"{kind}.csv") for kind in RECORDS), "--ledger", str(made)]) == 0
    capsys.readouterr()
    return made


def certainty(ledger: Path) -> tuple:
    with current_copy(ledger, Settings()) as copy:
        return copy.frame(
            "select certainty, ending from derived.matches cross join derived.lives where component like '%impeller' order by began_on"
        ).row(0)


def test_a_doubtful_pair_is_listed_with_what_both_rows_say_and_the_doubt(ledger: Path, capsys):
    row = ask(capsys, "records", "--pairs", "--ledger", ledger)["rows"][0]
    assert (row["call_id"], row["ticket_id"], row["line_no"], row["ticket_notes"]) == ("C1", "T1", "1", "with the rest")
    assert (row["call_file"], row["ticket_file"]) == ("rescue_calls.csv", "service_tickets.csv")
    assert row["doubt"] == "it was renewed at a service with other parts, not by itself"
    assert 0 < row["score"] < 0.7


def test_a_yes_makes_the_planned_change_a_failure_and_is_not_asked_again(ledger: Path, capsys):
    assert certainty(ledger) == ("doubtful", "planned")
    told = ask(capsys, "records", "--same", "C1", "T1/1", "--by", "Yard office", "--because", "saw the vanes", "--ledger", ledger)
    assert told["rows"] == []
    assert [(row["call_id"], row["same"], row["because"]) for row in told["settled"]] == [("C1", True, "saw the vanes")]
    assert certainty(ledger) == ("certain", "failed")


def test_a_no_is_remembered_when_the_same_file_comes_again(ledger: Path, capsys, tmp_path: Path):
    ask(capsys, "records", "--not-same", "C1", "T1/1", "--by", "Yard office", "--ledger", ledger)
    corrected = tmp_path / "tickets_again.csv"
    corrected.write_text(RECORDS["service_tickets"].replace("with the rest", "at the yearly service"))
    ask(capsys, "intake", corrected, "--ledger", ledger)
    assert certainty(ledger)[1] == "planned"
    assert [row["same"] for row in ask(capsys, "records", "--pairs", "--ledger", ledger)["settled"]] == [False]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("C1", "T1", "--by", "Yard"), "name one, such as T1/1"),
        (("C9", "T1/1", "--by", "Yard"), "no call goes by that"),
        (("C1", "T1/1"), "--by NAME"),
    ],
)
def test_a_pair_that_cannot_be_told_is_refused_with_the_way_out(ledger: Path, capsys, words: tuple[str, ...], said: str):
    assert said in refuse(capsys, 2, "records", "--same", *words, "--ledger", ledger)


def test_a_program_settles_by_row_numbers(ledger: Path):
    with current_copy(ledger, Settings()) as copy:
        row = pairs.doubtful_pairs(copy).row(0, named=True)
    pairs.settle_pair(ledger, row["call_row_id"], row["ticket_row_id"], same=True, by="Yard", because="", settings=Settings())
    with current_copy(ledger, Settings()) as copy:
        assert pairs.settled_pairs(copy).select("call_id", "ticket_id", pl.col("same")).rows() == [("C1", "T1", True)]
