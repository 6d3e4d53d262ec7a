"""Were we right? Each past season foretold from the seasons before it, against what came."""

import polars as pl
import streamlit as st

from dashboard import readings
from dashboard.charts.foretold import calibration_chart, every_part_chart, seasons_chart
from dashboard.controls.filters import UNSEASONED, scope_of_page
from dashboard.controls.pickers import pick_marked_season, pick_past_or_ahead, row_of_pickers
from dashboard.controls.season_ahead import season_ahead
from dashboard.controls.showing import beneath, figures, foot, head, nothing_here, picture
from dashboard.sentences import forecasts, how_to_read

head("Were we right?", "Did what was foretold of each season come, and did an adopted interval help?")
pickers = row_of_pickers()
with pickers:
    scope, time = scope_of_page(UNSEASONED), pick_past_or_ahead()
if time == "ahead":
    season_ahead(scope)
    st.stop()
with pickers:
    answer = readings.seasons_marked(scope)
    if answer.rows.is_empty():
        nothing_here("No season can be marked yet: one needs most of a year of tickets before it, and to be half over.")
    season = pick_marked_season(forecasts.seasons_of(answer.rows))
told = forecasts.part_lines(answer.rows, season)
st.markdown(forecasts.how_right(answer.rows, season, answer.extra["coverage"]), help=how_to_read.TERMS["foretold"])
left, right = st.columns(2, gap="large")
with left:
    st.subheader(f"Season {season}, every part and base", anchor=False)
    shown = picture(every_part_chart, told, alt=f"Failures foretold and come in season {season}, each part and base")
    beneath(
        how_to_read.FORETOLD,
        answer.rows.filter(pl.col("season") == season),
        "backtest",
        f"foretold-{season.replace('/', '-')}",
        shown=shown,
    )
with right:
    totals = readings.extra_frame(answer, "totals")
    st.subheader("Season by season", anchor=False)
    shown = picture(seasons_chart, forecasts.season_lines(totals), alt="Failures foretold and come, season by season")
    beneath(how_to_read.SEASONS_FORETOLD, totals, "backtest", "seasons-foretold", shown=shown)
left, right = st.columns(2, gap="large")
with left:
    st.subheader("Are chances what they say", anchor=False)
    st.markdown(forecasts.score_words(answer.extra["log_score"]))
    shown = picture(calibration_chart, readings.extra_frame(answer, "calibration"), alt="Where in its forecast each count fell")
    beneath(how_to_read.CALIBRATION, readings.extra_frame(answer, "calibration"), "backtest", "calibration", shown=shown)
with right:
    st.subheader("What the advice was worth", anchor=False)
    costs = readings.extra_frame(answer, "advice_cost")
    st.markdown(forecasts.cost_words(costs, answer.extra["currency"], answer.extra["advice_cost_note"]))
    st.subheader("Before and after an interval was adopted", anchor=False)
    st.markdown(forecasts.adoption_lines(readings.extra_frame(answer, "adopted"), answer.extra["adopted_note"]))
st.subheader("Part by part, all seasons", anchor=False)
figures(readings.extra_frame(answer, "by_component"), "backtest", "marks-by-part")
foot(answer, advises=True)
