"""When to renew: the interval advised for each part, what it costs and saves, and why."""

import polars as pl
import streamlit as st

from dashboard import readings
from dashboard.charts.cost_rate import cost_chart
from dashboard.charts.renewal_intervals import intervals_chart
from dashboard.controls.adoption import adopt_form
from dashboard.controls.filters import UNSEASONED, scope_of_page
from dashboard.controls.papers import papers
from dashboard.controls.pickers import CLOCKS, pick_clock, pick_component, pick_row, row_of_pickers
from dashboard.controls.showing import beneath, foot, head, nothing_here, picture
from dashboard.controls.what_if import what_if_form
from dashboard.sentences import how_to_read
from dashboard.sentences.advice import advice_lines, beside_it, headline, most_saved_first, saving, saving_otherwise
from dashboard.sentences.plain import literal, row_name

head("When to renew", "Which parts are worth renewing before they fail, how often, and what does it save?")
with row_of_pickers():
    scope = scope_of_page(UNSEASONED)
    answer = readings.ask("intervals", scope)
    if answer.rows.is_empty():
        nothing_here("No part can be weighed here yet: take in boats, engines, tickets and costs under Records, or widen the filters.")
    verdicts = most_saved_first(answer.rows)
    component, clock = pick_component(verdicts["component"].to_list()), pick_clock()
    rows = verdicts.filter(pl.col("component") == component)
    row = rows.row(pick_row(rows) if rows.height > 1 else 0, named=True)
curve = readings.cost_curve(scope, component, clock, row_name("", row["group"]).strip(" ·"))
currency = readings.currency()
left, right = st.columns(2, gap="large")
with left:
    st.subheader(literal(component).capitalize(), anchor=False)
    st.markdown(f"{headline(row)}  \n{literal(row['reason'])}")
    st.markdown(saving(row, currency) + saving_otherwise(row, currency), help=how_to_read.TERMS["saving"])
    st.caption(f"{beside_it(row)} · Rests on: {literal(row['basis'])}")
    if curve.is_empty():
        st.info(f"No cost curve in {CLOCKS[clock]} for this part: the reason above says why, or try the other clock.")
    else:
        shown = picture(cost_chart, curve, row, clock, currency, alt="Cost against interval")
        beneath(how_to_read.COST, curve, "cost_curve", f"cost-{component}-{clock}", readings.lives_behind(scope, component), shown=shown)
    what_if_form(row, scope, currency)
    adopt_form(row, scope)
with right:
    st.subheader("Every part", anchor=False)
    st.caption("◆ advised, its range as a bar · ○ now · ❘ limit")
    shown = picture(intervals_chart, advice_lines(verdicts), clock, alt="Intervals side by side")
    beneath(how_to_read.INTERVALS, answer.rows, "intervals", "intervals", shown=shown)
papers(("plan",), scope)
foot(answer, advises=True)
