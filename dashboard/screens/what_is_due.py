"""What is due: every job against the adopted plan, overdue first, each with its caution."""

import streamlit as st

from dashboard import readings
from dashboard.charts.due_dates import due_chart
from dashboard.controls.boats import boat_links
from dashboard.controls.filters import UNSEASONED, scope_of_page
from dashboard.controls.papers import papers
from dashboard.controls.pickers import pick_look_ahead, row_of_pickers
from dashboard.controls.showing import beneath, figures, foot, head, nothing_here, picture
from dashboard.sentences import how_to_read
from dashboard.sentences.plain import as_day
from dashboard.sentences.work import cautions, due_words

FIRST = ("overdue", "vessel_id", "engine_id", "component", "position", "task", "due_on", "due_in_h", "caution")

head("What is due", "Which jobs are overdue, which fall due soon, and on which boats?")
with row_of_pickers():
    within = pick_look_ahead()
    scope = scope_of_page(UNSEASONED)
answer = readings.ask("due", scope, within_days=within)
if answer.rows.is_empty():
    nothing_here(f"Nothing falls due within {within} days. A part without an interval needs one: adopt it under When to renew.")

st.markdown(due_words(answer.rows, within))
left, right = st.columns(2, gap="large")
with left:
    st.subheader("Boat by boat", anchor=False)
    picture(due_chart, answer.rows, as_day(answer.head["as_of"]), alt="Jobs by boat and day due")
    beneath(how_to_read.DUE, answer.rows, "due", f"due-within-{within}-days")
    boat_links(answer.rows["vessel_id"].drop_nulls().unique(maintain_order=True).to_list())
with right:
    st.subheader("Before any of it", anchor=False)
    st.markdown("\n".join(f"- {caution}" for caution in cautions(answer.rows)))
papers(("job-cards", "inspection-sheets", "pick-list", "boat-cards"), scope, within)
st.subheader("The list", anchor=False)
figures(answer.rows, "due", f"due-list-{within}-days", FIRST)
foot(answer, advises=True)
