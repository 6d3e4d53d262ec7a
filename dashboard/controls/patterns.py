"""What is shown behind the rates, by what was picked: months, seasons, boats, how calls and costs add up.

In: the answer of `rates` with its patterns. Out: a heading, a picture, a sentence, and how to read it.
Elsewhere: what is picked (`pickers`), the page it stands on (`screens`).
"""

from collections.abc import Callable

import polars as pl
import streamlit as st

from dashboard import readings
from dashboard.charts.adding_up import adding_up_chart
from dashboard.charts.boats import boats_chart
from dashboard.charts.cause_rates import monthly_rates_chart
from dashboard.charts.seasons import seasons_chart
from dashboard.controls.showing import beneath, picture
from dashboard.readings import Answer
from dashboard.sentences import how_to_read
from dashboard.sentences.patterns import (
    adding_up_words,
    boats_words,
    break_words,
    cost_words,
    moving_causes,
    season_words,
    trend_words,
)


def show_pattern(which: str, answer: Answer, months: pl.DataFrame, of: str, behind: pl.DataFrame) -> None:
    """Show one pattern of calls or failures.

    Parameters
    ----------
    which
        A key of `pickers.PATTERNS`.
    answer
        Of `rates`, with its patterns.
    months
        Rates by month.
    of
        "calls" or "failures".
    behind
        The events that were counted.
    """
    shown: dict[str, Callable[[], None]] = {
        "months": lambda: _months(answer, months, of, behind),
        "seasons": lambda: _seasons(answer, of, behind),
        "boats": lambda: _boats(answer, of, behind),
        "recurrence": lambda: _adding_up(answer, behind),
        "costs": lambda: _costs(answer, behind),
    }
    shown[which]()


def _months(answer: Answer, months: pl.DataFrame, of: str, behind: pl.DataFrame) -> None:
    trend = answer.extra["trend"]
    st.markdown(trend_words(trend))
    shown = picture(
        monthly_rates_chart, months, trend.get("monthly"), tuple(step["month"] for step in trend["breaks"]), alt="Rate by month, with trend"
    )
    for told in [*break_words(trend), moving_causes(trend)]:
        st.markdown(told)
    beneath(how_to_read.MONTHS, months, "rates", f"{of}-by-month", behind, shown=shown)


def _seasons(answer: Answer, of: str, behind: pl.DataFrame) -> None:
    seasons = answer.extra["seasons"]
    st.markdown(season_words(seasons))
    if seasons.get("rows") is not None:
        shown = picture(seasons_chart, seasons["rows"], alt="Rate by month of the year, with limits")
        beneath(how_to_read.SEASONS, seasons["rows"], "rates", f"{of}-by-month-of-year", behind, shown=shown)


def _boats(answer: Answer, of: str, behind: pl.DataFrame) -> None:
    boats = answer.extra["boats"]
    st.markdown(boats_words(boats))
    if boats.get("rows") is not None:
        shown = picture(boats_chart, boats["rows"], boats["limits"], alt="Rate of each boat against its hours, with limits")
        beneath(how_to_read.BOATS, boats["rows"], "rates", f"{of}-by-boat", behind, shown=shown)


def _adding_up(answer: Answer, behind: pl.DataFrame) -> None:
    found = answer.extra["recurrence"]
    st.markdown(adding_up_words(found))
    if found.get("rows") is not None:
        shown = picture(adding_up_chart, found["rows"], "calls a boat", alt="Mean number of calls a boat by time, with limits")
        beneath(how_to_read.ADDING_UP, found["rows"], "recurrence", "calls-a-boat", behind, shown=shown)


def _costs(answer: Answer, behind: pl.DataFrame) -> None:
    found, currency = answer.extra["cost_recurrence"], readings.currency()
    st.markdown(cost_words(found, currency))
    if found.get("rows") is not None:
        shown = picture(
            adding_up_chart, found["rows"], f"cost of calls a boat ({currency or 'money'})", alt="Mean cost of calls a boat by time"
        )
        beneath(how_to_read.ADDING_UP, found["rows"], "recurrence", "cost-a-boat", behind, shown=shown)
