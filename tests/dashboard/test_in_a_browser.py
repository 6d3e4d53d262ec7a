"""The main path in a real browser: open, filter, read a verdict, take a table away; nothing asked of the internet."""

from pathlib import Path

import polars as pl
import pytest
from playwright.sync_api import Browser, expect

from dashboard import readings
from dashboard.readings import Scope
from pipelines.flow import taking
from pipelines.terms.settings import Settings
from tests.support.browser import IN_A_BROWSER, Watched, served
from tests.support.screens import DRAWN, SCREENS, place_of, showing

pytestmark = IN_A_BROWSER


def test_open_filter_read_a_verdict_take_a_table_away(watched: Watched, address: str, small_ledger: Path):
    with showing(small_ledger):
        base = readings.choices().bases[0]
        rates = readings.ask("rates", Scope(base=base), of="calls", by="cause").rows
        verdict = readings.ask("intervals", Scope(base=base)).rows
    watched.open(f"{address}/what-strands-us")
    page = watched.page
    expect(page.get_by_role("heading", name="What strands us")).to_be_visible()

    page.get_by_label("Only one base").click()
    page.get_by_role("option", name=base).click()
    expect(page.get_by_text(f"{rates['events'].sum()} calls")).to_be_visible()
    watched.settle()
    assert f"base={base.replace(' ', '+')}" in page.url

    page.get_by_role("button", name="The figures").first.click()
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Take calls-by-cause.csv").click()
    taken = pl.read_csv(Path(waiting.value.path()))
    assert taken["events"].to_list() == rates["events"].to_list()
    assert taken["rate"].to_list() == rates["rate"].to_list()
    page.keyboard.press("Escape")

    page.get_by_role("link", name="When to renew").click()
    expect(page.get_by_role("heading", name="Every part")).to_be_visible(timeout=60_000)
    watched.settle()
    assert f"base={base.replace(' ', '+')}" in page.url
    reasons = [row["reason"] for row in verdict.to_dicts()]
    shown = page.locator('[data-testid="stMain"]').inner_text()
    assert any(reason in shown for reason in reasons)
    expect(page.get_by_text("The maker's manual, local codes, warranty terms")).to_be_visible()


@pytest.mark.parametrize("screen", DRAWN)
def test_every_screen_opens_by_its_link_and_draws_its_pictures(watched: Watched, address: str, screen: str):
    watched.open(f"{address}/{place_of(screen)}")
    assert watched.page.locator('[data-testid="stVegaLiteChart"] svg').count() >= 1
    assert watched.page.locator('[data-testid="stException"]').count() == 0


def test_a_link_opens_the_same_view_in_another_browser(browser: Browser, watched: Watched, address: str):
    watched.open(f"{address}/how-long-parts-last")
    page = watched.page
    page.get_by_text("months", exact=True).click()
    watched.settle()
    link = page.url
    assert "clock=months" in link
    other = Watched(browser.new_context().new_page())
    other.open(link)
    expect(other.page.get_by_role("radio", name="months")).to_be_checked()
    assert other.complaints == []


def test_the_way_back_is_the_browsers_own(watched: Watched, address: str):
    watched.open(address)
    watched.page.get_by_role("link", name="Records").click()
    expect(watched.page.get_by_role("heading", name="Records")).to_be_visible()
    watched.settle()
    watched.page.go_back()
    expect(watched.page.get_by_role("heading", name="This week")).to_be_visible()
    watched.settle()


@pytest.mark.parametrize("width", [390, 820, 1440])
@pytest.mark.parametrize("screen", SCREENS)
def test_no_page_is_wider_than_its_window(watched: Watched, address: str, screen: str, width: int):
    watched.page.set_viewport_size({"width": width, "height": 900})
    watched.open(f"{address}/{place_of(screen)}")
    main = watched.page.locator('[data-testid="stMain"]')
    assert main.evaluate("element => element.scrollWidth <= element.clientWidth + 1")


HOSTILE = "![x](http://far.example/a.png) <img src='http://far.example/b.png'> :material/bolt: $e^x$"


@pytest.fixture(scope="module")
def hostile_ledger(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A ledger whose names, bases, models, parts and notes try to be markup."""
    folder = tmp_path_factory.mktemp("hostile")
    boats = [f"{HOSTILE} {number}" for number in range(3)]
    engines = [f"engine {boat}" for boat in boats]
    books = {
        "vessels": {"vessel_id": boats, "base": [HOSTILE] * 3, "vessel_class": [HOSTILE] * 3, "in_service_on": ["2019-04-01"] * 3},
        "engines": {"engine_id": engines, "vessel_id": boats, "engine_model": [HOSTILE] * 3, "commissioned_on": ["2019-04-01"] * 3},
        "components": {"component": [HOSTILE], "carried_by": ["engine"]},
        "fitted": {"component": [HOSTILE]},
        "costs": {"component": [HOSTILE], "planned_cost": ["20"], "failure_cost": ["200"], "currency": ["EUR"]},
        "hour_readings": {
            "engine_id": engines * 2,
            "read_on": ["2020-04-01"] * 3 + ["2024-10-01"] * 3,
            "meter_h": ["200"] * 3 + ["1900"] * 3,
        },
        "service_tickets": {
            "engine_id": engines * 2,
            "done_on": ["2021-05-01"] * 3 + ["2023-06-01"] * 3,
            "component": [HOSTILE] * 6,
            "action": ["renew"] * 6,
            "reason": ["failed"] * 6,
            "notes": [HOSTILE] * 6,
        },
        "rescue_calls": {"vessel_id": boats, "called_at": ["2021-05-01"] * 3, "symptom": [HOSTILE] * 3, "cause": [HOSTILE] * 3},
    }
    (folder / "records").mkdir()
    for kind, columns in books.items():
        pl.DataFrame(columns).write_csv(folder / "records" / f"{kind}.csv")
    taking.take_in(folder / "fleet.duckdb", taking.Wish((folder / "records",), by=HOSTILE), Settings())
    return folder / "fleet.duckdb"


def test_names_that_try_to_be_markup_stay_names(watched: Watched, hostile_ledger: Path, tmp_path: Path):
    with served(hostile_ledger, tmp_path) as address:
        for screen in SCREENS:
            watched.open(f"{address}/{place_of(screen)}")
            main = watched.page.locator('[data-testid="stMain"]')
            assert main.locator("img").count() == 0, screen
            assert watched.page.locator('[data-testid="stException"]').count() == 0, screen
        watched.page.goto("about:blank")  # the page would complain of the server that is about to stop
