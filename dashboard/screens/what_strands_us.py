"""What strands us: which failures strand boats, how often, and what would have prevented them."""

import streamlit as st

from dashboard import readings
from dashboard.charts.cause_rates import rates_chart
from dashboard.controls.filters import SEASONED, UNSEASONED, scope_of_page
from dashboard.controls.papers import papers
from dashboard.controls.patterns import show_pattern
from dashboard.controls.pickers import BREAKDOWNS, EVENTS, pick_breakdown, pick_events, pick_pair, pick_pattern, row_of_pickers
from dashboard.controls.showing import beneath, foot, head, nothing_here, picture
from dashboard.sentences import how_to_read
from dashboard.sentences.calls import how_often, rate_lines, what_would_help
from dashboard.sentences.patterns import preventable_words, ratio_words

MOST_ROWS = 14

head("What strands us", "Which failures strand boats, how often, and what would have prevented them?")
with row_of_pickers():
    of = pick_events()
    by = pick_breakdown(of)
    scope = scope_of_page(SEASONED if of == "calls" else UNSEASONED)
whole = readings.ask("rates", scope, of=of, by="cause", with_patterns=True)
if whole.rows.is_empty():
    nothing_here(f"No {EVENTS[of]} in this part of the records. Widen the filters, or take rescue calls in under Records.")

st.markdown(how_often(whole.rows, whole.extra.get("exposure_h"), of), help=how_to_read.TERMS["rate"])
rows, remedies, months = (readings.ask("rates", scope, of=of, by=each).rows for each in (by, "remedy", "month"))
behind = readings.ask("counted", scope, of=of, by=by).rows
left, right = st.columns(2, gap="large")
with left:
    st.subheader(BREAKDOWNS[by].capitalize(), anchor=False)
    shown = picture(rates_chart, rate_lines(rows, MOST_ROWS), alt=f"Rate of {EVENTS[of]} {BREAKDOWNS[by]}")
    if rows.height > MOST_ROWS:
        st.caption(f"The {MOST_ROWS} rows with most events and those not known; all {rows.height} stand in the figures.")
    beneath(how_to_read.RATES, rows, "rates", f"{of}-by-{by}", behind, shown=shown)
with right:
    st.subheader("What would have prevented them", anchor=False)
    st.markdown(what_would_help(remedies))
    shown = picture(rates_chart, rate_lines(remedies), alt=f"Rate of {EVENTS[of]} by what would have prevented them")
    beneath(
        how_to_read.REMEDIES, remedies, "rates", f"{of}-by-remedy", readings.ask("counted", scope, of=of, by="remedy").rows, shown=shown
    )
    with st.expander("The share of each, with limits"):
        st.markdown(preventable_words(remedies, of))
    if pair := pick_pair(rows["group"].to_list()):
        st.markdown(ratio_words(readings.ask("rates", scope, of=of, by=by, compare=pair).extra["ratio"]))
st.subheader("What lies behind the rate", anchor=False)
show_pattern(pick_pattern(of), whole, months, of, behind)
papers(("briefing", "season-report"), scope)
foot(whole)
