"""Records: what came in, what became of every row, what waits for a person, taking more in, and writing one down by hand."""

import streamlit as st

from dashboard import readings
from dashboard.charts.reconciliation import reconciliation_chart
from dashboard.controls.by_hand import by_hand_form
from dashboard.controls.coding import coding_view
from dashboard.controls.imports import imports_view
from dashboard.controls.mending import mending_view
from dashboard.controls.pairing import pairing_view
from dashboard.controls.showing import beneath, figures, foot, head, picture
from dashboard.controls.taking_in import take_in_view
from dashboard.controls.views import pick_view
from dashboard.readings import NoLedger, Scope
from dashboard.sentences import how_to_read
from dashboard.sentences.account import balance, kind_lines

head("Records", "What came in, what became of every row, and what waits for a person?")
try:
    answer = readings.ask("records", Scope())
except NoLedger:
    st.info("No ledger yet. Take in your first files here, or run `towless demo` to look at an invented fleet.")
    take_in_view()
    st.stop()

view = pick_view(readings.waiting())
if view == "account":
    st.markdown(balance(answer.rows))
    shown = picture(reconciliation_chart, kind_lines(answer.rows), alt="Rows in and what became of them")
    beneath(how_to_read.RECONCILIATION, answer.rows, "records", "reconciliation", shown=shown)
    st.subheader("Left out of lives", anchor=False)
    st.markdown(how_to_read.PARTS_OF_RECORDS["left_out_of_lives"])
    figures(readings.extra_frame(answer, "left_out_of_lives"), "left_out_of_lives", "left-out-of-lives")
elif view == "take-in":
    take_in_view()
elif view == "by-hand":
    by_hand_form()
elif view == "left-out":
    mending_view()
elif view == "words":
    coding_view()
elif view == "pairs":
    pairing_view()
else:
    imports_view(answer)
foot(answer)
