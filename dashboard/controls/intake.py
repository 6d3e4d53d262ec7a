"""Taking files in from the page: the same checks and the same ledger as the command.

In: files a person sends. Out: one import, told row by row; nothing is taken in before the button is pressed.
"""

from typing import Any

import streamlit as st

from dashboard import readings
from dashboard.readings import TowlessError
from dashboard.sentences.plain import literal

KINDS = ["csv", "txt", "tsv", "xlsx", "xls", "parquet", "jsonl", "ndjson"]


def intake_form() -> None:
    """Show a form that takes files in; what became of the rows is said, and refusals are shown in their own words."""
    with st.expander("Take records in", expanded=not readings.has_ledger()), st.form("intake", border=False, clear_on_submit=True):
        st.caption(
            "CSV, XLSX, Parquet or JSON lines; each is known by its columns. Rows already in are not taken twice; faulty ones stay apart."
        )
        files = st.file_uploader("Files", KINDS, accept_multiple_files=True, label_visibility="collapsed")
        by = st.text_input("Taken in by")
        if st.form_submit_button("Take in"):
            _take_in(files, by)


def _take_in(files: list[Any], by: str) -> None:
    if not files:
        st.warning("Nothing was taken in: choose at least one file.")
        return
    try:
        st.success(literal(readings.take_in(files, by).sentence))
    except TowlessError as refusal:
        st.warning(literal(refusal))
