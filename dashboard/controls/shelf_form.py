"""Counting a shelf, receiving an order, placing one: one number a part, large enough for wet hands, the list's own number beside it.

In: what stands, what a person types. Out: rows in the ledger, said back one by one, with a way to take them back at once.
A form has a number of its own; a second touch on its button writes nothing.
Elsewhere: what a count does not explain (`pipelines.flow.shelf`), keeping it (`changes`).
"""

import secrets
from pathlib import Path
from typing import Any

import polars as pl
import streamlit as st

from dashboard import changes, shelves
from dashboard.changes import ShelfChange
from dashboard.controls.address import from_address, to_address
from dashboard.readings import TowlessError
from dashboard.sentences.plain import literal
from dashboard.sentences.shelf import NO_BASE, button_words, field_label, stands_words

TOUCH = Path(__file__).with_name("touch.css")
DONE = {"counted": "Count the shelf", "received": "Receive an order", "ordered": "Order placed"}
FORM, WRITTEN, NAME = "shelf form now open", "written on the shelf form", "who writes"
MOST_PIECES = 100_000
PLACE = ["part_id", "component", "base"]
NOTHING_OF = {
    "received": "Nothing is on order for this shelf. Pick what has come all the same.",
    "ordered": "The order list has nothing for this shelf. Pick what was ordered all the same.",
}
FILL_IN = {"received": "All of it has come", "ordered": "As the order list says"}


def shelf_form(base: str, advised: pl.DataFrame) -> None:
    """Show the form, or what was written on it.

    Parameters
    ----------
    base
        The filter of the page; empty: any.
    advised
        Rows of `stock`: what the order list says is offered where an order was placed.
    """
    st.html(TOUCH)
    with st.container(key="wet-hands"):
        number = st.session_state.setdefault(FORM, secrets.token_hex(6))
        if (written := st.session_state.get(WRITTEN)) and written["number"] == number:
            _said_back(written)
            return
        stands = shelves.standing()
        if stands.is_empty():
            st.info(
                "No part is on any shelf list yet. Take in `parts` first: what is on hand, the lead time and the price of each, by base."
            )
            return
        done, here = _pick(stands, base)
        rows = _rows_of(here.join(advised.select(*PLACE, "order_quantity"), on=PLACE, how="left", nulls_equal=True), done, number)
        pieces = {row["row_id"]: _field(row, done, number) for row in rows}
        _write(done, [(row, pieces[row["row_id"]]) for row in rows if pieces[row["row_id"]] is not None], number)


def _pick(stands: pl.DataFrame, base: str) -> tuple[str, pl.DataFrame]:
    key = from_address("do", DONE)
    st.session_state.setdefault(key, "counted")
    done = st.segmented_control("What was done", list(DONE), required=True, format_func=DONE.__getitem__, key=key, **to_address("do"))
    bases = [word or NO_BASE for word in stands["base"].unique(maintain_order=True).to_list()]
    offered = [base] if base in bases else bases
    where = st.selectbox("Which shelf?", offered, key="which shelf") if len(offered) > 1 else offered[0]
    return done or "counted", stands.filter(pl.col("base").fill_null(NO_BASE) == where)


def _rows_of(here: pl.DataFrame, done: str, number: str) -> list[dict[str, Any]]:
    """All parts of a shelf to count; of an order what is coming or was advised, with any other part that is picked."""
    if done == "counted":
        return here.to_dicts()
    coming = here.filter(pl.col("on_order" if done == "received" else "order_quantity") > 0)
    rest = {row["row_id"]: row for row in here.filter(~pl.col("row_id").is_in(coming["row_id"].implode())).to_dicts()}
    if coming.is_empty():
        st.caption(NOTHING_OF[done])
    elif st.button(FILL_IN[done], key=f"{number} {done} fill in"):
        offered = {row["row_id"]: row["on_order" if done == "received" else "order_quantity"] for row in coming.to_dicts()}
        st.session_state.update({f"{number} {done} {row_id}": pieces for row_id, pieces in offered.items()})
    more = st.multiselect(
        "Another part",
        list(rest),
        format_func=lambda row_id: f"{rest[row_id]['part_id']} {rest[row_id]['label'] or rest[row_id]['component']}",
        placeholder="type its number or name",
        key=f"{number} {done} more",
    )
    return [*coming.to_dicts(), *(rest[row_id] for row_id in more)]


def _field(row: dict[str, Any], done: str, number: str) -> int | None:
    """Show one part with its field; a count that differs is told beneath it at once."""
    words, field = st.columns([3, 2], vertical_alignment="center", gap="small")
    words.markdown(f"{field_label(row)}  \n:small[{stands_words(row)}]")
    found = field.number_input(
        f"{row['part_id']} {done}",
        0 if done == "counted" else 1,
        MOST_PIECES,
        None,
        1,
        key=f"{number} {done} {row['row_id']}",
        placeholder=done,
        label_visibility="collapsed",
    )
    if found is not None and done == "counted":
        said = shelves.difference(int(found), row["on_hand"] or 0, row["used"], row["since_on"])
        (words.caption if said.startswith("As") or said.endswith("as it should be.") else words.warning)(literal(said))
    return None if found is None else int(found)


def _write(done: str, given: list[tuple[dict[str, Any], int | None]], number: str) -> None:
    by = st.text_input("Who writes this?", key=NAME)
    because = st.text_input("Why, or which delivery note (may stay empty)", key=f"{number} because")
    wanted = [ShelfChange(row["part_id"], done, pieces, row["base"] or "") for row, pieces in given if pieces is not None]
    if st.button(button_words(done, len(wanted)), type="primary", width="stretch", disabled=not wanted, key=f"{number} save"):
        try:
            written = changes.write_shelf(wanted, by, because, number)
        except TowlessError as refusal:
            st.warning(literal(refusal))
            return
        st.session_state[WRITTEN] = {"number": number, "what": written, "by": by, "told": written.told}
        st.rerun()


def _said_back(written: dict[str, Any]) -> None:
    if written.get("taken back"):
        st.info("Taken back: what stood there before stands again, and this is kept in the history of the records.")
    else:
        st.success("\n".join(f"- {literal(line)}" for line in written["told"]))
        st.caption("It is safe. Every figure is being made anew from it and follows in a moment.")
        if st.button("Take it back", width="stretch", key=f"{written['number']} back"):
            changes.take_back(written["what"], written["by"])
            written["taken back"] = True
            st.rerun()
    if st.button("Write down more", type="primary", width="stretch", key=f"{written['number']} another"):
        del st.session_state[FORM]
        st.rerun()
