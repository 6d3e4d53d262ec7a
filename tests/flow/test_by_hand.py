"""Rows written and mended by hand, what was settled, and mappings put together: what is kept and what is refused."""

import tomllib
from datetime import date
from pathlib import Path
from typing import Any

import polars as pl
import pytest

from pipelines.errors import RowsLeftOut, WrongInput
from pipelines.flow import by_hand, mending, settling
from pipelines.flow.by_hand import refuse_unfit, take_back, write_down
from pipelines.flow.mapped import Choices, laid_over, with_choices
from pipelines.flow.mending import MARK, cells_of, take_mended
from pipelines.flow.settling import Word, settle
from pipelines.intake.mapping import mapping_from
from pipelines.intake.taking import read_file
from pipelines.ledger.writing import open_for_writing
from pipelines.terms.settings import Settings

TICKET = {"ticket_id": "hand-1", "line_no": "1", "vessel_id": "14", "done_on": date(2025, 5, 1), "component": "anodes", "action": "renew"}
NOTHING_PUBLISHED = Settings()


@pytest.fixture
def ledger(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A ledger with one file of which a row is left out; publishing is not what is tested."""
    for room in (by_hand, mending, settling):
        monkeypatch.setattr(room, "publish_anew", lambda *_: None)
    file = tmp_path / "jobs.csv"
    file.write_text("vessel_id,done_on,component,action\n14,2025-02-30,anodes,renew\n14,2025-03-01,anodes,renew\n", encoding="utf-8")
    with open_for_writing(tmp_path / "fleet.duckdb", "test") as opened:
        opened.take_in(read_file(file), "test")
    return tmp_path / "fleet.duckdb"


def counts(ledger: Path) -> dict[str, int]:
    with open_for_writing(ledger, "test") as opened:
        row = opened.reconciliation().filter(pl.col("kind") == "service_tickets").row(0, named=True)
    return {name: row[name] for name in ("rows_in", "accepted", "repeated", "superseded", "left_out")}


def test_two_touches_on_the_button_are_one_ticket_and_one_undo_takes_it_back(ledger: Path):
    first = write_down(ledger, "service_tickets", TICKET, "van 2", NOTHING_PUBLISHED)
    again = write_down(ledger, "service_tickets", TICKET, "van 2", NOTHING_PUBLISHED)
    assert (again.import_id, again.version) == (first.import_id, first.version)
    assert counts(ledger) == {"rows_in": 3, "accepted": 2, "repeated": 0, "superseded": 0, "left_out": 1}
    take_back(ledger, first, "van 2", NOTHING_PUBLISHED)
    assert counts(ledger)["accepted"] == 1


def test_whoever_writes_is_told_as_soon_as_the_row_is_safe(ledger: Path, monkeypatch: pytest.MonkeyPatch):
    told: list[Any] = []
    monkeypatch.setattr(by_hand, "publish_anew", lambda *_: told.append("published"))
    write_down(ledger, "service_tickets", TICKET, "van 2", NOTHING_PUBLISHED, told.append)
    assert [getattr(each, "import_id", each) for each in told] == [2, "published"]


@pytest.mark.parametrize(
    ("changed", "by", "told"),
    [
        ({}, " ", "say who writes it down"),
        ({"component": None}, "van 2", "component is missing"),
        ({"vessel_id": None}, "van 2", "engine_id or vessel_id is missing"),
        ({"done_on": date(2025, 6, 2)}, "van 2", "2025-06-02 lies ahead"),
    ],
)
def test_a_form_that_cannot_be_kept_is_refused_in_words(changed: dict, by: str, told: str):
    with pytest.raises(WrongInput, match=told):
        refuse_unfit("service_tickets", {**TICKET, **changed}, by, date(2025, 6, 1))


HEADER = '["vessel_id", "done_on", "component", "action"]'


def waiting() -> pl.DataFrame:
    row = {"row_id": 1, "kind": "service_tickets", "file": "jobs.csv", "sheet": None, "line": 2, "header": HEADER}
    return pl.DataFrame([row], schema_overrides={"sheet": pl.String})


def test_a_mended_row_is_in_and_the_row_that_was_left_out_stays_in_the_account(ledger: Path):
    cells = {"vessel_id": "14", "done_on": "2025-02-28", "component": "anodes", "action": "renew"}
    told = take_mended(ledger, waiting(), [cells], "foreman", NOTHING_PUBLISHED)
    assert told.total.accepted == 1
    assert counts(ledger) == {"rows_in": 3, "accepted": 2, "repeated": 0, "superseded": 0, "left_out": 1}
    with open_for_writing(ledger, "test") as opened:
        placed = opened.frame("select f.file, r.line from received.rows r join received.files f using (file_id) where f.import_id = 2")
    assert placed.rows() == [(f"jobs.csv{MARK}", 2)]


def test_a_row_that_is_still_at_fault_leaves_everything_as_it_was(ledger: Path):
    cells = {"vessel_id": "14", "done_on": "2025-02-29", "component": "anodes", "action": "renew"}
    with pytest.raises(RowsLeftOut, match="no such day"):
        take_mended(ledger, waiting(), [cells], "foreman", NOTHING_PUBLISHED)
    assert counts(ledger)["rows_in"] == 2


@pytest.mark.parametrize(
    ("raw", "cells"),
    [
        ("14;2025-02-30;anodes;renew", ["14", "2025-02-30", "anodes", "renew"]),
        ('14,2025-02-30,"anodes, outer",renew', ["14", "2025-02-30", "anodes, outer", "renew"]),
        ('{"vessel_id":"14","done_on":"2025-02-30","component":null,"action":"renew"}', ["14", "2025-02-30", "", "renew"]),
        ("14 torn", ["14 torn", "", "", ""]),
    ],
)
def test_the_cells_of_a_row_are_found_however_it_was_written(raw: str, cells: list[str]):
    assert list(cells_of(raw, HEADER).values()) == cells


def test_what_is_settled_needs_a_name_and_something_to_settle(ledger: Path):
    word = Word("component", "thingummy", "anodes")
    for settled, by in (([word], ""), ([], "foreman")):
        with pytest.raises(WrongInput, match="Nothing was settled"):
            settle(ledger, settled, by, NOTHING_PUBLISHED)
    assert settle(ledger, [word, word], "foreman", NOTHING_PUBLISHED) == 2
    with open_for_writing(ledger, "test") as opened:
        assert opened.settled_words().select("word", "code", "settled_by").rows() == [("thingummy", "anodes", "foreman")]


KEPT = 'decimal = ","\n[words.component]\n"water wheel" = "raw-water pump impeller"\n[file."old*".columns]\n"When" = "done_on"\n'


def test_choices_for_one_file_are_laid_over_the_kept_mapping_and_hold_for_it_alone():
    chosen = Choices("jobs [1] *.csv", "service_tickets", {'The "day"': "done_on", "Ours": ""}, "day first")
    mapping = mapping_from(with_choices(KEPT, chosen))
    mine, other = mapping.rules("jobs [1] *.csv", "service_tickets"), mapping.rules("jobs 2.csv", "service_tickets")
    assert (mine.kind, mine.date_order, mine.decimal) == ("service_tickets", "day first", ",")
    assert mine.columns == {"theday": "done_on", "ours": ""}
    assert (other.kind, other.date_order, other.decimal) == ("", "", ",")


def test_a_mapping_laid_over_nothing_says_the_same():
    assert tomllib.loads(laid_over("", KEPT)) == tomllib.loads(KEPT)
    assert with_choices("", Choices("jobs.csv")) == ""
