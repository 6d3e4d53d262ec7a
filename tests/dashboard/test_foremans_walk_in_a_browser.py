"""The foreman's walk in a real browser: what to order, the order list on paper, ordered, received, counted, and the figures follow."""

import re
import time
from pathlib import Path

import pytest
from playwright.sync_api import Page, ViewportSize, expect

from pipelines.flow import answering, copies
from pipelines.ledger.beside import Beside
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings
from tests.support.browser import IN_A_BROWSER, Watched

pytestmark = IN_A_BROWSER
LONG_MS, LONG_S = 120_000, 180
LEAST_TARGET = 48


@pytest.fixture
def window() -> ViewportSize:
    """A tablet held upright."""
    return {"width": 820, "height": 1180}


def first_order(ledger: Path) -> dict:
    """The first part that the page says to order."""
    with copies.current_copy(ledger, Settings()) as copy:
        rows = answering.stock(copy, Scope(), Settings()).rows
    return next(row for row in rows.to_dicts() if row["order_quantity"])


def on_shelf(ledger: Path, part: dict) -> tuple[int, int]:
    with copies.current_copy(ledger, Settings()) as copy:
        rows = answering.stock(copy, Scope(), Settings()).rows.to_dicts()
    row = next(row for row in rows if (row["part_id"], row["base"]) == (part["part_id"], part["base"]))
    return row["on_hand"], row["on_order"] or 0


def write(page: Page, address: str, do: str, part: dict, pieces: int) -> None:
    """Write down on the form that so many pieces of a part were counted, received or ordered."""
    page.goto(f"{address}/what-to-stock?show=form&do={do}&base={(part['base'] or '').replace(' ', '+')}")
    field = page.get_by_label(f"{part['part_id']} {do}", exact=True)
    expect(field).to_be_visible(timeout=LONG_MS)
    assert (field.locator("xpath=ancestor::*[@data-testid='stNumberInputContainer']").bounding_box() or {})["height"] >= LEAST_TARGET
    field.fill(str(pieces))
    field.press("Tab")
    who = page.get_by_label("Who writes this?")
    who.fill("foreman")
    who.press("Tab")
    button = page.get_by_role("button", name=f"Write down 1 part {do}")
    expect(button).to_be_enabled(timeout=LONG_MS)
    assert (button.bounding_box() or {})["height"] >= LEAST_TARGET
    button.click()
    expect(page.get_by_text("It is safe.")).to_be_visible(timeout=LONG_MS)


def wait_published(ledger: Path) -> None:
    """Wait until the figures have been made anew behind the page."""
    ends = time.monotonic() + LONG_S
    while Beside.of(ledger).owed.exists() and time.monotonic() < ends:
        time.sleep(0.5)


def test_from_what_to_order_to_a_counted_shelf(watched: Watched, own_address: str, own_ledger: Path):
    page, part = watched.page, first_order(own_ledger)
    hand, coming = on_shelf(own_ledger, part)
    watched.open(f"{own_address}/what-to-stock")
    expect(page.get_by_text(re.compile("Order [0-9,]+ piece"))).to_be_visible(timeout=LONG_MS)
    page.get_by_role("button", name="Print or take away").click()
    for kind, begins in (("PDF", b"%PDF"), ("XLSX", b"PK"), ("CSV", b"line,")):
        with page.expect_download(timeout=LONG_MS) as waiting:
            page.get_by_role("button", name=f"Order list ({kind})").click()
        assert Path(waiting.value.path()).read_bytes().startswith(begins)
    write(page, own_address, "ordered", part, part["order_quantity"])
    wait_published(own_ledger)
    assert on_shelf(own_ledger, part) == (hand, coming + part["order_quantity"])
    write(page, own_address, "received", part, part["order_quantity"])
    wait_published(own_ledger)
    assert on_shelf(own_ledger, part) == (hand + part["order_quantity"], coming)
    found = hand + part["order_quantity"] + 1
    write(page, own_address, "counted", part, found)
    expect(page.get_by_text("1 piece more than that explains")).to_be_visible()
    wait_published(own_ledger)
    assert on_shelf(own_ledger, part) == (found, coming)
    page.get_by_role("button", name="Take it back").click()
    expect(page.get_by_text("Taken back")).to_be_visible(timeout=LONG_MS)
    wait_published(own_ledger)
    assert on_shelf(own_ledger, part) == (found - 1, coming)
