"""What is due: boats that should stay tied up, then every job against the adopted plan, overdue first, each with its caution."""

import streamlit as st

from dashboard import readings
from dashboard.controls.boats import only_boat
from dashboard.controls.due_views import SHOW, pick_due_view, pick_yard_hours, show_tied_up
from dashboard.controls.filters import UNSEASONED, scope_of_page
from dashboard.controls.papers import papers
from dashboard.controls.pickers import pick_look_ahead, row_of_pickers
from dashboard.controls.showing import foot, head, nothing_here
from dashboard.controls.visits_and_spares import BESIDE
from dashboard.sentences.work import due_words

head("What is due", "Which boats stay tied up, which jobs are overdue, which fall due soon, and does it fit the yard's weeks?")
with row_of_pickers():
    within = pick_look_ahead()
    hours = pick_yard_hours()
    scope = scope_of_page(UNSEASONED)
answer = only_boat(readings.ask("due", scope, within_days=within, **({"hours_a_week": hours} if hours else {})))
show_tied_up(answer)
st.markdown(due_words(answer.rows, within))
with row_of_pickers():
    view = pick_due_view()
    papers(("job-cards", "visit-cards", "inspection-sheets", "pick-list", "boat-cards"), scope, within)
if view in BESIDE:
    BESIDE[view](scope, within)
elif answer.rows.is_empty():
    nothing_here(f"Nothing falls due within {within} days. A part without an interval needs one: adopt it under When to renew.")
else:
    SHOW[view](answer, within)
foot(answer, advises=True)
