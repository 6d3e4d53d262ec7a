"""Every look at rates and lives in a real browser: drawn by its link, kept in the address, explained, nothing asked outside."""

import pytest
from playwright.sync_api import expect

from dashboard.controls.pickers import LOOKS, PATTERNS
from dashboard.sentences.methods import PARTS
from tests.support.browser import IN_A_BROWSER, Watched

pytestmark = IN_A_BROWSER


@pytest.mark.parametrize("look", LOOKS.values())
def test_each_look_at_a_part_is_drawn_by_its_link(watched: Watched, address: str, look: str):
    watched.open(f"{address}/how-long-parts-last?look={look.replace(' ', '+')}")
    expect(watched.page.get_by_role("radio", name=look)).to_be_checked()
    assert watched.page.locator('[data-testid="stVegaLiteChart"] svg').count() >= 2


@pytest.mark.parametrize("pattern", PATTERNS.values())
def test_each_pattern_is_drawn_by_its_link(watched: Watched, address: str, pattern: str):
    watched.open(f"{address}/what-strands-us?pattern={pattern.replace(' ', '+')}")
    expect(watched.page.get_by_role("radio", name=pattern)).to_be_checked()
    assert watched.page.locator('[data-testid="stVegaLiteChart"] svg').count() >= 3


def test_what_is_picked_stands_in_the_address(watched: Watched, address: str):
    watched.open(f"{address}/how-long-parts-last")
    watched.page.get_by_text("hazard", exact=True).click()
    watched.settle()
    assert "look=hazard" in watched.page.url
    expect(watched.page.get_by_role("heading", name="Hazard")).to_be_visible()


@pytest.mark.parametrize("width", [390, 820])
@pytest.mark.parametrize("place", ["what-strands-us?pattern=boats", "how-long-parts-last?look=groups", "how-it-is-worked-out"])
def test_no_look_is_wider_than_its_window(watched: Watched, address: str, place: str, width: int):
    watched.page.set_viewport_size({"width": width, "height": 900})
    watched.open(f"{address}/{place}")
    main = watched.page.locator('[data-testid="stMain"]')
    assert main.evaluate("element => element.scrollWidth <= element.clientWidth + 1")


def test_a_figure_leads_to_how_it_is_worked_out(watched: Watched, address: str):
    watched.open(f"{address}/how-long-parts-last")
    watched.page.get_by_role("button", name="How to read this").first.click()
    link = watched.page.get_by_role("link", name="How it is worked out").last
    assert link.get_attribute("href") == "how-it-is-worked-out#survival"


def test_the_page_of_methods_sets_its_formulas_and_has_every_anchor(watched: Watched, address: str):
    watched.open(f"{address}/how-it-is-worked-out#survival")
    page = watched.page
    assert page.locator(".katex").count() > 20
    assert page.locator(".katex-error").count() == 0
    for name in (name for names in PARTS.values() for name in names):
        assert page.locator(f"#{name}").count() == 1, name
    # Formulas that are set late push the section down again, so it is asked for once all of them stand.
    page.evaluate("location.hash = ''; location.hash = 'survival'")
    expect(page.get_by_role("heading", name="The share still running")).to_be_in_viewport(timeout=10_000)
