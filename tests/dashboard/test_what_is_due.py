"""What is due: every view by a link, boats tied up above all, and a task put off and taken back on the page."""

import time
from pathlib import Path

import pytest

from pipelines.advice.weeks import week_totals
from pipelines.exports.answer import Answer
from pipelines.flow import answering, copies
from pipelines.ledger.beside import Beside
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings
from tests.dashboard import invented
from tests.dashboard.conftest import HEAD
from tests.support.screens import downloads, open_screen, pictures, run, words


@pytest.fixture
def whole(invented_flow: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The invented list with all that stands beside it."""

    def answer(*_: object, hours_a_week: float | None = None, **__: object) -> Answer:
        beside = {"tied_up": invented.tied_up(), "tied_up_note": "A licensed technician decides.", "weeks": invented.weeks()}
        beside |= {"week_totals": week_totals(invented.weeks()), "yard_hours_a_week": hours_a_week}
        return Answer(HEAD, invented.put_off(), beside | {"not_known": {"age": 2, "use_of_engine": 1}})

    monkeypatch.setattr(answering, "due", answer)
    return invented_flow


def test_boats_that_should_stay_tied_up_stand_above_all_else(whole: Path):
    told = words(open_screen("what_is_due", whole)).replace("\\", "")
    assert told.index("8 boats should stay tied up") < told.index("overdue** on")
    assert "A licensed technician decides." in told


@pytest.mark.parametrize(
    ("address", "told", "drawn"),
    [
        ({}, "Put off so far", "Jobs by boat and day due"),
        ({"view": "boats"}, "by the plan adopted by Yard office", ""),
        ({"view": "weeks", "hours": "6"}, "2 jobs do not fit** into weeks of 6 h", "Hours of work by week"),
        ({"view": "calendar", "month": "2025-10"}, "2 jobs have no day because the part's age is not known", "Jobs by day in October 2025"),
    ],
)
def test_a_link_opens_a_view(whole: Path, address: dict[str, str], told: str, drawn: str):
    page = open_screen("what_is_due", whole, address)
    assert not page.exception
    assert told in words(page).replace("\\", "")
    assert "no sleeves or hair near belts and pulleys" in words(page)
    assert pictures(page) == ([drawn] if drawn else [])
    assert downloads(page)


def test_the_calendar_is_taken_away_as_a_file(whole: Path):
    assert "Take it to a calendar program (iCalendar)" in downloads(open_screen("what_is_due", whole, {"view": "calendar"}))


def test_a_link_to_a_view_that_is_not_there_opens_the_list(whole: Path):
    page = open_screen("what_is_due", whole, {"view": "wishes", "month": "1066-10"})
    assert not page.exception
    assert "The list" in words(page)


def test_who_puts_off_and_why_is_asked_before_anything_is_changed(whole: Path):
    page = open_screen("what_is_due", whole)
    page.button[-2].click()
    run(page, whole)
    assert "Nothing was changed" in words(page)


@pytest.mark.slow
def test_a_task_is_put_off_and_taken_back_on_the_page(own_ledger: Path):
    page = open_screen("what_is_due", own_ledger)
    rows = rows_of(own_ledger)
    place = next(at for at, row in enumerate(rows) if row["overdue"] and row["ceiling_on"] is None)
    box = next(box for box in page.selectbox if box.label == "Job")
    box.set_value(place)
    by, why = (next(field for field in page.text_input if field.label == label) for label in ("Put off by", "Why"))
    by.set_value("Yard office")
    why.set_value("part on order")
    next(button for button in page.button if button.label == "Put it off").click()
    run(page, own_ledger)
    assert "Put off: renew" in words(page).replace("\\", "")
    wait_for_figures(own_ledger)
    page = open_screen("what_is_due", own_ledger)
    assert "by Yard office, because part on order" in words(page)
    next(field for field in page.text_input if field.label == "Taken back by").set_value("Quay hand")
    next(button for button in page.button if button.label == "Take it back").click()
    run(page, own_ledger)
    assert "is undone" in words(page)


def wait_for_figures(ledger: Path) -> None:
    """Wait until what was changed behind the page is published."""
    while Beside.of(ledger).owed.exists():
        time.sleep(0.1)


def rows_of(ledger: Path) -> list[dict]:
    with copies.current_copy(ledger, Settings()) as copy:
        return answering.due(copy, Scope(), Settings()).rows.to_dicts()
