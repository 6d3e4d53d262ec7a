"""What strands us: which failures strand boats, how often, and what would have prevented them."""

import streamlit as st

from dashboard import readings
from dashboard.charts.cause_rates import monthly_rates_chart, rates_chart
from dashboard.controls.filters import SEASONED, UNSEASONED, scope_of_page
from dashboard.controls.pickers import BREAKDOWNS, EVENTS, pick_breakdown, pick_events, row_of_pickers
from dashboard.controls.showing import beneath, foot, head, nothing_here, picture
from dashboard.sentences import how_to_read
from dashboard.sentences.calls import how_often, rate_lines, what_would_help

MOST_ROWS = 14

head("What strands us", "Which failures strand boats, how often, and what would have prevented them?")
with row_of_pickers():
    of = pick_events()
    by = pick_breakdown(of)
    scope = scope_of_page(SEASONED if of == "calls" else UNSEASONED)
by_cause = readings.ask("rates", scope, of=of, by="cause")
if by_cause.rows.is_empty():
    nothing_here(f"No {EVENTS[of]} in this part of the records. Widen the filters, or take rescue calls in under Records.")

st.markdown(how_often(by_cause.rows, by_cause.extra.get("exposure_h"), of), help=how_to_read.TERMS["rate"])
answer = readings.ask("rates", scope, of=of, by=by)
remedies = readings.ask("rates", scope, of=of, by="remedy").rows
months = readings.ask("rates", scope, of=of, by="month").rows
left, right = st.columns(2, gap="large")
with left:
    st.subheader(BREAKDOWNS[by].capitalize(), anchor=False)
    picture(rates_chart, rate_lines(answer.rows, MOST_ROWS), alt=f"Rate of {EVENTS[of]} {BREAKDOWNS[by]}")
    if answer.rows.height > MOST_ROWS:
        st.caption(f"The {MOST_ROWS} rows with most events and those not known; all {answer.rows.height} stand in the figures.")
    beneath(how_to_read.RATES, answer.rows, "rates", f"{of}-by-{by}")
with right:
    st.subheader("What would have prevented them", anchor=False)
    picture(rates_chart, rate_lines(remedies), alt=f"Rate of {EVENTS[of]} by what would have prevented them")
    st.markdown(what_would_help(remedies))
    beneath(how_to_read.RATES, remedies, "rates", f"{of}-by-remedy")
    st.subheader("Month by month", anchor=False)
    picture(monthly_rates_chart, months, alt=f"Rate of {EVENTS[of]} by month")
    beneath(how_to_read.MONTHS, months, "rates", f"{of}-by-month")
foot(answer)
