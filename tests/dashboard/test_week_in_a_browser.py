"""The week in a real browser: a call kept by one touch stands on it, its lines lead on, and the way back is the browser's own."""

import re
from pathlib import Path

import pytest
from playwright.sync_api import ViewportSize, expect

from pipelines.flow import copies
from pipelines.terms.settings import Settings
from tests.support.browser import IN_A_BROWSER, Watched

pytestmark = IN_A_BROWSER
LONG_MS = 120_000
MOST_LOOKS = 60


@pytest.fixture
def window() -> ViewportSize:
    """A telephone."""
    return {"width": 390, "height": 844}


def test_a_call_kept_by_one_touch_stands_on_the_week(watched: Watched, own_address: str, own_ledger: Path):
    page = watched.page
    watched.open(f"{own_address}/a-call-comes-in?boat=V02&symptom=overheats")
    name = page.get_by_label("Who answers the call?")
    name.fill("front desk")
    name.press("Tab")
    page.get_by_role("button", name="Make it a rescue call on record").click()
    expect(page.get_by_text("On record: boat V02, overheats")).to_be_visible(timeout=LONG_MS)
    for _ in range(MOST_LOOKS):  # the call is safe at once, and the figures are made anew behind the page
        watched.open(own_address)
        if page.get_by_text("overheats, cause not known yet").count():
            break
        page.wait_for_timeout(1000)
    expect(page.get_by_text("overheats, cause not known yet")).to_be_visible()
    with copies.current_copy(own_ledger, Settings()) as copy:
        kept = copy.frame("select vessel_id, symptom from accepted.rescue_calls where call_id like 'hand-%'")
    assert kept.rows() == [("V02", "overheats")]


def test_a_line_leads_to_where_it_can_be_acted_upon_and_the_way_back_is_the_browsers(watched: Watched, address: str):
    page = watched.page
    watched.open(address)
    line = page.locator('[class*="st-key-leads"] a').first
    boat = line.inner_text().split()[0]
    line.click()
    expect(page).to_have_url(re.compile(rf"boat={boat}"), timeout=LONG_MS)
    watched.settle()
    page.go_back()
    expect(page.get_by_role("heading", name="This week")).to_be_visible(timeout=LONG_MS)
    watched.settle()


def test_what_is_due_is_told_of_the_boat_of_a_link_alone(watched: Watched, address: str):
    watched.open(f"{address}/what-is-due?boat=V02&within=120+days")
    expect(watched.page.get_by_text("Only boat V02.")).to_be_visible()
    watched.page.get_by_role("link", name="All boats").click()
    expect(watched.page.get_by_text("Only boat V02.")).to_be_hidden(timeout=LONG_MS)
    watched.settle()


def test_words_typed_anywhere_find_a_boat_by_one_touch_more(watched: Watched, address: str):
    page = watched.page
    watched.open(f"{address}/records")
    field = page.get_by_label("Find a boat, part, ticket or call")
    field.fill("v02")
    field.press("Enter")
    expect(page.get_by_role("heading", name="Find", exact=True)).to_be_visible(timeout=LONG_MS)
    assert "words=v02" in page.url
    watched.settle()
    page.locator('[class*="st-key-leads"] a').first.click()
    expect(page.get_by_role("heading", name="One boat")).to_be_visible(timeout=LONG_MS)
    watched.settle()
    page.go_back()
    expect(page.get_by_role("heading", name="Find", exact=True)).to_be_visible(timeout=LONG_MS)
    watched.settle()
