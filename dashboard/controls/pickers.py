"""Pickers that belong to a page: the part, what rows are made by, which clock. All stand in the address.

In: what can be picked. Out: what was picked. Each says in itself what it picks; its label is for screen readers.
Elsewhere: the filters that every page has (`filters`).
"""

from collections.abc import Sequence
from contextlib import AbstractContextManager
from typing import Any

import polars as pl
import streamlit as st

from dashboard.sentences.plain import literal, row_name

WIDTH, PART_WIDTH, PAIR_WIDTH = 150, 260, 230
EVENTS = {"calls": "rescue calls", "failures": "failures of parts"}
BREAKDOWNS = {
    "cause": "by cause",
    "system": "by system",
    "symptom": "by symptom",
    "component": "by part",
    "base": "by base",
    "class": "by class",
    "model": "by engine model",
    "vessel": "by boat",
}
CLOCKS = {"hours": "engine hours", "months": "months"}
SPLITS = {"": "whole fleet", "model": "by engine model", "water": "by water", "base": "by base"}
PATTERNS = {"months": "month by month", "seasons": "time of year", "boats": "boats", "recurrence": "adding up", "costs": "costs"}
OF_FAILURES = ("months", "seasons", "boats")
LOOKS = {"curve": "still running", "paper": "Weibull paper", "hazard": "hazard", "endings": "what they die of", "groups": "groups"}
HORIZONS = {"60": "2 months", "120": "4 months", "240": "8 months", "365": "12 months"}
LOOK_AHEAD = {"14": "2 weeks", "30": "30 days", "60": "60 days", "120": "120 days"}


def row_of_pickers() -> AbstractContextManager[Any]:
    """Return a row for pickers and filters that goes on in the next line where it is full."""
    return st.container(horizontal=True, gap="small", vertical_alignment="center")


def pick_events() -> str:
    """Pick what is counted: calls or failures."""
    return _segments("What is counted", EVENTS, "of")


def pick_breakdown(of: str) -> str:
    """Pick what the rows of the rates of calls or failures are; a symptom is what a caller sees, so failures have none."""
    offered = {by: words for by, words in BREAKDOWNS.items() if of == "calls" or by != "symptom"}
    return _select("One row for each", offered, "by", WIDTH)


def pick_pattern(of: str) -> str:
    """Pick what is looked at behind the rates; how failures of parts add up is what the next page is for."""
    return _segments("Look at", {key: words for key, words in PATTERNS.items() if of == "calls" or key in OF_FAILURES}, "pattern")


def pick_look() -> str:
    """Pick how the lives of a part are looked at."""
    return _segments("Look at", LOOKS, "look")


def pick_pair(names: Sequence[str]) -> tuple[str, str] | None:
    """Pick two rows to compare, the first two where none is picked yet; `None` where there are not two."""
    if len(names) < 2:
        return None
    st.subheader("Two rows compared", anchor=False)
    with row_of_pickers():
        one = _select("Compare", {name: name for name in names}, "one", PAIR_WIDTH)
        others = [name for name in names if name != one]
        return one, _select("with", {name: f"against {name}" for name in others}, "other", PAIR_WIDTH)


def pick_clock() -> str:
    """Pick whether age is told in engine hours or in months."""
    return _segments("Age told in", CLOCKS, "clock")


def pick_split() -> str:
    """Pick what the lives are split by; empty: not split."""
    return _select("Split", SPLITS, "split", WIDTH)


def pick_component(names: Sequence[str]) -> str:
    """Pick one part of those named; the first where none is picked yet."""
    return _select("Part", {name: name for name in names}, "component", PART_WIDTH)


def pick_look_ahead() -> int:
    """Pick how many days ahead the list looks."""
    return int(_segments("Look ahead", LOOK_AHEAD, "within", "30"))


def pick_horizon() -> int:
    """Pick how many days the shelf has to last: before a season starts, long enough to reach its end."""
    return int(_segments("Stock for", HORIZONS, "horizon", "120"))


def pick_marked_season(seasons: Sequence[str]) -> str:
    """Pick one of the seasons that were marked; the first where none is picked yet."""
    return _select("Season", {season: f"season {season}" for season in seasons}, "marked", WIDTH)


def pick_row(rows: pl.DataFrame) -> int:
    """Pick one row of a split answer by its group; its place."""
    told = rows.to_dicts()
    names = [row_name("", row["group"]).strip(" ·") for row in told]
    picked = _select("Curve of", {name: name for name in names}, "row", PART_WIDTH)
    return names.index(picked)


def pick_engine(engines: Sequence[str]) -> str:
    """Pick one engine of a boat that has or had several; empty where it has none."""
    if len(engines) < 2:
        return next(iter(engines), "")
    return _segments("Engine", {engine: f"engine {literal(engine)}" for engine in engines}, "engine")


def pick_past_or_ahead() -> str:
    """Pick whether past seasons are marked or the season that comes is foretold: `past` or `ahead`."""
    return _segments("Seasons", {"past": "Past seasons", "ahead": "The season that comes"}, "seasons")


def _select(label: str, options: dict[str, str], key: str, width: int) -> str:
    shown = options.__getitem__
    picked = st.selectbox(label, list(options), format_func=shown, key=key, bind="query-params", label_visibility="collapsed", width=width)
    return picked or next(iter(options))


def _segments(label: str, options: dict[str, str], key: str, first: str | None = None) -> str:
    default = first or next(iter(options))
    picked = st.segmented_control(
        label,
        list(options),
        default=default,
        required=True,
        format_func=options.__getitem__,
        key=key,
        bind="query-params",
        label_visibility="collapsed",
    )
    return picked or default
