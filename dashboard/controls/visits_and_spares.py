"""Two views of What is due beside its list: visits that jobs share, and spare boats by month.

In: the filters, how far ahead. Out: what a view shows.
Elsewhere: which view is picked (`due_views`), the words (`sentences`), the pictures (`charts`).
"""

from dataclasses import replace

import streamlit as st

from dashboard import readings
from dashboard.charts.spare_boats import spare_boats_chart
from dashboard.charts.visits import visits_chart
from dashboard.controls.address import from_address, to_address
from dashboard.controls.boats import boat_links
from dashboard.controls.showing import beneath, figures, picture
from dashboard.readings import Answer, Scope, TowlessError
from dashboard.sentences import spare_boats as spares
from dashboard.sentences import visits
from dashboard.sentences.plain import literal

VIEWS = {"visits": "Visits", "spare-boats": "Spare boats"}
ENOUGH = {"80": 0.80, "90": 0.90, "95": 0.95, "99": 0.99}
FIRST = ("visit_on", "vessel_id", "base", "jobs", "overdue", "tasks", "why", "cost", "saving")
MOST_LINES = 12


def show_visits(scope: Scope, within: int) -> None:
    """Show visits week by week, the next ones in words, and all of them, to take away as a table or to a calendar program."""
    told = _asked("visits", scope, within_days=within)
    if told is None or told.rows.is_empty():
        return
    st.markdown(visits.visits_words(told.extra, within))
    weeks = visits.week_rows(told.rows, readings.extra_frame(told, "own_days"), told.extra["currency"])
    left, right = st.columns(2, gap="large")
    with left:
        st.subheader("Week by week", anchor=False)
        shown = picture(visits_chart, weeks, alt="Visits by week")
        beneath(visits.TO_READ, weeks, "visits", f"visits-by-week-{within}-days", shown=shown)
    with right:
        st.subheader("The next ones", anchor=False)
        st.markdown("\n".join(f"- {line}" for line in visits.visit_lines(told.rows, MOST_LINES)))
        boat_links(told.rows["vessel_id"].head(MOST_LINES).unique(maintain_order=True).to_list())
    st.subheader("Visit by visit", anchor=False)
    figures(told.rows, "visits", f"visits-{within}-days", FIRST)
    _calendar(told)


def _calendar(told: Answer) -> None:
    data = readings.calendar_file(replace(told, extra=told.extra | {"visits": told.rows})).encode()
    st.download_button("Take the visits to a calendar program (iCalendar)", data, "visits.ics", "text/calendar", on_click="ignore")


def show_spare_boats(scope: Scope, within: int) -> None:  # noqa: ARG001
    """Show boats down at once and spare boats by month, then each base and class."""
    enough = _pick_enough()
    told = _asked("spare_boats", scope, service_level=enough)
    if told is None:
        return
    pool = spares.pool_of(told.rows)
    st.markdown(spares.spare_boats_words(pool, enough))
    lines = spares.group_lines(told.rows)
    left, right = st.columns(2, gap="large") if lines else (st.container(), None)
    with left:
        st.subheader("Month by month", anchor=False)
        shown = picture(spare_boats_chart, spares.month_rows(pool), alt="Boats down at once and spare boats by month")
        beneath(spares.TO_READ, pool, "spare_boats", "spare-boats-by-month", shown=shown)
    if right is not None:
        with right:
            st.subheader("Each base and class for itself", anchor=False)
            st.markdown("\n".join(f"- {line}" for line in lines))
    st.caption(" ".join(literal(sentence) for sentence in readings.told_of_spare_boats(told.extra)))
    figures(told.rows, "spare_boats", "spare-boats")


def _pick_enough() -> float:
    """Pick the chance with which the spare boats are to be enough."""
    key = from_address("enough", ENOUGH)
    st.session_state.setdefault(key, "95")
    options = {"required": True, "format_func": lambda share: f"enough with {share} %", "label_visibility": "collapsed"}
    return ENOUGH[st.segmented_control("Enough with a chance of", list(ENOUGH), key=key, **options, **to_address("enough")) or "95"]


def _asked(question: str, scope: Scope, **choices: object) -> Answer | None:
    """Ask; where the question is refused, say why in its place."""
    try:
        return readings.ask(question, scope, **choices)
    except TowlessError as refusal:
        st.info(literal(refusal))
        return None


BESIDE = {"visits": show_visits, "spare-boats": show_spare_boats}
"""What shows a view, by its word in the address: a function of the filters and the look-ahead."""
