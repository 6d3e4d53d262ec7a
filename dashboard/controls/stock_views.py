"""The views of What to stock: what to order, the shelf, one part, a budget. Each asks, calls and shows.

In: the answer `stock`, what it was asked with. Out: elements of the page.
Elsewhere: the kit aboard (`kit_view`), counting and receiving (`shelf_form`), lists as files (`lists`).
"""

from dataclasses import dataclass

import polars as pl
import streamlit as st

from dashboard import readings, shelves
from dashboard.charts.part_use import part_use_chart, running_out_chart
from dashboard.charts.shelf import budget_chart, shelf_chart
from dashboard.controls.address import from_address, to_address
from dashboard.controls.lists import take_lists
from dashboard.controls.showing import beneath, figures, picture, table
from dashboard.readings import Answer, Scope
from dashboard.sentences import how_to_read, stock_to_read
from dashboard.sentences.plain import counted
from dashboard.sentences.stock import (
    budget_words,
    by_supplier,
    coming_words,
    lists_words,
    marks_frame,
    months_frame,
    part_line,
    part_words,
    step_of,
    top_of,
    use_frame,
)
from dashboard.sentences.work import order_words, shelf_lines
from dashboard.shelves import Wish

VIEWS = {
    "order": "To order",
    "shelf": "The shelf",
    "part": "One part",
    "budget": "A budget",
    "kit": "Kit aboard",
    "form": "Count and receive",
}
MOST_ROWS = 16
LEVELS = {"0.9": "90 % sure", "0.95": "95 % sure", "0.99": "99 % sure"}


@dataclass(frozen=True)
class Shown:
    """What a view shows: the answer, the filters and wish it was asked with, the currency of the costs."""

    answer: Answer
    scope: Scope
    wish: Wish
    currency: str

    @property
    def rows(self) -> pl.DataFrame:
        """Rows of the answer."""
        return self.answer.rows


def pick_view() -> str:
    """Pick a view; it stands in the address by a word of its own."""
    key = from_address("show", VIEWS)
    st.session_state.setdefault(key, "order")
    picked = st.segmented_control(
        "View", list(VIEWS), required=True, format_func=VIEWS.__getitem__, key=key, label_visibility="collapsed", **to_address("show")
    )
    return picked or "order"


def pick_level() -> float:
    """Pick how sure to be of not running out over the lead time."""
    usual = f"{shelves.usual_level():g}"
    offered = LEVELS if usual in LEVELS else {usual: f"{float(usual):.1%} sure", **LEVELS}
    key = from_address("level", offered)
    st.session_state.setdefault(key, usual)
    picked = st.selectbox(
        "How sure", list(offered), format_func=offered.__getitem__, key=key, label_visibility="collapsed", width=130, **to_address("level")
    )
    return float(picked or usual)


def order_view(shown: Shown) -> None:
    """Show what to order now, supplier by supplier."""
    st.markdown(f"{order_words(shown.rows, shown.currency)} {coming_words(shown.rows)}", help=how_to_read.TERMS["order"])
    take_lists(("order-list", "shelf-list"), shown.scope, shown.wish)
    told = readings.meanings("stock") | {"packs": "Packs that make up the order."}
    for place, (heading, lines) in enumerate(by_supplier(shown.rows, shown.currency)):
        st.subheader(heading, anchor=False)
        table(lines.select(name for name in lines.columns if lines[name].is_not_null().any()), told, f"order {place + 1}")
    short = shelf_lines(shown.rows.filter(pl.col("order_quantity") > 0))
    if short.height:
        st.subheader("How they stand", anchor=False)
        _shelf_picture(short.head(MOST_ROWS), short.select(shown.rows.columns), "to-order")


def shelf_view(shown: Shown) -> None:
    """Show every part on the shelf against its use."""
    lines = shelf_lines(shown.rows)
    _shelf_picture(lines.head(MOST_ROWS), shown.rows, "shelf")
    if lines.height > MOST_ROWS:
        st.caption(f"{counted(lines.height - MOST_ROWS, 'part more stands', 'parts more stand')} in the list below, most to order first.")
    st.subheader("The list", anchor=False)
    figures(lines.select(shown.rows.columns), "stock", "shelf-list")
    take_lists(("shelf-list",), shown.scope, shown.wish)


def _shelf_picture(lines: pl.DataFrame, rows: pl.DataFrame, file_name: str) -> None:
    st.caption("Bar: on the shelf · dot: expected use, with its range · ❘ order at")
    drawn = picture(shelf_chart, lines, alt="On the shelf against expected use and reorder point")
    beneath(how_to_read.SHELF, rows, "stock", file_name, shown=drawn)


def part_view(shown: Shown) -> None:
    """Show one part: its use over the lead time and the season, and when it runs out."""
    rows = shelf_lines(shown.rows).to_dicts()
    lines = [part_line(row) for row in rows]
    key = from_address("part", lines)
    if st.session_state.get(key) not in lines:
        st.session_state[key] = lines[0]
    picked = st.selectbox("Part", lines, key=key, label_visibility="collapsed", **to_address("part"))
    row = rows[lines.index(picked or lines[0])]
    st.markdown(part_words(row, shown.currency, shown.wish.level))
    position = (row["on_hand"] or 0) + (row["on_order"] or 0)
    left, right = st.columns(2, gap="large")
    windows = ((left, "lead", "Over the lead time", ("here", "order at")), (right, "season", "Over the season", ("here", "order up to")))
    for place, window, heading, sorts in windows:
        with place:
            st.subheader(heading, anchor=False)
            use = use_frame(row[f"{window}_use"], position)
            if use.is_empty():
                st.info("Its use cannot be told: " + (row["note"] or "nothing asks for it."))
                continue
            drawn = picture(part_use_chart, use, marks_frame(row, *sorts), "pieces used", alt=f"{heading}: chance of each number of pieces")
            beneath(stock_to_read.USE, use, "stock", f"use-{window}", shown=drawn)
    _running_out(shown, row)


def _running_out(shown: Shown, row: dict) -> None:
    months = months_frame(row["running_out"])
    if months.is_empty():
        return
    st.subheader("When it runs out", anchor=False)
    drawn = picture(running_out_chart, months, shown.wish.level, alt="Chance of having run out by the end of each month")
    beneath(stock_to_read.RUNNING_OUT, months, "stock", "running-out", shown=drawn)


def budget_view(shown: Shown) -> None:
    """Show what a sum of money buys, against plain rules."""
    purchases, lists = (readings.extra_frame(shown.answer, name) for name in ("purchases", "lists"))
    if purchases.height < 2:
        st.info("No budget curve: no part has both a price and an expected use, or nothing is missing.")
        return
    top = top_of(purchases)
    given = st.slider(
        f"Money ({shown.currency or 'no currency recorded'})",
        0.0,
        top,
        min(top, top / 4),
        step_of(top),
        "%.0f",
        key="money",
        bind="query-params",
    )
    listed, level = shelves.bought(purchases, given)
    st.markdown(budget_words(listed, level, given, shown.currency))
    left, right = st.columns([3, 2], gap="large")
    with left:
        curve = readings.extra_frame(shown.answer, "budget_curve")
        drawn = picture(
            budget_chart, curve, shown.currency, given, lists, alt="Share of what is asked for that is on the shelf against money"
        )
        beneath(stock_to_read.BUDGET, purchases, "budget_curve", "budget-curve", shown=drawn)
        st.markdown("\n".join(f"- {line}" for line in lists_words(lists, shown.currency)))
    with right:
        st.subheader("The list for it", anchor=False)
        if listed.is_empty():
            st.info("So little money buys no pack; nothing is bought in part.")
        else:
            figures(listed, "stock", "list-for-budget")
            take_lists(("order-list",), shown.scope, Wish(shown.wish.horizon, shown.wish.level, given or None))
