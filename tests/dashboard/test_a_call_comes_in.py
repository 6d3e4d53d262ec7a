"""The screen for a call that comes in, and the papers that pages print."""

from pathlib import Path

import pytest

from dashboard import readings
from dashboard.readings import Scope
from pipelines.terms.cautions import DEFERENCE
from tests.support.screens import open_screen, pictures, run, showing, words

CALL = {"boat": "V02", "symptom": "overheats"}


def test_without_a_boat_or_a_symptom_the_page_asks_for_them(small_ledger: Path):
    page = open_screen("a_call_comes_in", small_ledger)
    assert not page.exception
    assert "Pick the boat and what the caller says." in words(page)
    assert not pictures(page)


def test_a_link_opens_the_likely_causes_of_one_call(small_ledger: Path):
    page = open_screen("a_call_comes_in", small_ledger, CALL)
    assert not page.exception
    told = words(page).replace("\\", "")
    assert len(pictures(page)) == 1
    assert DEFERENCE in told
    for heading in ("Have them look first", "Bring", "Take care"):
        assert heading in told
    assert "Then the coast or water rescue comes before anything here." in told


def test_a_call_without_a_name_is_not_kept_and_the_page_says_why(small_ledger: Path):
    page = open_screen("a_call_comes_in", small_ledger, CALL)
    page.button[0].click()
    with showing(small_ledger):
        page.run()
    assert not page.exception
    assert [warning.value for warning in page.warning][1:]


@pytest.mark.parametrize("name", ["job-cards", "boat-cards", "season-report"])
def test_a_page_prints_the_papers_that_the_command_prints(small_ledger: Path, name: str):
    with showing(small_ledger):
        assert readings.paper(name, Scope(), "a4", 30, "").startswith(b"%PDF-")


def test_no_paper_is_made_before_it_is_asked_for(small_ledger: Path, monkeypatch: pytest.MonkeyPatch):
    made: list[str] = []
    monkeypatch.setattr(readings, "paper", lambda name, *_: made.append(name) or b"")
    page = run(open_screen("what_to_stock", small_ledger), small_ledger)
    assert not page.exception
    assert made == []
