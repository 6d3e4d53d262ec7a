"""Picking one boat, and the links that lead to it from other pages.

In: the boats that the records know. Out: the id of the one picked, kept in the address; links.
Elsewhere: what is shown of it (`screens.one_boat`).
"""

from collections.abc import Sequence
from dataclasses import replace

import polars as pl
import streamlit as st

from dashboard.controls.address import from_address, to_address
from dashboard.readings import Answer
from dashboard.sentences.boat import boat_name, record_lines
from dashboard.sentences.plain import link_words, literal

SCREEN = "screens/one_boat.py"
MOST_LINKS = 8
WIDTH = 320


def pick_boat(boats: pl.DataFrame, label: str = "Boat", name: str = "boat") -> str | None:
    """Pick one boat by typing part of its id or name; `None`: none is picked yet."""
    names = {row["vessel_id"]: boat_name(row) for row in boats.to_dicts()}
    return st.selectbox(
        label,
        list(names),
        index=None,
        format_func=lambda boat: names.get(boat, str(boat)),
        placeholder="Boat: type its number or name",
        key=from_address(name, names),
        label_visibility="collapsed",
        width=WIDTH,
        **to_address(name),
    )


def only_boat(answer: Answer) -> Answer:
    """Keep what an answer says of the boat that the address names, and say so with the way back to all; without one, the whole answer."""
    boat = st.query_params.get("boat", "")
    if not boat:
        return answer
    with st.container(horizontal=True, vertical_alignment="center", key="leads one boat"):
        st.markdown(f"Only boat **{literal(boat)}**.", width="content")
        st.page_link(SCREEN, label=link_words("All about it"), query_params={"boat": boat})
        st.page_link("screens/what_is_due.py", label=link_words("All boats"))
    here = pl.col("vessel_id") == boat
    beside = {name: held.filter(here) for name, held in answer.extra.items() if isinstance(held, pl.DataFrame) and "vessel_id" in held}
    return replace(answer, rows=answer.rows.filter(here), extra=answer.extra | beside)


def show_record(events: pl.DataFrame) -> None:
    """Show the ticket or call that the address names, where the boat has it."""
    asked = events.filter(pl.col("record_id") == st.query_params.get("record", ""))
    if asked.height:
        st.info("  \n".join(record_lines(asked)))


def boat_links(vessel_ids: Sequence[str]) -> None:
    """Show links to the pages of so many boats, the first ones of a long list."""
    with st.container(horizontal=True, gap="small"):
        for vessel_id in vessel_ids[:MOST_LINKS]:
            st.page_link(SCREEN, label=f"All about boat {literal(vessel_id)}", query_params={"boat": vessel_id})
