"""A task that is put off is an import of its own: kept with who, when and why, undone like any other, never half written."""

from datetime import date
from pathlib import Path

import polars as pl
import pytest

from pipelines.errors import WrongInput
from pipelines.ledger.publishing import publish
from pipelines.ledger.reading import open_published
from pipelines.ledger.writing import open_for_writing
from tests.support.killing import BY, PUT_OFF
from tests.support.ledgers import boats, ledger_of, uncoded


@pytest.fixture
def path(tmp_path: Path):
    return ledger_of(tmp_path / "fleet.duckdb", boats("W1=Wren"))


def put_off(path: Path, **other: object) -> int:
    with open_for_writing(path, "test") as ledger:
        number = ledger.put_off(PUT_OFF.with_columns(pl.lit(value).alias(name) for name, value in other.items()), BY)
        publish(ledger, uncoded)
    return number


def told(path: Path) -> list[dict]:
    with open_published(path) as copy:
        return copy.frame("select * from about.put_offs order by put_off_no").to_dicts()


def test_what_was_put_off_says_who_why_and_until_when(path: Path):
    number = put_off(path)
    row = told(path)[0]
    assert (row["put_off_by"], row["because"], row["until_on"], row["import_id"]) == (BY, "part on order", date(2026, 7, 1), number)
    assert (row["component"], row["engine_id"], row["task"], row["undone_by"]) == ("drive belt", "W1-E", "renew", None)


def test_the_account_of_rows_is_not_touched_by_it(path: Path):
    with open_for_writing(path, "test") as ledger:
        before = ledger.reconciliation()
    put_off(path)
    with open_for_writing(path, "test") as ledger:
        assert ledger.reconciliation().equals(before)


def test_a_second_put_off_is_written_beside_the_first(path: Path):
    put_off(path)
    put_off(path, until_on=date(2026, 8, 1))
    assert [(row["put_off_no"], row["until_on"]) for row in told(path)] == [(1, date(2026, 7, 1)), (2, date(2026, 8, 1))]


def test_taking_it_back_is_undoing_its_import_and_it_stays_told(path: Path):
    number = put_off(path)
    with open_for_writing(path, "test") as ledger:
        undone = ledger.undo(number, "Yard office")
        publish(ledger, uncoded)
    assert undone.rows_out == {"put_offs": 1}
    assert told(path)[0]["undone_by"] == "Yard office"
    with open_for_writing(path, "test") as ledger, pytest.raises(WrongInput, match="undone already"):
        ledger.undo(number, BY)


def test_somebody_elses_telephone_number_in_the_reason_is_masked_before_it_is_stored(path: Path):
    put_off(path, because="owner asked, call 020 7946 0018")
    assert told(path)[0]["because"] == "owner asked, call [telephone number]"


def test_every_put_off_raises_the_version_of_the_ledger(path: Path):
    with open_published(path) as copy:
        before = copy.version
    put_off(path)
    with open_published(path) as copy:
        assert copy.version == before + 1
