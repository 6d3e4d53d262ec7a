"""Visits and spare boats on What is due: opened by a link, taken away, and refused in words."""

from pathlib import Path

import pytest

from dashboard import readings
from pipelines.errors import NoFigure
from pipelines.exports.answer import Answer
from tests.dashboard.conftest import HEAD
from tests.dashboard.invented_visits import grouping, own_days, spare_boats, visits
from tests.support.screens import downloads, open_screen, pictures, words

COUNTED = {
    "counted_by": "engine hours",
    "service_level": 0.95,
    "stoppages": 120,
    "mean_downtime_h": 17.4,
    "calls_without_downtime": 2,
    "failures_without_call_or_downtime": 9,
}


@pytest.fixture
def both(invented_flow: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The invented fleet with visits and spare boats."""
    beside = grouping() | {"own_days": own_days(), "journeys": ""}
    monkeypatch.setitem(readings._BESIDE, "visits", lambda *_, **__: Answer(HEAD, visits(), beside))
    monkeypatch.setitem(readings._BESIDE, "spare_boats", lambda *_, **__: Answer(HEAD, spare_boats(), COUNTED))
    return invented_flow


def test_visits_are_opened_by_a_link_and_taken_away(both: Path):
    page = open_screen("what_is_due", both, {"view": "visits"})
    assert not page.exception
    assert "**3 visits** in 30 days in place of 5" in words(page)
    assert pictures(page) == ["Visits by week"]
    assert "Take the visits to a calendar program (iCalendar)" in downloads(page)


def test_spare_boats_are_opened_by_a_link_with_what_they_were_counted_from(both: Path):
    page = open_screen("what_is_due", both, {"view": "spare-boats"})
    told = words(page).replace("\\", "")
    assert not page.exception
    assert "2 spare boats for August 2026" in told
    assert "Counted from 120 stoppages by engine hours" in told
    assert "9 failures on tickets without a call and without downtime_h are not counted" in told
    assert pictures(page) == ["Boats down at once and spare boats by month"]


def test_what_cannot_be_told_is_said_in_its_place(both: Path, monkeypatch: pytest.MonkeyPatch):
    def refused(*_: object, **__: object) -> Answer:
        raise NoFigure("No visit_cost is recorded.")

    for question in ("visits", "spare_boats"):
        monkeypatch.setitem(readings._BESIDE, question, refused)
    for view in ("visits", "spare-boats"):
        page = open_screen("what_is_due", both, {"view": view})
        assert not page.exception
        assert "No visit_cost is recorded" in words(page).replace("\\", "")
        assert pictures(page) == []


@pytest.mark.slow
@pytest.mark.parametrize("address", [{"view": "visits", "within": "120 days"}, {"view": "spare-boats", "enough": "99"}], ids=str)
def test_both_are_shown_of_a_real_ledger(small_ledger: Path, address: dict[str, str]):
    page = open_screen("what_is_due", small_ledger, address)
    assert not page.exception
    assert len(pictures(page)) == 1
