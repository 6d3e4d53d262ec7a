"""The screen that takes figures away, without a browser: what it shows and what stands in its address."""

from pathlib import Path

import pytest

from dashboard.taking_away import OFFERED
from tests.support.screens import downloads, open_screen, words

SCREEN = "take_the_figures"


def test_the_page_says_what_a_table_is_and_what_it_was_made_from(small_ledger: Path):
    page = open_screen(SCREEN, small_ledger)
    assert not page.exception
    told = words(page)
    assert "One row per group of each breakdown" in told
    assert "Made from ledger version 1" in told
    assert "the whole fleet" in told
    labels = [label.replace("\\", "") for label in downloads(page)]
    assert labels[0].startswith("Take rates.csv (")
    assert {"XLSX", "Parquet", "JSON", "Take towless-figures.zip"} <= set(labels)


@pytest.mark.slow
@pytest.mark.parametrize("name", OFFERED)
def test_every_table_of_the_package_can_be_seen(small_ledger: Path, name: str):
    page = open_screen(SCREEN, small_ledger, {"table": name})
    assert not page.exception
    assert any(f"{name}.csv" in label.replace("\\", "") for label in downloads(page))


def test_a_filter_that_a_table_cannot_take_is_said(small_ledger: Path):
    page = open_screen(SCREEN, small_ledger, {"table": "rates", "season": "2024"})
    assert not page.exception
    assert "Rates of failures are not in it" in words(page)
