"""The door for questions whose answers lead to other pages: the week, what words find, the rows behind a count.

In: filters, words, numbers of rows. Out: answers and rows, each made once for a version of the ledger.
What is raised on purpose (`TowlessError`) is passed on.
Elsewhere: every other question (`readings`), what a person changes (`changes`).
"""

from datetime import date

import polars as pl
import streamlit as st

from dashboard.readings import MOST_ANSWERS, Answer, Scope, generation, ledger_path, settings
from pipelines.flow import copies, searching, week
from pipelines.flow.queries import query
from pipelines.terms.settings import Settings


def this_week(scope: Scope) -> Answer:
    """Return the lines of the week, and beside them what each was counted from."""
    return _week(generation(), scope, settings())


@st.cache_resource(max_entries=MOST_ANSWERS, show_spinner="Looking through the week …")
def _week(generation: str, scope: Scope, chosen: Settings) -> Answer:  # noqa: ARG001
    with copies.current_copy(ledger_path(), chosen) as copy:
        return week.week(copy, scope, chosen)


def counts_waiting(waiting: dict[str, pl.DataFrame]) -> dict[str, int]:
    """Count what waits for a person, as the week counts it: `words`, `suggestions`, `pairs`, `left out`."""
    return week.counts_of(waiting)


def find(words: str) -> Answer:
    """Return what goes by some words."""
    return _find(generation(), words, settings())


@st.cache_resource(max_entries=MOST_ANSWERS, show_spinner=False)
def _find(generation: str, words: str, chosen: Settings) -> Answer:  # noqa: ARG001
    with copies.current_copy(ledger_path(), chosen) as copy:
        return searching.find(copy, Scope(), chosen, words)


def rows_behind(numbers: list[int]) -> pl.DataFrame:
    """Return rows of the ledger by their numbers, each with what it tells and where it stands."""
    return _rows_behind(generation(), tuple(numbers))


@st.cache_resource(max_entries=MOST_ANSWERS, show_spinner=False)
def _rows_behind(generation: str, numbers: tuple[int, ...]) -> pl.DataFrame:  # noqa: ARG001
    with copies.current_copy(ledger_path(), settings()) as copy:
        return copy.frame(query("rows_told"), {"rows": list(numbers)})


def today() -> date:
    """Return the day it is on this machine."""
    return date.today()
