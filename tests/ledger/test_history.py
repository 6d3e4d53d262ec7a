"""A corrected row is superseded and the old one stays readable, with who, when, which file and what became of it."""

import pytest

from pipelines.errors import UnknownWord, WrongInput
from pipelines.ledger.history import history_of, rows_named
from pipelines.ledger.writing import open_for_writing
from tests.support.ledgers import boats, taking

BY = "A. Tester"


@pytest.fixture
def ledger(tmp_path):
    with open_for_writing(tmp_path / "fleet.duckdb", "test") as opened:
        opened.take_in([boats("W1=Wren", "W2=Teal", file="first.csv", sha256="aa", faulty=1)], "B. Tester")
        opened.take_in([boats("W1=Tern", file="second.csv", sha256="bb")], BY)
        opened.take_in([boats("W1=Wren", file="third.csv", sha256="cc")], BY)
        yield opened


def test_every_version_of_a_row_is_told_in_the_order_it_came(ledger):
    told = history_of(ledger, rows_named(ledger, "vessels", "W1"))
    assert told.select("row_id", "fate", "of_row", "file", "sha256", "line", "taken_by").rows() == [
        (1, "superseded", 4, "first.csv", "aa", 2, "B. Tester"),
        (4, "accepted", None, "second.csv", "bb", 2, BY),
        (5, "repeated", 1, "third.csv", "cc", 2, BY),
    ]
    assert "Wren" in told["raw"][0]


def test_what_was_undone_stays_readable_with_who_undid_it(ledger):
    ledger.undo(2, "C. Tester")
    told = history_of(ledger, rows_named(ledger, "vessels", "W1"))
    assert told.select("fate", "undone_by").rows() == [("accepted", None), ("undone", "C. Tester"), ("repeated", None)]


def test_a_row_left_out_has_a_history_of_its_own(ledger):
    told = history_of(ledger, [3])
    assert told.select("row_id", "fate").rows() == [(3, "left_out")]
    assert "Litres are a number" in told["fault"][0]


def test_the_clock_set_back_changes_no_order(ledger, monkeypatch):
    before = ledger.frame("select max(taken_at) from received.imports").item()
    monkeypatch.setattr("pipelines.ledger.taking_in.now", lambda: before.replace(year=before.year - 3))
    ledger.take_in([boats("W1=Coot", file="fourth.csv")], BY)
    told = history_of(ledger, rows_named(ledger, "vessels", "W1"))
    assert told.filter(told["fate"] == "accepted").select("file", "import_id").rows() == [("fourth.csv", 4)]
    assert told["taken_at"][-1] < before


@pytest.mark.parametrize(("key", "rows"), [("T1/2", [2]), ("T1", [1, 2]), ("T/9/1", [3]), ("T/9", [3])])
def test_a_ticket_line_is_named_by_ticket_and_line_and_a_ticket_by_its_id(tmp_path, key, rows):
    lines = [{"ticket_id": "T1", "line_no": "1"}, {"ticket_id": "T1", "line_no": "2"}, {"ticket_id": "T/9", "line_no": "1"}]
    with open_for_writing(tmp_path / "tickets.duckdb", "test") as ledger:
        ledger.take_in([taking("service_tickets", lines)], BY)
        assert rows_named(ledger, "service_tickets", key) == rows


def test_an_id_that_nothing_goes_by_is_told(ledger):
    with pytest.raises(UnknownWord, match="'W9': no row of vessels goes by that vessel_id"):
        rows_named(ledger, "vessels", "W9")
    with pytest.raises(WrongInput, match="Name it by its number: towless records --row N"):
        rows_named(ledger, "hour_readings", "E1")
