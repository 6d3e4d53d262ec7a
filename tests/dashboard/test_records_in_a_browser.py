"""The first evening in a real browser: a messy file looked over and taken in, a row mended, a word settled, a ticket by hand, One boat."""

from pathlib import Path

import pytest
from playwright.sync_api import Page, ViewportSize, expect

from tests.support.browser import IN_A_BROWSER, Watched

pytestmark = IN_A_BROWSER
LONG_MS = 120_000
JOBS = """Job No;Boat;Engine;Date;Hours;Part;Work;Why
J1;{boat};{engine};14/05/2024;"1.240,5";zincs;changed;due
J2;{boat};{engine};31/02/2024;1250,0;stat;changed;u/s
J3;{boat};{engine};20/06/2024;1302,5;thingummybob;changed;due
"""


@pytest.fixture
def window() -> ViewportSize:
    """A tablet held upright."""
    return {"width": 820, "height": 1180}


def pick(page: Page, label: str, typed: str) -> None:
    """Pick in a list by typing."""
    box = page.get_by_role("combobox", name=label)
    box.click()
    box.fill(typed)
    page.get_by_role("option").first.click()


def write(page: Page, label: str, words: str) -> None:
    field = page.get_by_label(label, exact=True).first
    field.fill(words)
    field.press("Tab")


def take_in(watched: Watched, address: str, folder: Path) -> None:
    page = watched.page
    file = folder / "jobs 2024.csv"
    file.write_text(JOBS.format(boat="V02", engine="E002"), encoding="utf-8-sig")
    watched.open(f"{address}/records?view=take-in")
    page.locator('input[type="file"]').set_input_files(file)
    expect(page.get_by_text("is read as")).to_be_visible(timeout=LONG_MS)
    expect(page.get_by_text("1 of them would be left out")).to_be_visible()
    expect(page.get_by_text("thingummybob")).to_be_visible()
    write(page, "Taken in by", "foreman")
    page.get_by_role("button", name="Take in", exact=True).click()
    expect(page.get_by_text("3 rows in = 2 accepted")).to_be_visible(timeout=LONG_MS)


def mend(watched: Watched, address: str) -> None:
    """Put the day right with the keyboard, as on any table: the line stands first, the day is the fifth cell."""
    page = watched.page
    watched.open(f"{address}/records?view=left-out")
    box = page.locator('[data-testid="stVerticalBlock"]').filter(has_text="jobs 2024.csv").last
    table = box.locator('[data-testid="stDataFrame"]').first
    table.scroll_into_view_if_needed()
    table.click(position={"x": 30, "y": 52})
    page.wait_for_timeout(300)
    for _ in range(4):
        page.keyboard.press("ArrowRight")
        page.wait_for_timeout(100)
    page.keyboard.type("28/02/2024", delay=30)
    page.keyboard.press("Enter")
    page.wait_for_timeout(1000)
    watched.settle()
    box.get_by_label("Mended by").fill("foreman")
    box.get_by_label("Mended by").press("Tab")
    watched.settle()
    box.get_by_role("button", name="Take the changed rows again").click()
    expect(page.get_by_text("1 row is in.")).to_be_visible(timeout=LONG_MS)


def settle_a_word(watched: Watched, address: str) -> None:
    page = watched.page
    watched.open(f"{address}/records?view=words")
    write(page, "Settled by", "foreman")
    pick(page, "The word", "thingummybob")
    watched.settle()
    pick(page, "means", "thermostat")
    watched.settle()
    page.get_by_role("button", name="Settle", exact=True).click()
    expect(page.get_by_text("Settled: 1.")).to_be_visible(timeout=LONG_MS)


def write_down(watched: Watched, address: str) -> None:
    page = watched.page
    watched.open(f"{address}/records?view=by-hand&boat=V02")
    page.get_by_text("port · E002", exact=True).click()
    watched.settle()
    pick(page, "Which part?", "stat")
    watched.settle()
    page.get_by_text("renewed", exact=True).click()
    watched.settle()
    write(page, "Who writes this?", "van 2")
    watched.settle()
    page.get_by_role("button", name="Write it down").dblclick()
    expect(page.get_by_text("Written down:")).to_be_visible(timeout=LONG_MS)


def test_the_first_evening(watched: Watched, own_address: str, tmp_path: Path):
    take_in(watched, own_address, tmp_path)
    mend(watched, own_address)
    settle_a_word(watched, own_address)
    write_down(watched, own_address)
    page = watched.page
    page.get_by_role("link", name="All about boat V02").click()
    expect(page.get_by_role("heading", name="V02")).to_be_visible(timeout=LONG_MS)
    watched.settle()
    assert "boat=V02" in page.url


def test_everything_on_the_form_is_large_enough_for_wet_hands(watched: Watched, address: str):
    watched.open(f"{address}/records?view=by-hand&boat=V02")
    heights = watched.page.evaluate(
        "Array.from(document.querySelectorAll('.st-key-wet-hands button, .st-key-wet-hands [data-testid=stTextInput] input'))"
        ".filter(e => e.offsetParent && !e.closest('[data-testid=stNumberInputContainer]') && !e.closest('[data-testid=stSelectbox]'))"
        ".map(e => e.getBoundingClientRect().height)"
    )
    assert len(heights) > 10
    assert min(heights) >= 44


@pytest.mark.parametrize("width", [390, 820, 1440])
@pytest.mark.parametrize("view", ["account", "take-in", "by-hand&boat=V02", "left-out", "words", "pairs", "imports"])
def test_no_view_of_records_is_wider_than_its_window(watched: Watched, address: str, view: str, width: int):
    watched.page.set_viewport_size({"width": width, "height": 900})
    watched.open(f"{address}/records?view={view}")
    main = watched.page.locator('[data-testid="stMain"]')
    assert main.evaluate("element => element.scrollWidth <= element.clientWidth + 1")
