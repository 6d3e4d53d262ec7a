"""What the answer `due` tells beside its rows: boats that should stay tied up, the yard's weeks, and what cannot be told.

In: every task of every position (`estimating.tasks_of`), how far ahead to look, settings. Out: the rows, and what stands beside them.
Elsewhere: each method (`advice`), where the tasks come from (`answering`).
"""

from collections.abc import Mapping
from datetime import date
from typing import Any

import polars as pl

from pipelines.advice.due import HORIZONS, due_rows, within
from pipelines.advice.present import RUNNING, UNKNOWN
from pipelines.advice.tied_up import DECIDES, tied_up
from pipelines.advice.weeks import laid_into_weeks, week_totals
from pipelines.advice.words import counted
from pipelines.terms.settings import Settings


def horizons_for(within_days: int, settings: Settings) -> tuple[int, ...]:
    """Return the days ahead over which failing is reckoned, those kept with the ledger's version and the one that is asked for."""
    return tuple(sorted({*HORIZONS, _visit(within_days, settings)} - {0}))


def told_within(tasks: pl.DataFrame, as_of: date, within_days: int, settings: Settings) -> tuple[pl.DataFrame, dict[str, Any]]:
    """Give the rows of `due` and what stands beside them.

    Returns
    -------
    tuple[pl.DataFrame, dict]
        The rows, and: `tied_up` (a line a boat, from `advice.tied_up`), `tied_up_note`; `weeks` and `week_totals` (from `advice.weeks`),
        `does_not_fit` (those of `weeks` with a note), `yard_hours_a_week` (empty: not limited); `next_visit_days`; `not_known` (how many
        tasks have no day, because the part's age or how its engine is used is not known).
    """
    boats = tied_up(tasks, as_of)
    held = within(tasks, as_of, within_days)
    weeks = laid_into_weeks(held, boats["vessel_id"].to_list(), as_of, settings.yard_hours_a_week)
    rows = due_rows(tasks, as_of, within_days, _visit(within_days, settings))
    beside = {
        "tied_up": boats,
        "tied_up_note": DECIDES,
        "weeks": weeks,
        "week_totals": week_totals(weeks),
        "does_not_fit": weeks.filter(pl.col("note").is_not_null()),
        "yard_hours_a_week": settings.yard_hours_a_week or None,
        "next_visit_days": _visit(within_days, settings),
        "not_known": _not_known(held),
    }
    return rows, beside


def cannot_be_told(beside: Mapping[str, Any]) -> list[str]:
    """Say how many tasks have no day and why, and that the yard's hours are not limited."""
    age, use = beside["not_known"]["age"], beside["not_known"]["use_of_engine"]
    told = (
        [f"{counted(age, 'task has', 'tasks have')} no day, because no fitting is recorded and the part's age is not known."] if age else []
    )
    told += [f"{counted(use, 'task has', 'tasks have')} no day, because how the engine is used is not known."] if use else []
    unlimited = "The yard's hours a week are not limited; give them with --hours-a-week or the setting yard_hours_a_week."
    return told if beside["yard_hours_a_week"] else [*told, unlimited]


def _visit(within_days: int, settings: Settings) -> int:
    return settings.next_visit_days or within_days


def _not_known(held: pl.DataFrame) -> dict[str, int]:
    undated = held.filter(pl.col("due_on").is_null())
    return {
        "age": undated.filter(pl.col("state") == UNKNOWN).height,
        "use_of_engine": undated.filter(pl.col("state") == RUNNING).height,
    }
