"""Records: what came in, what became of every row, what waits for a person, and taking more in."""

import streamlit as st

from dashboard import readings
from dashboard.charts.reconciliation import reconciliation_chart
from dashboard.controls.intake import intake_form
from dashboard.controls.showing import beneath, figures, foot, head, nothing_here, picture
from dashboard.readings import NoLedger, Scope
from dashboard.sentences import how_to_read
from dashboard.sentences.account import balance, kind_lines
from dashboard.sentences.plain import counted

PARTS = {
    "left_out_rows": "Rows left out",
    "uncoded": "Words to code",
    "near_misses": "Words taken as the nearest",
    "left_out_of_lives": "Left out of lives",
    "imports": "Imports",
}

head("Records", "What came in, what became of every row, and what waits for a person?")
intake_form()
try:
    answer = readings.ask("records", Scope())
except NoLedger:
    nothing_here("No ledger yet. Take in your first files above, or run `towless demo` to look at an invented fleet.")

st.markdown(balance(answer.rows))
picture(reconciliation_chart, kind_lines(answer.rows), alt="Rows in and what became of them")
beneath(how_to_read.RECONCILIATION, answer.rows, "records", "reconciliation")
for tab, (name, title) in zip(st.tabs(list(PARTS.values())), PARTS.items(), strict=True):
    with tab:
        rows = readings.extra_frame(answer, name)
        st.markdown(f"**{title}:** {counted(rows.height, 'row', 'rows')}. {how_to_read.PARTS_OF_RECORDS[name]}")
        if not rows.is_empty():
            figures(rows, name, name.replace("_", "-"))
foot(answer)
