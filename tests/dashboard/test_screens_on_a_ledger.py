"""Every screen on a real ledger of a small invented fleet, taken in as a person would."""

from pathlib import Path

import pytest

from dashboard import changes, readings
from dashboard.controls.pickers import EVENTS
from dashboard.readings import Scope
from tests.dashboard.invented import reconciliation
from tests.support.screens import DRAWN, SCREENS, open_screen, pictures, run, showing, words

pytestmark = pytest.mark.slow


@pytest.mark.parametrize("screen", SCREENS)
def test_a_screen_shows_the_fleet(screen: str, small_ledger: Path):
    page = open_screen(screen, small_ledger)
    assert not page.exception
    assert not page.warning
    assert bool(pictures(page)) == (screen in DRAWN)
    assert "ledger version 1" in words(page)


@pytest.mark.parametrize("of", EVENTS.values())
def test_rates_are_shown_by_everything_that_can_be_picked(of: str, small_ledger: Path):
    page = open_screen("what_strands_us", small_ledger, {"of": of})
    for by in page.selectbox("by").options:
        page = open_screen("what_strands_us", small_ledger, {"of": of, "by": by})
        assert not page.exception, by
        assert pictures(page), by


@pytest.mark.parametrize("clock", ["engine hours", "months"])
@pytest.mark.parametrize("split", ["by engine model", "by water", "by base"])
def test_lives_are_split_by_everything_that_can_be_picked(clock: str, split: str, small_ledger: Path):
    page = open_screen("how_long_parts_last", small_ledger, {"clock": clock, "split": split})
    assert not page.exception


@pytest.mark.parametrize("screen", ["how_long_parts_last", "when_to_renew"])
def test_every_part_can_be_opened(screen: str, small_ledger: Path):
    page = open_screen(screen, small_ledger)
    for part in page.selectbox("component").options:
        page.selectbox("component").set_value(part)
        run(page, small_ledger)
        assert not page.exception, part


@pytest.mark.parametrize("screen", [screen for screen in SCREENS if screen not in ("one_boat", "records", "how_it_is_worked_out")])
def test_each_base_can_be_looked_at_alone(screen: str, small_ledger: Path):
    with showing(small_ledger):
        bases = readings.choices().bases
    page = open_screen(screen, small_ledger, {"base": bases[0]})
    assert not page.exception
    assert page.selectbox("base").value == bases[0]


def test_the_account_on_the_screen_adds_up(small_ledger: Path):
    with showing(small_ledger):
        rows = readings.ask("records", Scope()).rows
    assert set(reconciliation().columns) <= set(rows.columns)
    assert (rows["rows_in"] == rows["accepted"] + rows["repeated"] + rows["superseded"] + rows["left_out"]).all()


def test_a_new_version_of_the_ledger_is_shown_at_once(small_ledger: Path, tmp_path: Path):
    ledger = tmp_path / "fleet.duckdb"
    vessels, engines = (small_ledger.parent / "records" / f"{name}.csv" for name in ("vessels", "engines"))
    with showing(ledger):
        changes.take_in([vessels], "test")
        before = readings.ask("records", Scope()).head["ledger_version"]
        changes.take_in([engines], "test")
        assert readings.ask("records", Scope()).head["ledger_version"] == before + 1
