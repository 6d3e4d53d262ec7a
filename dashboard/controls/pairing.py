"""Calls and ticket lines that may be one breakdown, side by side, for a person to say; what was said is remembered.

In: the doubtful pairs. Out: same breakdown or not, with a name. A pair nobody settled stays doubtful.
"""

from typing import Any

import polars as pl
import streamlit as st

from dashboard import changes, readings
from dashboard.controls.showing import figures
from dashboard.readings import Pair, TowlessError
from dashboard.sentences.intake import pair_sides, pair_words
from dashboard.sentences.plain import counted, literal

DONE, NAME = "pairs settled here", "who settles pairs"
SHOWN = 5


def pairing_view() -> None:
    """Show the first pairs that wait, the likeliest first, and those that were settled."""
    waiting = readings.waiting()
    done = st.session_state.setdefault(DONE, set())
    pairs = [row for row in waiting["pairs"].to_dicts() if (row["call_row_id"], row["ticket_row_id"]) not in done]
    if not pairs:
        st.info("No pair waits: each call has its ticket for certain, or has none that could be its own.")
    else:
        st.markdown(
            f"**{counted(len(pairs), 'pair waits', 'pairs wait')}.** One breakdown must count as one failure: say which are the same."
        )
        by = st.text_input("Settled by", key=NAME, width=320)
        for row in pairs[:SHOWN]:
            _pair(row, by)
        if len(pairs) > SHOWN:
            st.caption(f"The {SHOWN} likeliest are shown; the next ones follow as these are settled.")
        figures(pl.DataFrame(pairs), "doubtful_pairs", "doubtful-pairs")
    if waiting["settled"].height:
        with st.expander(f"Settled: {counted(waiting['settled'].height, 'pair', 'pairs')}"):
            figures(waiting["settled"], "settled_pairs", "settled-pairs")


def _pair(row: dict[str, Any], by: str) -> None:
    name = f"{row['call_row_id']} {row['ticket_row_id']}"
    with st.container(border=True):
        st.markdown(pair_words(row))
        call, ticket = pair_sides(row)
        left, right = st.columns(2)
        left.markdown("  \n".join([f"**The call** {literal(row['call_id'] or '')}", *call]))
        right.markdown("  \n".join([f"**The ticket** {literal(row['ticket_id'] or '')}", *ticket]))
        if left.button("Same breakdown", key=f"same {name}", width="stretch"):
            _settle(row, by, same=True)
        if right.button("Not the same", key=f"not {name}", width="stretch"):
            _settle(row, by, same=False)


def _settle(row: dict[str, Any], by: str, *, same: bool) -> None:
    try:
        changes.keep_settled([Pair(row["call_row_id"], row["ticket_row_id"], same)], by)
    except TowlessError as refusal:
        st.warning(literal(refusal))
        return
    st.session_state[DONE] |= {(row["call_row_id"], row["ticket_row_id"])}
    st.rerun()
