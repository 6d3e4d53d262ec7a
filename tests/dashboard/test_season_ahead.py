"""The season that comes on Were we right?: foretold, kept by somebody, and what came of every forecast that was kept."""

from datetime import date
from pathlib import Path

import polars as pl

from dashboard.sentences import forecasts
from tests.support.screens import open_screen, pictures, run, words

WHOLE = {
    "forecast": 7,
    "kept_by": "The *manager*",
    "season": "2026",
    "known_on": date(2025, 12, 31),
    "begins": date(2026, 1, 1),
    "ends": date(2026, 12, 31),
    "component": None,
    "expected": 21.4,
    "low": 14,
    "high": 30,
    "so_far": 12,
    "actual": None,
    "state": "runs",
}


def kept(**other: object) -> str:
    return forecasts.kept_lines(pl.DataFrame([WHOLE | other]))[0]


def test_a_forecast_that_runs_says_what_came_so_far():
    assert "21 failures foretold (14 to 30); 12 so far" in kept()
    assert "The \\*manager\\*" in kept()


def test_a_forecast_that_is_over_says_whether_its_range_held():
    assert "33 came, outside the range" in kept(actual=33, state="over")
    assert "28 came, within the range" in kept(actual=28, state="over")


def test_a_forecast_that_was_taken_back_still_says_what_came():
    assert kept(actual=33, state="taken back").endswith("33 came, outside the range. Taken back since; it counts in no mark.")


def test_the_season_that_comes_is_kept_by_somebody(own_ledger: Path):
    page = open_screen("were_we_right", own_ledger, {"seasons": "The season that comes"})
    assert not page.exception
    assert "failures foretold" in words(page)
    assert "None yet" in words(page)
    assert pictures(page) == ["Failures foretold of the season that comes, parts and bases with most first"]
    page.button(key="FormSubmitter:keep the forecast-Keep it").click()
    assert any("kept by somebody" in told.value for told in run(page, own_ledger).warning)
    page.text_input[-1].set_value("The manager")
    page.button(key="FormSubmitter:keep the forecast-Keep it").click()
    assert "To take it back" in words(run(page, own_ledger))
    assert "kept by The manager" in words(page)
