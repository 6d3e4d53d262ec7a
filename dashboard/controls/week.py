"""A matter of the week on a page: its lines, each beside the link to where it can be acted upon, and the rows behind them.

In: the answer `week`. Out: elements of the page.
Elsewhere: the words (`sentences.week`), which matters there are (`terms.week`).
"""

import polars as pl
import streamlit as st

from dashboard import readings, wayfinding
from dashboard.controls.leading import leading_lines, leading_link
from dashboard.controls.showing import TABLE_WIDTH, figures
from dashboard.readings import Answer
from dashboard.sentences import how_to_read
from dashboard.sentences.week import MOST_LINES, above_words, false_alarm_words, line_lead, line_words, more_lead, shown_of
from pipelines.terms.week import ALARM, CALL, MATTERS, OVERDUE, SHELF, SOON, TIED_UP

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
    if answer.rows.filter(pl.col("matter") == matter).is_empty():
        return
    rows = shown_of(matter, answer.rows)
    st.subheader(MATTERS[matter].heading, anchor=False)
    alarms = answer.extra["alarms"].to_dicts() if matter == ALARM else []
    shown = rows.head(MOST_LINES[matter]).to_dicts()
    leading_lines(matter, [(line_lead(row, alarms[place] if alarms else None), line_words(row)) for place, row in enumerate(shown)])
    with st.container(horizontal=True, gap="small", vertical_alignment="center"):
        if rows.height > MOST_LINES[matter]:
            leading_link(more_lead(matter, rows))
        _behind(matter, answer)
    if matter == OVERDUE and (above := above_words(answer.rows, rows)):
        st.caption(above)


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
