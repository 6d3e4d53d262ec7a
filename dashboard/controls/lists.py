"""Order list, shelf list and kit list to print or take away, each with the very figures that the page shows.

In: names of lists, filters, what the page was asked with. Out: a popover with buttons; a file is made when it is asked for.
Elsewhere: other papers (`papers`), what stands on them (`pipelines.exports`).
"""

from collections.abc import Sequence
from functools import partial

import streamlit as st

from dashboard import shelves
from dashboard.controls.papers import SAID, SIZES
from dashboard.readings import Scope
from dashboard.sentences.plain import literal
from dashboard.shelves import Wish

KINDS = {"pdf": "PDF", "xlsx": "XLSX", "csv": "CSV"}


def take_lists(names: Sequence[str], scope: Scope, wish: Wish, limits: tuple[float | None, float | None] = (None, None)) -> None:
    """Show a popover with a button for each list and form, in the size of sheet that is picked."""
    with st.popover("Print or take away"):
        size = st.segmented_control(
            "Sheet", list(SIZES), default="a4", required=True, format_func=SIZES.__getitem__, key="sheet", label_visibility="collapsed"
        )
        for name in names:
            for form, kind in KINDS.items():
                st.download_button(
                    literal(f"{shelves.title_of(name)} ({kind})"),
                    partial(shelves.listing, name, form, scope, wish, size or "a4", limits),
                    f"{name}.{form}",
                    shelves.FORMS[form],
                    on_click="ignore",
                    key=f"take {name} {form}",
                    width="stretch",
                )
        st.caption(SAID)
