"""Picking one boat, and the links that lead to it from other pages.

In: the boats that the records know. Out: the id of the one picked, kept in the address; links.
Elsewhere: what is shown of it (`screens.one_boat`).
"""

from collections.abc import Sequence

import polars as pl
import streamlit as st

from dashboard.controls.address import from_address, to_address
from dashboard.sentences.boat import boat_name
from dashboard.sentences.plain import literal

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


def boat_links(vessel_ids: Sequence[str]) -> None:
    """Show links to the pages of so many boats, the first ones of a long list."""
    with st.container(horizontal=True, gap="small"):
        for vessel_id in vessel_ids[:MOST_LINKS]:
            st.page_link(SCREEN, label=f"All about boat {literal(vessel_id)}", query_params={"boat": vessel_id})
