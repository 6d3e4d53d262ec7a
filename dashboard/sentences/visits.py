"""Visits in words: how many, what sharing them saves, week by week, and how to read it.

In: the rows of `visits` and what stands beside them. Out: Markdown, and rows with words for drawing.
Elsewhere: which jobs share a visit (`advice`), their picture (`charts.visits`).
"""

from collections.abc import Mapping
from typing import Any

import polars as pl

from dashboard.sentences.plain import counted, day, literal, money

TO_READ = """
One line a week, named by its Monday. **Broad bar:** visits, one a boat and day. **○ ring:** visits with each job on its own day; jobs of
a boat due on one day share one there too. The money is what sharing saves: visits not made, less what moving the jobs costs.

- A job brought forward is used for less; a renewal put back adds failures. A job is moved only where that costs less than a visit.
- Safety and hidden parts, looks and tests are only brought forward; no renewal is put back past a limit that must be kept, nor anything
  past the day it was put off to. What is overdue is done at the first visit.
- A week can hold more visits than rings where jobs were moved into it.
- Each boat has visits of its own: no record says that one journey serves several boats.

[How it is worked out](how-it-is-worked-out#visits)
"""
_NOTHING_SAVED = 0.5


def visits_words(extra: Mapping[str, Any], within_days: int) -> str:
    """Say how many visits there are in place of how many, and what that saves, as Markdown."""
    held, currency = extra["grouping"], extra["currency"]
    days = counted(within_days, "day", "days")
    told = f"**{counted(held['visits'], 'visit', 'visits')}** in {days} in place of {held['own_days']:,} with each job on its own day"
    if held["saving"] is None:
        return f"{told}. What a visit costs is not recorded, so nothing is known to be saved."
    if held["saving"] < _NOTHING_SAVED:
        return f"{told}. Sharing saves nothing here."
    return f"{told}: **{money(held['saving'], currency)} saved**. {_one_service(held, currency)}"


def _one_service(held: Mapping[str, Any], currency: str) -> str:
    more = held["saving_over_one_service"]
    if more < _NOTHING_SAVED:
        return "All jobs of a boat at one service would cost the same."
    return f"All jobs of a boat at one service would cost {money(more, currency)} more."


def week_rows(visits: pl.DataFrame, own_days: pl.DataFrame, currency: str) -> pl.DataFrame:
    """Count visits by week.

    Parameters
    ----------
    visits
        Rows of the answer `visits`.
    own_days
        One row a boat and day on which a job has its own day: own_on.

    Returns
    -------
    pl.DataFrame
        line (week of which Monday), told (a few words), visits, own_days, jobs, saving, in order.
    """
    made = visits.group_by(pl.col("visit_on").dt.truncate("1w").alias("week")).agg(
        pl.len().cast(pl.Int64).alias("visits"),
        pl.col("jobs").sum(),
        pl.when(pl.col("saving").is_not_null().all()).then(pl.col("saving").sum()).alias("saving"),
    )
    alone = own_days.group_by(pl.col("own_on").dt.truncate("1w").alias("week")).agg(pl.len().cast(pl.Int64).alias("own_days"))
    both = made.join(alone, on="week", how="full", coalesce=True).sort("week")
    filled = both.with_columns(pl.col("visits", "own_days", "jobs").fill_null(0))
    told = [_week(row, currency) for row in filled.to_dicts()]
    lines = [f"week of {day(week)}" for week in filled["week"]]
    return filled.with_columns(pl.Series("line", lines, pl.String), pl.Series("told", told, pl.String)).drop("week")


def _week(row: Mapping[str, Any], currency: str) -> str:
    if not row["visits"]:
        return "done earlier or later"
    told = counted(row["visits"], "visit", "visits")
    saved = row["saving"]
    return told if saved is None or saved < _NOTHING_SAVED else f"{told}, {money(saved, currency)} saved"


def visit_lines(visits: pl.DataFrame, most: int) -> list[str]:
    """Write the first visits, one a line, with what was moved to them, as Markdown."""
    return [f"**{literal(day(row['visit_on']))} · {literal(row['vessel_id'])}**: {_jobs(row)}." for row in visits.head(most).to_dicts()]


def _jobs(row: Mapping[str, Any]) -> str:
    return literal(", ".join(row["tasks"]) + _moved(row["why"]))


def _moved(why: str) -> str:
    """Keep of why a visit is that day what was brought forward or put back; the jobs themselves are named beside it."""
    parts = [part for part in why.rstrip(".").split("; ") if part.lower().startswith(("brought forward", "put back"))]
    return "".join(f"; {part[:1].lower()}{part[1:]}" for part in parts)
