"""What people said of pairs is kept by the keys of both rows, so that it outlives corrections and undone imports."""

from datetime import date, datetime
from pathlib import Path

import pytest

from pipelines.errors import WrongInput
from pipelines.ledger.publishing import publish
from pipelines.ledger.reading import open_published
from pipelines.ledger.store import Ledger
from pipelines.ledger.writing import open_for_writing
from tests.support.ledgers import taking, uncoded

BY = "A. Tester"
CALL = {"call_id": "C1", "vessel_id": "W1", "called_at": datetime(2024, 6, 1)}
LINE = {"ticket_id": "T1", "line_no": "1", "vessel_id": "W1", "done_on": date(2024, 6, 2), "component": "belt", "action": "renew"}
OTHER = LINE | {"line_no": "2", "component": "hose"}
CALL_ROW, LINE_ROW, OTHER_ROW = 1, 2, 3


@pytest.fixture
def ledger(tmp_path: Path):
    with open_for_writing(tmp_path / "fleet.duckdb", "test") as opened:
        opened.take_in([taking("rescue_calls", [CALL]), taking("service_tickets", [LINE, OTHER])], BY)
        yield opened


def pairs_in(ledger: Ledger) -> list[tuple]:
    return ledger.settled_pairs().select("call_row_id", "ticket_row_id", "same").rows()


def test_a_settlement_says_who_when_and_why(ledger: Ledger):
    ledger.settle_pair(CALL_ROW, LINE_ROW, same=True, by=BY, because="I drove the tow")
    settled = ledger.settled_pairs().row(0, named=True)
    assert (settled["settled_by"], settled["because"]) == (BY, "I drove the tow")
    assert settled["settled_at"] is not None


def test_the_last_word_on_a_pair_counts(ledger: Ledger):
    ledger.settle_pair(CALL_ROW, LINE_ROW, same=True, by=BY)
    ledger.settle_pair(CALL_ROW, LINE_ROW, same=False, by=BY)
    assert pairs_in(ledger) == [(CALL_ROW, LINE_ROW, False)]


def test_a_call_has_one_ticket_so_the_later_yes_counts_and_every_no(ledger: Ledger):
    ledger.settle_pair(CALL_ROW, LINE_ROW, same=True, by=BY)
    ledger.settle_pair(CALL_ROW, OTHER_ROW, same=True, by=BY)
    assert pairs_in(ledger) == [(CALL_ROW, OTHER_ROW, True)]
    ledger.settle_pair(CALL_ROW, LINE_ROW, same=False, by=BY)
    assert pairs_in(ledger) == [(CALL_ROW, OTHER_ROW, True), (CALL_ROW, LINE_ROW, False)]


def test_it_holds_for_the_row_that_corrects_one_of_the_two_and_after_that_is_undone(ledger: Ledger):
    ledger.settle_pair(CALL_ROW, LINE_ROW, same=True, by=BY)
    corrected = ledger.take_in([taking("service_tickets", [LINE | {"component": "drive belt"}])], BY)
    assert pairs_in(ledger) == [(CALL_ROW, 4, True)]
    assert corrected.import_id is not None
    ledger.undo(corrected.import_id, BY)
    assert pairs_in(ledger) == [(CALL_ROW, LINE_ROW, True)]


def test_it_waits_while_a_row_is_undone_and_is_there_when_the_row_comes_again(ledger: Ledger):
    ledger.settle_pair(CALL_ROW, LINE_ROW, same=True, by=BY)
    ledger.undo(1, BY)
    assert pairs_in(ledger) == []
    ledger.take_in([taking("service_tickets", [LINE]), taking("rescue_calls", [CALL])], BY)
    assert pairs_in(ledger) == [(5, 4, True)]


def test_a_superseded_row_may_be_named_for_the_one_that_counts(ledger: Ledger):
    ledger.take_in([taking("service_tickets", [LINE | {"component": "drive belt"}])], BY)
    ledger.settle_pair(CALL_ROW, LINE_ROW, same=True, by=BY)
    assert pairs_in(ledger) == [(CALL_ROW, 4, True)]


@pytest.mark.parametrize(("call", "line"), [(LINE_ROW, CALL_ROW), (CALL_ROW, 99)])
def test_rows_that_are_no_call_or_no_ticket_line_are_refused_and_nothing_changes(ledger: Ledger, call: int, line: int):
    version = ledger.version
    with pytest.raises(WrongInput, match="no row of"):
        ledger.settle_pair(call, line, same=True, by=BY)
    assert ledger.version == version


def test_it_is_published_beside_the_accepted_records(ledger: Ledger):
    ledger.settle_pair(CALL_ROW, LINE_ROW, same=True, by=BY)
    publish(ledger, uncoded)
    with open_published(ledger.beside.ledger) as copy:
        assert copy.frame("select call_row_id, ticket_row_id, same from accepted.settled_pairs").rows() == [(CALL_ROW, LINE_ROW, True)]
        with copy.as_known_on(date(2024, 6, 1)) as bench:
            assert bench.frame("select count(*) as rows from accepted.settled_pairs")["rows"].item() == 1
