"""Papers that a page can print: one touch makes the PDF and takes it away.

In: names of papers, the filters. Out: a popover with buttons. A paper is made when it is asked for, not when the page is shown.
Elsewhere: what stands on each paper (`pipelines.exports.papers`).
"""

from collections.abc import Sequence
from functools import partial

import streamlit as st

from dashboard import readings
from dashboard.readings import Scope

SIZES = {"a4": "A4", "letter": "Letter"}
SAID = "Each page says that the maker's manual, local codes and a licensed technician come first."


def papers(names: Sequence[str], scope: Scope, days: int = 30, boat: str = "") -> None:
    """Show a popover with a button for each paper, in the size that is picked."""
    with st.popover("Print"):
        size = st.segmented_control(
            "Sheet", list(SIZES), default="a4", required=True, format_func=SIZES.__getitem__, key="sheet", label_visibility="collapsed"
        )
        for name, paper in readings.papers(names).items():
            st.download_button(
                f"{paper.title} (PDF)",
                partial(readings.paper, name, scope, size or "a4", days, boat),
                f"{name}{'-' + boat if boat else ''}.pdf",
                "application/pdf",
                on_click="ignore",
                help=f"{paper.purpose[:1].upper()}{paper.purpose[1:]}.",
                key=f"print {name}",
                width="stretch",
            )
        st.caption(SAID)
