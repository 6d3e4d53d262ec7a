"""The season that comes, keeping its forecast, and the forecasts that were kept.

In: filters. Out: the picture of the season, a form, a line for each kept forecast.
Elsewhere: past seasons marked (`screens/were_we_right`), the figures (`pipelines.flow.kept_forecasts`).
"""

import polars as pl
import streamlit as st

from dashboard import changes, readings
from dashboard.charts.foretold import seasons_chart
from dashboard.controls.showing import beneath, figures, foot, picture
from dashboard.readings import Scope, TowlessError
from dashboard.sentences import forecasts, how_to_read
from dashboard.sentences.plain import literal

MOST = 12


def season_ahead(scope: Scope) -> None:
    """Show the season that comes and every forecast that was kept."""
    answer = readings.season_ahead(scope)
    st.markdown(forecasts.ahead_words(answer.rows), help=how_to_read.TERMS["foretold"])
    left, right = st.columns(2, gap="large")
    with left:
        st.subheader("Failures foretold, most first", anchor=False)
        lines = forecasts.ahead_lines(answer.rows, "failures", MOST)
        shown = picture(seasons_chart, lines, alt="Failures foretold of the season that comes, parts and bases with most first")
        beneath(how_to_read.SEASON_AHEAD, answer.rows, "coming", "season-ahead", shown=shown)
    with right:
        _keep_form()
        _kept(scope)
    foot(answer, advises=True)


def _keep_form() -> None:
    st.subheader("Keep this forecast", anchor=False)
    st.caption("It stands in the ledger as it is and is marked when the season is over; for the whole fleet, whatever the filters.")
    with st.form("keep the forecast", border=False):
        by = st.text_input("Kept by")
        if not st.form_submit_button("Keep it"):
            return
    try:
        st.success(literal(changes.keep_forecast(by)))
    except TowlessError as refusal:
        st.warning(literal(str(refusal)))


def _kept(scope: Scope) -> None:
    st.subheader("Forecasts that were kept", anchor=False)
    answer = readings.kept_forecasts(scope)
    if answer is None or answer.rows.is_empty():
        st.markdown("None yet. Keep one before the season begins, and this page will say how right it was.")
        return
    st.markdown("\n".join(f"- {line}" for line in forecasts.kept_lines(answer.rows)))
    figures(answer.rows.filter(pl.col("component").is_not_null()), "kept_forecasts", "kept-forecasts")
