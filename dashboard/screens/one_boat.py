"""One boat: its engines and hours, everything written down of it, what is fitted now and how old it is."""

import polars as pl
import streamlit as st

from dashboard import readings
from dashboard.charts.boat_hours import boat_hours_chart
from dashboard.charts.boat_line import boat_line_chart
from dashboard.charts.part_ages import part_ages_chart
from dashboard.controls.boats import pick_boat, show_record
from dashboard.controls.papers import papers
from dashboard.controls.pickers import pick_engine, row_of_pickers
from dashboard.controls.showing import beneath, figures, foot, head, nothing_here, picture
from dashboard.sentences import how_to_read
from dashboard.sentences.boat import event_lines, event_table, how_it_stands, part_lines, set_aside_words, who_it_is
from dashboard.sentences.plain import literal

head("One boat", "What was done to this boat, how far has it run, and how old is what is in it?")
boats = readings.boats()
if boats.is_empty():
    nothing_here("No boat is known yet: take in a list of boats, or tickets that name them, under Records.")
with row_of_pickers():
    boat = readings.boat(pick_boat(boats) or boats["vessel_id"][0])
    engine = pick_engine(boat.hours["engine_id"].unique(maintain_order=True).to_list())

st.subheader(" ".join(literal(boat.about[name]) for name in ("vessel_id", "name") if boat.about[name]), anchor=False)
show_record(boat.events)
st.markdown(f"{how_it_stands(boat.fitted, boat.due)}  \n{who_it_is(boat.about, boat.engines)}")
left, right = st.columns(2, gap="large")
with left:
    st.subheader("Hours", anchor=False)
    hours = boat.hours.filter(pl.col("engine_id") == engine)
    if hours.is_empty():
        st.info("No hours: no engine is listed in this boat, or its meter was never read. Take in `engines` and `hour_readings`.")
    else:
        shown = picture(boat_hours_chart, hours, alt="Engine hours by date, with the readings set aside")
        st.markdown(set_aside_words(hours))
        beneath(how_to_read.BOAT_HOURS, hours.sort("used", "on_date"), "boat_hours", "hours", shown=shown)
with right:
    st.subheader("Fitted now", anchor=False)
    parts = part_lines(boat.fitted)
    drawn = parts.filter(pl.col("used").is_not_null())
    if drawn.is_empty():
        st.info("No part of this boat has both a known age and an interval. Record fittings as tickets, and adopt intervals.")
    else:
        picture(part_ages_chart, drawn, alt="Age of each part against its interval")
    beneath(how_to_read.PART_AGES, parts.drop("line"), "fitted", "fitted-now")
st.subheader("Everything written down", anchor=False)
shown = picture(boat_line_chart, event_lines(boat.events), alt="Calls and tickets by day")
beneath(how_to_read.BOAT_LINE, boat.events, "boat_events", "events", shown=shown)
figures(event_table(boat.events), "boat_events", "calls-and-tickets")
papers(("boat-cards", "job-cards", "inspection-sheets"), readings.Scope(), boat=boat.about["vessel_id"])
foot(boat, advises=True)
