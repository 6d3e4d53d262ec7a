"""What is picked to be taken away: a table, the form of its file, what stands in the package beside CSV.

In: the tables that are offered. Out: what was picked, kept in the address; buttons that make a file when they are touched.
Elsewhere: the files (`taking_away`), the filters (`filters`).
"""

from functools import partial

import streamlit as st

from dashboard import taking_away
from dashboard.controls.address import from_address, to_address
from dashboard.controls.showing import take, take_in_forms
from dashboard.readings import Scope
from dashboard.taking_away import MEDIA, OFFERED

FORMS = ("csv", "xlsx", "parquet", "json")
BESIDE = {"xlsx": "XLSX", "parquet": "Parquet"}
WIDTH = 330
FIRST = "rates"


def pick_table() -> str:
    """Pick a table of the package."""
    key = from_address("table", OFFERED)
    st.session_state.setdefault(key, FIRST)
    picked = st.selectbox(
        "Table",
        list(OFFERED),
        format_func=OFFERED.__getitem__,
        key=key,
        label_visibility="collapsed",
        width=WIDTH,
        **to_address("table"),
    )
    return picked or FIRST


def take_table(name: str, scope: Scope, rows: int) -> None:
    """Show a button for each form of one table's file."""
    take_in_forms({form: partial(taking_away.table_as, name, scope, form) for form in FORMS}, name, rows)


def take_package(scope: Scope) -> None:
    """Show what may stand in the package beside CSV, and the button that makes it."""
    with st.container(horizontal=True, gap="small", vertical_alignment="bottom"):
        beside = st.pills("Beside CSV", list(BESIDE), selection_mode="multi", format_func=BESIDE.__getitem__, key="beside")
        take(partial(taking_away.package, scope, tuple(beside)), "towless-figures.zip", MEDIA["zip"])
