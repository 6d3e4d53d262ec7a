"""A picture of every screen, to be looked at: desktop, tablet and telephone, by day and by night, empty and with the sample fleet.

In: a folder. Out: PNG files named SCREEN-LEDGER-DEVICE-TONES.png, and a line for whatever the pages complained of.
Run: python -m tests.dashboard.gallery FOLDER [--ledger FILE] [--only SCREEN ...]
"""

import argparse
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser

from pipelines.flow.sample import take_in_sample
from pipelines.terms.settings import Settings
from tests.support.browser import Watched, browsing, served
from tests.support.screens import SCREENS, place_of

DEVICES = {"desktop": 1440, "tablet": 820, "telephone": 390}
TONES = {"day": "light", "night": "dark"}
LOWEST, TALLEST = 900, 6000
PAGES = (*SCREENS, "a_call_comes_in", "how_it_is_worked_out")
VIEWS = {
    "what_strands_us": (
        "",
        "pattern=time+of+year",
        "pattern=boats",
        "pattern=adding+up",
        "pattern=costs",
        "of=failures+of+parts&by=by+part",
    ),
    "how_long_parts_last": ("", "look=Weibull+paper", "look=hazard", "look=what+they+die+of", "look=groups&split=by+engine+model"),
    "records": ("", "view=take-in", "view=by-hand&boat=V11", "view=left-out", "view=words", "view=pairs", "view=imports"),
    "what_is_due": ("", "view=boats", "view=weeks&hours=12", "view=calendar", "view=visits&within=120+days", "view=spare-boats"),
    "what_to_stock": ("", "show=shelf", "show=part", "show=budget", "show=kit", "show=form", "show=form&do=received"),
    "one_boat": ("", "boat=V11"),
    "when_to_renew": ("", "component=raw-water+pump+impeller&what-if=of%3Draw-water%2Bpump%2Bimpeller%26failure_cost%3D300"),
    "a_call_comes_in": ("", "boat=V19&symptom=overheats"),
}
"""What stands behind the `?` of a screen that is more than one picture."""


def main() -> int:
    """Make the pictures and return 0; 1 if a page complained or asked for anything outside this machine."""
    wish = _wish()
    wish.folder.mkdir(parents=True, exist_ok=True)
    told: list[str] = []
    with tempfile.TemporaryDirectory() as place, browsing() as browser:
        for name, ledger in _ledgers(Path(place), wish.ledger).items():
            with served(ledger, Path(place)) as address:
                for screen in wish.only:
                    told += _of_screen(browser, address, screen, name, wish.folder)
    print("\n".join(told) or f"{len(list(wish.folder.glob('*.png')))} pictures in {wish.folder}, no complaint, nothing asked outside.")
    return 1 if told else 0


def _wish() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Make a picture of every screen.")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--ledger", type=Path, help="a ledger to show instead of the sample fleet's")
    parser.add_argument("--only", nargs="+", choices=PAGES, default=PAGES, help="only these screens")
    return parser.parse_args()


def _ledgers(place: Path, given: Path | None) -> dict[str, Path]:
    sample = given or place / "sample.duckdb"
    if given is None:
        take_in_sample(sample, Settings())
    return {"empty": place / "none.duckdb", "sample": sample}


def _of_screen(browser: Browser, address: str, screen: str, ledger: str, folder: Path) -> list[str]:
    place = f"{address}/{place_of(screen)}"
    views = VIEWS.get(screen, ("",)) if ledger != "empty" else ("",)
    return [line for view in views for line in _of_view(browser, place, view, f"{screen}{_told(view)}-{ledger}", folder)]


def _told(view: str) -> str:
    return "-" + view.replace("view=", "").replace("=", "-").replace("&", "-") if view else ""


def _of_view(browser: Browser, place: str, view: str, name: str, folder: Path) -> list[str]:
    told: list[str] = []
    for device, width in DEVICES.items():
        for tones, scheme in TONES.items():
            with _page(browser, width, scheme) as watched:
                watched.open(f"{place}?{view}" if view else place)
                _whole_page(watched, width)
                watched.page.screenshot(path=folder / f"{name}-{device}-{tones}.png")
                told += [f"{name} ({device}, {tones}): {line}" for line in watched.outside + watched.complaints]
    return told


@contextmanager
def _page(browser: Browser, width: int, scheme: str) -> Iterator[Watched]:
    context = browser.new_context(viewport={"width": width, "height": LOWEST}, color_scheme=scheme)  # type: ignore[arg-type]
    yield Watched(context.new_page())
    context.close()


def _whole_page(watched: Watched, width: int) -> None:
    """Make the window as high as the page, so that the picture holds all of it."""
    height = watched.page.locator('[data-testid="stMain"]').evaluate("element => element.scrollHeight")
    watched.page.set_viewport_size({"width": width, "height": max(LOWEST, min(height, TALLEST))})
    watched.settle()


if __name__ == "__main__":
    raise SystemExit(main())
