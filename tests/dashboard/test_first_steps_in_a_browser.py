"""The first morning in a real browser, on a telephone: no ledger, the invented fleet by one touch, or a first folder in three steps."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import ViewportSize, expect

from pipelines.flow.sample import SAMPLE_LEDGER, records_folder
from tests.support.browser import IN_A_BROWSER, Watched, served

pytestmark = IN_A_BROWSER
LONG_MS = 180_000
LEAST_PX = 44


@pytest.fixture
def window() -> ViewportSize:
    """A telephone."""
    return {"width": 390, "height": 844}


@pytest.fixture
def empty_address(tmp_path: Path, watched: Watched) -> Iterator[str]:
    """Where a dashboard without a ledger is served; the page lets go before the server stops."""
    with served(tmp_path / "fleet.duckdb", tmp_path) as found:
        yield found
        watched.page.goto("about:blank")


def test_the_invented_fleet_is_one_touch_away_and_lands_on_the_week(watched: Watched, empty_address: str, tmp_path: Path):
    page = watched.page
    watched.open(empty_address)
    page.get_by_role("button", name="Look at the invented fleet").click()
    expect(page.get_by_text("Week to 30 Nov 2025")).to_be_visible(timeout=LONG_MS)
    expect(page.get_by_text("no boat on these pages exists")).to_be_visible()
    assert (tmp_path / SAMPLE_LEDGER.name).exists()
    assert not (tmp_path / "fleet.duckdb").exists()
    watched.settle()


def test_a_first_folder_comes_in_by_three_steps_and_lands_on_the_week(watched: Watched, empty_address: str, tmp_path: Path):
    page = watched.page
    watched.open(empty_address)
    page.get_by_role("button", name="Take in your first folder").click()
    expect(page.get_by_text("1 Pick")).to_be_visible(timeout=LONG_MS)
    page.locator('input[type="file"]').set_input_files(sorted(records_folder().glob("wellick_mouth*.csv"))[:4])
    onward = page.get_by_role("button", name="Look them over")
    expect(onward).to_be_enabled(timeout=LONG_MS)
    assert onward.bounding_box()["height"] >= LEAST_PX  # type: ignore[index]
    onward.click()

    expect(page.get_by_text("is read as").first).to_be_visible(timeout=LONG_MS)
    assert "step=look-over" in page.url
    page.get_by_role("button", name="Looks right, go on").click()

    expect(page.get_by_text("4 tables")).to_be_visible(timeout=LONG_MS)
    assert "step=take-in" in page.url
    take = page.get_by_role("button", name="Take in", exact=True)
    take.click()
    expect(page.get_by_text("say who takes it in")).to_be_visible(timeout=LONG_MS)
    field = page.get_by_label("Taken in by")
    field.fill("foreman")
    field.press("Tab")
    take.click()
    expect(page.get_by_text("rows in =")).to_be_visible(timeout=LONG_MS)
    expect(page.get_by_role("heading", name="This week")).to_be_visible(timeout=LONG_MS)
    assert (tmp_path / "fleet.duckdb").exists()
    watched.settle()


def test_a_step_opened_by_its_link_without_files_begins_at_the_first(watched: Watched, empty_address: str):
    watched.open(f"{empty_address}/first-steps?step=take-in")
    expect(watched.page.get_by_text("1 Pick")).to_be_visible()
    expect(watched.page.get_by_role("button", name="Look them over")).to_be_disabled()


def test_no_step_is_wider_than_a_telephone(watched: Watched, empty_address: str):
    for place in ("", "first-steps"):
        watched.open(f"{empty_address}/{place}")
        main = watched.page.locator('[data-testid="stMain"]')
        assert main.evaluate("element => element.scrollWidth <= element.clientWidth + 1")
