"""A call comes in: what is likely behind it, what to have the crew check first, what to bring."""

import polars as pl
import streamlit as st

from dashboard import readings
from dashboard.charts.likely_causes import likely_chart
from dashboard.controls.boats import boat_links, pick_boat
from dashboard.controls.call_now import keep_call, pick_symptom
from dashboard.controls.pickers import row_of_pickers
from dashboard.controls.showing import beneath, foot, head, nothing_here, picture
from dashboard.sentences import how_to_read
from dashboard.sentences.call_now import STEADY, cautions_of, check_lines, in_short, to_bring
from dashboard.sentences.plain import literal

head("A call comes in", "What is likely behind it, what should the crew look at first, and what do we bring?")
boats = readings.boats()
if boats.is_empty():
    nothing_here("No boat is known yet: take in a list of boats under Records. Until then: anchor, lifejackets, say where you are.")
with row_of_pickers():
    boat = pick_boat(boats.filter(pl.col("withdrawn_on").is_null()))
    symptom = pick_symptom(readings.symptoms())
st.warning(STEADY)
if boat is None or symptom is None:
    nothing_here("Pick the boat and what the caller says.")
answer = readings.likely(boat, symptom)
st.markdown(in_short(answer.rows, answer.extra["calls_like_it"], symptom))
left, right = st.columns(2, gap="large")
with left:
    st.subheader("Have them look first", anchor=False)
    st.markdown("\n".join(f"1. {line}" for line in check_lines(answer.rows)) or "Anchor, lifejackets, say where you are.")
    st.subheader("Bring", anchor=False)
    st.markdown(f"{', '.join(to_bring(answer.rows))}.".capitalize())
    st.subheader("Take care", anchor=False)
    st.markdown("\n".join(f"- {caution}" for caution in cautions_of(answer.rows)))
    keep_call(boat, symptom)
with right:
    st.subheader(f"Likely causes, boat {literal(boat)}", anchor=False)
    shown = picture(likely_chart, answer.rows, alt="Likely causes of the call with their chances")
    beneath(how_to_read.LIKELY, answer.rows, "likely", f"likely-causes-{boat}", shown=shown)
    boat_links([boat])
foot(answer, advises=True)
