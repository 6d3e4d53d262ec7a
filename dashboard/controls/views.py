"""The views of Records, kept in the address; those that hold work for a person say how much of it waits.

In: what waits. Out: the view that was picked.
"""

import polars as pl
import streamlit as st

from dashboard import wayfinding
from dashboard.controls.address import from_address, to_address

VIEWS = {
    "account": "What became of it",
    "take-in": "Take in files",
    "by-hand": "Write one down",
    "left-out": "Left out",
    "words": "Words",
    "pairs": "Calls and tickets",
    "imports": "Imports",
}


def pick_view(waiting: dict[str, pl.DataFrame]) -> str:
    """Pick a view of Records."""
    waits = wayfinding.counts_waiting(waiting)
    counts = {"left-out": waits["left out"], "words": waits["words"] + waits["suggestions"], "pairs": waits["pairs"]}
    key = from_address("view", VIEWS)
    st.session_state.setdefault(key, "account")
    picked = st.segmented_control(
        "View",
        list(VIEWS),
        required=True,
        format_func=lambda view: f"{VIEWS[view]} ({counts[view]:,})" if counts.get(view) else VIEWS[view],
        key=key,
        label_visibility="collapsed",
        **to_address("view"),
    )
    return picked or "account"
