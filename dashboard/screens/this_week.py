"""The week: which boats stay tied up, what is overdue and due soon, calls, alarms, what runs out, what waits; one calm column."""

import streamlit as st

from dashboard import wayfinding
from dashboard.controls.filters import UNSEASONED, scope_of_page
from dashboard.controls.leading import leading_link
from dashboard.controls.pickers import row_of_pickers
from dashboard.controls.showing import foot, head
from dashboard.controls.taking_in import said_of_taking_in
from dashboard.controls.week import matter_of_week
from dashboard.sentences.leading import Lead
from dashboard.sentences.plain import as_day
from dashboard.sentences.week import how_old, in_short, otherwise
from pipelines.terms.week import MATTERS

WIDTH = 760

with st.container(horizontal_alignment="center"), st.container(width=WIDTH):
    head("This week", "Which boats should stay tied up, what is overdue, and what came in?")
    said_of_taking_in()
    with row_of_pickers():
        scope = scope_of_page(UNSEASONED)
    answer = wayfinding.this_week(scope)
    as_of = as_day(answer.head["as_of"])
    st.markdown(in_short(answer.rows, answer.extra, as_of))
    if old := how_old(as_of, wayfinding.today()):
        st.caption(old)
        leading_link(Lead("records", "Take in what came since", {"view": "take-in"}))
    for matter in MATTERS:
        matter_of_week(matter, answer)
    st.markdown(otherwise(answer.rows))
    foot(answer, advises=True)
