"""Opening screens without a browser, and reading what stands on them.

In: a screen's file, a ledger, an address. Out: the finished page. What differs between versions of Streamlit sits here.
Elsewhere: the real browser (`browser`).
"""

import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import Any

from streamlit.testing.v1 import AppTest

import dashboard
from dashboard.serve import LEDGER_VARIABLE

APP = Path(dashboard.__file__).with_name("app.py")
SCREENS = (
    "this_week",
    "what_strands_us",
    "how_long_parts_last",
    "when_to_renew",
    "what_is_due",
    "what_to_stock",
    "were_we_right",
    "one_boat",
    "records",
    "take_the_figures",
)
DRAWN = tuple(screen for screen in SCREENS if screen not in ("this_week", "take_the_figures"))
"""The screens that show pictures; the week is told in sentences, and what is taken away in tables."""
PATIENCE_S = 60


@contextmanager
def showing(ledger: Path) -> Iterator[None]:
    """Let the pages show `ledger` while the block runs."""
    before = os.environ.get(LEDGER_VARIABLE)
    os.environ[LEDGER_VARIABLE] = str(ledger)
    try:
        yield
    finally:
        if before is None:
            del os.environ[LEDGER_VARIABLE]
        else:
            os.environ[LEDGER_VARIABLE] = before


def open_screen(name: str, ledger: Path, address: Mapping[str, str] | None = None, *, night: bool = False) -> AppTest:
    """Open one screen on a ledger at an address (what stands behind the `?`) and return the finished page."""
    page = _fresh()
    page.context["theme"] = "dark" if night else "light"
    page.query_params.update(address or {})
    with showing(ledger):
        if name != SCREENS[0]:  # a link opens its page alone: what the first page holds is not there yet
            page._registered_pages = _pages()
            page.switch_page(f"screens/{name}.py")
        return page.run()


def _fresh() -> AppTest:
    return AppTest.from_file(str(APP), default_timeout=PATIENCE_S)


@cache
def _pages() -> Any:
    """Return the pages that the app offers, from a run of its own."""
    with showing(APP.with_name("no ledger.duckdb")):
        return _fresh().run()._registered_pages


def run(page: AppTest, ledger: Path) -> AppTest:
    """Run a page again after something on it was changed."""
    with showing(ledger):
        return page.run()


def place_of(name: str) -> str:
    """Return the address of a screen below the server's own."""
    return "" if name == SCREENS[0] else name.replace("_", "-")


def pictures(page: AppTest) -> list[str]:
    """Return what each picture on the page is, as a screen reader says it."""
    return [picture.proto.alt for picture in page.get("vega_lite_chart")]


def downloads(page: AppTest) -> list[str]:
    """Return the labels of the buttons that take a table away."""
    return [button.proto.label for button in page.get("download_button")]


def words(page: AppTest) -> str:
    """Return everything the page says in sentences."""
    told = [*page.title, *page.subheader, *page.markdown, *page.caption, *page.info, *page.warning, *page.success]
    return "\n".join(element.value for element in told)
