"""Imports: who took what in, when, from which file; undoing one; the history of a single row.

In: the account of the ledger. Out: an import undone, with who undid it; its rows are kept and marked.
"""

import polars as pl
import streamlit as st

from dashboard import changes, readings
from dashboard.controls.showing import figures
from dashboard.readings import Answer, TowlessError
from dashboard.sentences.account import kind_words
from dashboard.sentences.intake import fates
from dashboard.sentences.plain import literal
from pipelines.terms.tables import RECORD_KINDS

TOLD = "what was undone"


def imports_view(answer: Answer) -> None:
    """Show the imports, the way to undo one, and the history of a row."""
    if told := st.session_state.pop(TOLD, None):
        st.success(told)
    rows = readings.extra_frame(answer, "imports")
    figures(rows.drop("mapping"), "imports", "imports")
    st.subheader("Files", anchor=False)
    figures(readings.waiting()["files"], "files", "files")
    left, right = st.columns(2, gap="large")
    with left:
        st.subheader("Undo an import", anchor=False)
        _undo(rows)
    with right:
        st.subheader("History of a row", anchor=False)
        _history()


def _undo(rows: pl.DataFrame) -> None:
    standing = rows.filter(pl.col("undone_at").is_null())["import_id"].unique(maintain_order=True).to_list()
    with st.form("undo", border=False):
        number = st.selectbox("Import", standing, index=None, placeholder="its number")
        by = st.text_input("Undone by")
        st.caption("Its rows leave every count; what they had corrected counts again. They are kept and marked.")
        pressed = st.form_submit_button("Undo it")
    if pressed and number is not None and by.strip():
        try:
            st.session_state[TOLD] = literal(changes.undo(number, by))
        except TowlessError as refusal:
            st.warning(literal(refusal))
            return
        st.rerun()
    if pressed:
        st.warning("Nothing was undone: pick an import and say who undoes it.")


def _history() -> None:
    kind = st.selectbox("Kind of record", list(RECORD_KINDS), format_func=kind_words, key="kind of row", index=None)
    key = st.text_input("Its number", key="number of row", placeholder="ticket, call, boat or engine id")
    if not kind or not key.strip():
        st.caption("Every version of a row is kept: who sent it, when, in which file, and what became of it.")
        return
    try:
        versions = readings.history(kind, key.strip())
    except TowlessError as refusal:
        st.warning(literal(refusal))
        return
    st.markdown("\n".join(f"- {line}" for line in fates(versions.rows.to_dicts())))
    figures(versions.rows, "history", "history")
