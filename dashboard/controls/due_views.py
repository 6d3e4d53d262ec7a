"""The views of What is due, kept in the address: the list, by boat, by week, as a calendar; visits and spare boats (`visits_and_spares`).

In: the answer `due`, the filters. Out: what a view shows. Which view is shown is picked here.
Elsewhere: the words (`sentences.due`), the pictures (`charts`), putting off (`putting_off`).
"""

from datetime import date
from typing import Any

import streamlit as st

from dashboard import readings
from dashboard.charts.due_dates import due_chart
from dashboard.charts.month_grid import month_grid
from dashboard.charts.week_hours import week_hours_chart
from dashboard.controls.address import from_address, to_address
from dashboard.controls.boats import boat_links
from dashboard.controls.putting_off import put_off_form
from dashboard.controls.showing import beneath, figures, picture
from dashboard.controls.visits_and_spares import VIEWS as VIEWS_BESIDE
from dashboard.readings import Answer
from dashboard.sentences import how_to_read
from dashboard.sentences.due import (
    MOST_LINES,
    boat_jobs,
    calendar_days,
    not_dated_words,
    slipped_lines,
    tied_up_lines,
    tied_up_words,
    week_lines,
    weeks_words,
)
from dashboard.sentences.plain import as_day, literal
from dashboard.sentences.work import cautions

VIEWS = {"list": "The list", "boats": "Boat by boat", "weeks": "Week by week", "calendar": "Calendar", **VIEWS_BESIDE}
FIRST = ("overdue", "vessel_id", "engine_id", "component", "position", "task", "due_on", "deferred_until", "because", "caution")
MOST_BOATS = 12


def pick_due_view() -> str:
    """Pick a view."""
    key = from_address("view", VIEWS)
    st.session_state.setdefault(key, "list")
    options: dict[str, Any] = {"required": True, "format_func": VIEWS.__getitem__, "label_visibility": "collapsed"}
    return st.segmented_control("View", list(VIEWS), key=key, **options, **to_address("view")) or "list"


def pick_yard_hours() -> float | None:
    """Pick how many hours of labour the yard has a week; `None`: as the settings say, which may be without limit."""
    return st.number_input(
        "Yard hours a week",
        min_value=1.0,
        max_value=None,
        value=None,
        step=5.0,
        format="%g",
        key="hours",
        bind="query-params",
        placeholder="yard hours a week",
        label_visibility="collapsed",
        width=225,
    )


def show_tied_up(answer: Answer) -> None:
    """Show the boats that should stay tied up, a line each, before anything else."""
    boats = readings.extra_frame(answer, "tied_up")
    if "tied_up" not in answer.extra:
        return
    with st.container(border=not boats.is_empty(), gap="xsmall"):
        st.markdown(tied_up_words(boats))
        if boats.is_empty():
            return
        lines = tied_up_lines(boats)
        st.markdown("\n".join(f"- {line}" for line in lines[:MOST_LINES]))
        if len(lines) > MOST_LINES:
            with st.expander(f"{len(lines) - MOST_LINES} more"):
                st.markdown("\n".join(f"- {line}" for line in lines[MOST_LINES:]))
        st.caption(literal(answer.extra["tied_up_note"]))


def show_list(answer: Answer, within: int) -> None:
    """Show every job on a line of days, its cautions, and the whole list."""
    left, right = st.columns(2, gap="large")
    with left:
        st.subheader("Days they fall due", anchor=False)
        shown = picture(due_chart, answer.rows, as_day(answer.head["as_of"]), alt="Jobs by boat and day due")
        beneath(how_to_read.DUE, answer.rows, "due", f"due-within-{within}-days", shown=shown)
        boat_links(answer.rows["vessel_id"].drop_nulls().unique(maintain_order=True).to_list())
    with right:
        _show_cautions(answer)
    st.subheader("The list", anchor=False)
    figures(answer.rows, "due", f"due-list-{within}-days", FIRST)
    put_off_form(answer.rows, as_day(answer.head["as_of"]))


def _show_cautions(answer: Answer) -> None:
    """Show what can hurt someone at this work: no view lists a job without it."""
    st.subheader("Before any of it", anchor=False)
    st.markdown("\n".join(f"- {caution}" for caution in cautions(answer.rows)))


def show_boats(answer: Answer, within: int) -> None:
    """Show the jobs of each boat with why, those with most overdue first."""
    told = boat_jobs(answer.rows)
    _show_cautions(answer)
    for boat, lines in told[:MOST_BOATS]:
        st.subheader(literal(boat), anchor=False)
        st.markdown("\n".join(f"- {line}" for line in lines))
    if len(told) > MOST_BOATS:
        st.caption(f"{len(told) - MOST_BOATS} more boats: narrow the filters, or take the whole list away.")
    boat_links([boat for boat, _ in told])
    figures(answer.rows, "due", f"due-by-boat-{within}-days", ("vessel_id", *FIRST))


def show_weeks(answer: Answer, within: int) -> None:
    """Show the hours of each week against those there are, and what does not fit."""
    hours = answer.extra.get("yard_hours_a_week")
    totals, weeks = (readings.extra_frame(answer, name) for name in ("week_totals", "weeks"))
    if totals.is_empty():
        st.info("No job has a week here.")
        return
    st.markdown(weeks_words(totals, hours))
    lines = week_lines(totals, hours)
    shown = picture(week_hours_chart, lines, hours, alt="Hours of work by week")
    beneath(how_to_read.WEEKS, totals, "", f"weeks-within-{within}-days", shown=shown)
    slipped = slipped_lines(weeks)
    if slipped:
        st.subheader("What does not fit", anchor=False)
        st.markdown("\n".join(f"- {line}" for line in slipped[:MOST_BOATS]))
    _show_cautions(answer)
    st.subheader("Job by job", anchor=False)
    figures(weeks, "due", f"jobs-by-week-{within}-days", ("week", "vessel_id", "engine_id", "component", "task", "labour_h", "note"))


def show_calendar(answer: Answer, within: int) -> None:
    """Show a month of jobs as a grid of days, and give the whole list to a calendar program."""
    today = as_day(answer.head["as_of"])
    days = calendar_days(answer.rows, today)
    months = days["day"].dt.truncate("1mo").unique().sort().to_list() or [today.replace(day=1)]
    month = _pick_month(months)
    shown = picture(month_grid, days, month, today, alt=f"Jobs by day in {month:%B %Y}")
    beneath(how_to_read.CALENDAR, days, "", f"due-by-day-{within}-days", shown=shown)
    if told := not_dated_words(answer.extra):
        st.caption(told)
    data = readings.calendar_file(answer).encode()
    st.download_button("Take it to a calendar program (iCalendar)", data, "due.ics", "text/calendar", on_click="ignore")
    _show_cautions(answer)


def _pick_month(months: list[date]) -> date:
    names = {f"{month:%Y-%m}": month for month in months}
    if len(names) == 1:
        st.subheader(f"{months[0]:%B %Y}", anchor=False)
        return months[0]
    key = from_address("month", names)
    st.session_state.setdefault(key, next(iter(names)))
    if st.session_state[key] not in names:
        st.session_state[key] = next(iter(names))
    options: dict[str, Any] = {"required": True, "format_func": lambda name: f"{names[name]:%B %Y}", "label_visibility": "collapsed"}
    picked = st.segmented_control("Month", list(names), key=key, **options, **to_address("month"))
    return names[picked or next(iter(names))]


SHOW = {"list": show_list, "boats": show_boats, "weeks": show_weeks, "calendar": show_calendar}
"""What shows a view, by its word in the address: a function of the answer and the look-ahead."""
