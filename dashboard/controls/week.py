"""A matter of the week on a page: its lines, each beside the link to where it can be acted upon, and the rows behind them.

In: the answer `week`. Out: elements of the page.
Elsewhere: the words (`sentences.week`), which matters there are (`terms.week`).
"""

from pathlib import Path

import polars as pl
import streamlit as st

from dashboard import readings, wayfinding
from dashboard.controls.showing import TABLE_WIDTH, figures
from dashboard.readings import Answer
from dashboard.sentences import how_to_read
from dashboard.sentences.plain import link_words
from dashboard.sentences.week import MOST_LINES, Lead, false_alarm_words, line_lead, line_words, more_words
from pipelines.terms.week import ALARM, CALL, MATTERS, OVERDUE, SHELF, SOON, TIED_UP

TOUCH = Path(__file__).with_name("touch.css")
LINK_AND_WORDS = (0.24, 0.76)
BEHIND = {
    TIED_UP: ("tied_up", "due", "tied-up"),
    OVERDUE: ("overdue", "due", "overdue"),
    SOON: ("due_soon", "due", "due-soon"),
    CALL: ("calls", "week_calls", "calls-of-the-week"),
    ALARM: ("alarms", "alarms", "alarms"),
    SHELF: ("runs_out", "stock", "runs-out"),
}
"""{matter: name of the rows behind it, whose columns they have, name of the file they leave as}."""


def matter_of_week(matter: str, answer: Answer) -> None:
    """Show one matter; nothing where it holds nothing."""
    rows = answer.rows.filter(pl.col("matter") == matter)
    if rows.is_empty():
        return
    st.subheader(MATTERS[matter].heading, anchor=False)
    alarms = answer.extra["alarms"].to_dicts() if matter == ALARM else []
    with st.container(gap="xsmall", key=f"leads {matter}"):
        st.html(TOUCH)
        for place, row in enumerate(rows.head(MOST_LINES[matter]).to_dicts()):
            _line(line_lead(row, alarms[place] if alarms else None), line_words(row))
    with st.container(horizontal=True, gap="small", vertical_alignment="center"):
        if rows.height > MOST_LINES[matter]:
            st.page_link(
                "screens/what_is_due.py" if matter in (OVERDUE, SOON) else "screens/records.py", label=link_words(more_words(matter, rows))
            )
        _behind(matter, answer)


def _line(lead: Lead, words: str) -> None:
    """Show a link with its sentence beside it; on a telephone the sentence stands below."""
    left, right = st.columns(LINK_AND_WORDS, gap="small")
    left.page_link(f"screens/{lead.screen}.py", label=link_words(lead.label), query_params=dict(lead.address))
    right.markdown(words)


def _behind(matter: str, answer: Answer) -> None:
    if matter == ALARM:
        with st.popover("How to read this", type="tertiary"):
            st.markdown(f"{how_to_read.ALARMS}\n\n{false_alarm_words(answer.extra['false_alarm'])}")
    if matter in BEHIND:
        name, verb, file_name = BEHIND[matter]
        with st.popover("The figures", type="tertiary"), st.container(width=TABLE_WIDTH):
            figures(readings.extra_frame(answer, name), verb, file_name)
    if matter == ALARM:
        with st.popover("The records", type="tertiary"), st.container(width=TABLE_WIDTH):
            numbers = answer.extra["alarms"]["evidence"].explode().drop_nulls().to_list()
            figures(wayfinding.rows_behind(numbers), "rows", "alarm-records")
