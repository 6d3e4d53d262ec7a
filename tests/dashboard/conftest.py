"""Ledgers and invented answers for the pages."""

import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import polars as pl
import pytest
import streamlit as st
from playwright.sync_api import Browser, ViewportSize

from dashboard import readings, shelves
from pipelines.exports.answer import Answer
from pipelines.flow import (
    answering,
    backtesting,
    boat,
    by_hand,
    coding_queue,
    copies,
    mending,
    packaging,
    pairs,
    plan_history,
    shelf,
    taking,
    week,
)
from pipelines.terms.settings import Settings
from sample_fleet.make import make_fleet
from tests.dashboard import invented, invented_boat, invented_forecasts, invented_patterns, invented_stock, invented_week
from tests.support.browser import Watched, browsing, served

HEAD = {"as_of": invented.TODAY, "ledger_version": 4, "records": 6415, "left_out": 43}
GROUPS = {
    "base": ["Eelgrass Quay", "Saltern Basin"],
    "class": ["day boat", "cabin boat"],
    "model": ["TP-20", "MD-35"],
    "remedy": ["crew briefing", "unknown"],
}


@pytest.fixture(autouse=True)
def _no_answer_of_another_test() -> None:
    st.cache_resource.clear()


@pytest.fixture(scope="session")
def small_ledger(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A ledger of an invented fleet of ten boats over three seasons, taken in once for all tests."""
    folder = tmp_path_factory.mktemp("small")
    make_fleet(folder / "records", boats=10, seasons=3, seed=5)
    taking.take_in(folder / "fleet.duckdb", taking.Wish((folder / "records",), by="test"), Settings())
    return folder / "fleet.duckdb"


@pytest.fixture
def own_ledger(small_ledger: Path, tmp_path: Path) -> Path:
    """A copy of the small ledger, with its published copy, that a test may change."""
    for file in small_ledger.parent.glob(f"{small_ledger.stem}.*"):
        shutil.copy(file, tmp_path / file.name, follow_symlinks=False)
    return tmp_path / small_ledger.name


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """A real browser; for one file of tests, since its event loop would be in the way of pages without a browser."""
    with browsing() as started:
        yield started


@pytest.fixture(scope="module")
def address(small_ledger: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Where the small ledger is served."""
    with served(small_ledger, tmp_path_factory.mktemp("served")) as found:
        yield found


@pytest.fixture
def window() -> ViewportSize:
    """The size of the window a test looks through."""
    return {"width": 1440, "height": 1000}


@pytest.fixture
def watched(browser: Browser, window: ViewportSize) -> Iterator[Watched]:
    """A page that is watched; when the test is over it must have asked nothing outside and complained of nothing."""
    context = browser.new_context(viewport=window, accept_downloads=True)
    page = Watched(context.new_page())
    yield page
    context.close()
    assert page.outside == []
    assert page.complaints == []


@pytest.fixture
def own_address(own_ledger: Path, tmp_path: Path, watched: Watched) -> Iterator[str]:
    """Where a ledger is served that the test may change; the page lets go before the server stops."""
    with served(own_ledger, tmp_path) as found:
        yield found
        watched.page.goto("about:blank")


def invented_rates(
    *_: Any,
    of: str = "calls",
    by: str = "cause",
    compare: tuple[str, str] | None = None,
    with_patterns: bool = False,
) -> Answer:
    """Rates by anything, two of them compared, with patterns where asked."""
    extra: dict[str, Any] = {"exposure_h": 40250.0}
    extra |= invented_patterns.patterns(of) if with_patterns else {}
    extra |= {"ratio": invented_patterns.ratio(*compare)} if compare else {}
    if by == "month":
        return Answer(HEAD, invented.monthly_rates(), extra)
    rows = invented.rates()
    if by in GROUPS:
        rows = rows.head(2).with_columns(pl.Series("group", GROUPS[by]))
    return Answer(HEAD, rows, extra)


def invented_fits(_: Any, scope: Any, *__: Any, by: tuple[str, ...] = (), clock: str = "hours", with_details: bool = False) -> Answer:
    """Fits of all parts or of one, split in two where asked, with what stands behind them."""
    rows = invented.fits().with_columns(pl.lit(clock).alias("clock"))
    if scope.component:
        rows = rows.filter(pl.col("component") == scope.component)
    kind = pl.Struct({"engine_model": pl.String})
    halves = [rows.with_columns(pl.lit({"engine_model": model}, kind).alias("group")) for model in GROUPS["model"]]
    told = pl.concat(halves) if by else rows
    extra = {"details": [invented_patterns.detail(row) for row in told.to_dicts()]} if with_details else {}
    extra |= {"comparisons": [invented_patterns.comparison(scope.component)]} if with_details and by else {}
    return Answer(HEAD, told, extra)


def invented_intervals(_: Any, scope: Any, *__: Any, **___: Any) -> Answer:
    """The verdicts, with cost curves on hours."""
    rows, curve = invented.intervals(), invented.cost_curve()
    if scope.component:
        rows, curve = (frame.filter(pl.col("component") == scope.component) for frame in (rows, curve))
    return Answer(HEAD, rows, {"currency": "EUR", "cost_curve": curve})


ANSWERS: dict[str, Callable[..., Answer]] = {
    "rates": invented_rates,
    "counted": lambda *_, **__: Answer(HEAD, invented_patterns.counted()),
    "lives": lambda *_, **__: Answer(HEAD, invented_patterns.lives()),
    "fits": invented_fits,
    "intervals": invented_intervals,
    "due": lambda *_, **__: Answer(HEAD, invented.due()),
    "stock": lambda *_, **__: Answer(HEAD, invented.stock(), invented_stock.beside()),
    "records": lambda *_, **__: Answer(
        HEAD, invented.reconciliation(), {"left_out_rows": invented.left_out(), "uncoded": invented.uncoded()}
    ),
}

BY_HAND: tuple[tuple[Any, str, Callable[[], Any]], ...] = (
    (boat, "boats", invented_boat.boats),
    (boat, "boat", invented_boat.boat),
    (by_hand, "pick_lists", invented_boat.pick_lists),
    (by_hand, "last_reading", invented_boat.last_reading),
    (coding_queue, "queue", invented_boat.queue),
    (pairs, "doubtful_pairs", invented_boat.pairs),
    (pairs, "settled_pairs", pl.DataFrame),
    (mending, "to_mend", invented_boat.to_mend),
    (readings, "codes_of", lambda: ["thermostat", "drive belt"]),
)
"""What pages look up beside the answers: where it stands, and what stands in for it."""


@pytest.fixture
def invented_flow(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """Let every question be answered with invented figures, and return the path of a ledger that need not be there."""

    @contextmanager
    def no_copy(*_: Any) -> Iterator[SimpleNamespace]:
        yield SimpleNamespace(frame=lambda *_: invented_boat.files())

    monkeypatch.setattr(copies, "current_copy", no_copy)
    for room, name, made in BY_HAND:
        monkeypatch.setattr(room, name, lambda *_, made=made: made())
    for verb, answer in ANSWERS.items():
        monkeypatch.setattr(answering, verb, answer)
    monkeypatch.setattr(shelves, "kits_of", lambda *_: invented_stock.kits())
    monkeypatch.setattr(shelf, "standing", lambda _: invented_stock.standing())
    monkeypatch.setattr(week, "week", lambda *_: invented_week.answer())
    monkeypatch.setattr(packaging, "table_of", lambda *_: Answer(HEAD, invented.rates(), {"query": {}, "currency": "EUR", "remarks": []}))
    monkeypatch.setattr(plan_history, "adoptions", lambda *_: Answer(HEAD, invented.adoptions()))
    monkeypatch.setattr(backtesting, "backtest", lambda *_: Answer(HEAD, invented_forecasts.ROWS, invented_forecasts.extra()))
    return tmp_path / "fleet.duckdb"
