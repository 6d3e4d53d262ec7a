"""Putting a task off on the page: which, until when, who, why; and taking it back.

In: rows of `due`. Out: a form; what is put off, by whom and why, beside it. Refusals are shown in their own words.
Elsewhere: what may not be put off (`pipelines.flow`), the same at the command (`towless due --put-off`).
"""

from datetime import date, timedelta
from typing import Any

import polars as pl
import streamlit as st

from dashboard import changes
from dashboard.readings import PutOff, TowlessError
from dashboard.sentences.due import job_name, put_off_lines
from dashboard.sentences.plain import literal

USUAL_DAYS = 14
FOLLOWS = "It is safe; the list follows as soon as the figures are made anew."


def put_off_form(rows: pl.DataFrame, today: date) -> None:
    """Show a form that puts one task of the list off, and beside it what is put off already."""
    left, right = st.columns(2, gap="large")
    with left:
        st.subheader("Put one off", anchor=False)
        _form(rows.to_dicts(), today)
    with right:
        st.subheader("Put off so far", anchor=False)
        _so_far(rows)


def _form(rows: list[dict[str, Any]], today: date) -> None:
    st.caption(
        "It stays in the list with your name and reason. A safety part or a limit that must be kept is not put off past its ceiling."
    )
    with st.form("put off", border=False):
        place = st.selectbox(
            "Job", range(len(rows)), None, lambda at: f"{rows[at]['vessel_id']} · {job_name(rows[at])}", placeholder="Which job"
        )
        day, hours = st.columns(2)
        until = day.date_input("Until", today + timedelta(days=USUAL_DAYS), min_value=today + timedelta(days=1), format="YYYY-MM-DD")
        until_h = hours.number_input("Or until it is so many hours old", 1.0, None, None, 10.0, "%g", placeholder="the day alone")
        by, because = st.text_input("Put off by"), st.text_input("Why")
        if st.form_submit_button("Put it off"):
            if place is None or not isinstance(until, date):
                st.warning("Nothing was changed: pick the job and the day.")
                return
            _changed(lambda: changes.put_off(_wish(rows[place], until, until_h, by, because)))


def _wish(row: dict[str, Any], until: date, until_h: float | None, by: str, because: str) -> PutOff:
    where = {"boat": row["vessel_id"] or "", "engine": row["engine_id"] or "", "position": row["position"] or ""}
    return PutOff(row["component"], until, by, because, **where, task=row["task"], until_h=until_h)


def _so_far(rows: pl.DataFrame) -> None:
    lines = put_off_lines(rows)
    if not lines:
        st.caption("Nothing in this list is put off.")
        return
    st.markdown("\n".join(f"- {line}" for line in lines))
    standing = rows.filter(pl.col("put_off_import").is_not_null())
    with st.form("take a put-off back", border=False):
        names = {row["put_off_import"]: f"{row['vessel_id']} · {job_name(row)}" for row in standing.to_dicts()}
        number = st.selectbox("Take one back", list(names), format_func=names.__getitem__)
        by = st.text_input("Taken back by")
        if st.form_submit_button("Take it back"):
            if number is None or not by.strip():
                st.warning("Nothing was changed: say who takes it back.")
                return
            _changed(lambda: changes.undo(number, by))


def _changed(change: Any) -> None:
    try:
        st.success(f"{literal(change())} {FOLLOWS}")
    except TowlessError as refusal:
        st.warning(literal(refusal))
