"""What is due: every position against the interval in force, with the day it falls due as that engine is used.

In: positions, lives, plan, limits, use, estimates, the last inspections and tests. Out: rows of the answer `due`, overdue first.
Elsewhere: which interval is in force (`current_plan`), what stands in each position (`present`), engine hours ahead (`seasons`).
"""

from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np
import polars as pl

from pipelines.advice.age_replacement import Array
from pipelines.advice.case import Estimate, Fleet
from pipelines.advice.chances import failure_chances
from pipelines.advice.current_plan import with_interval
from pipelines.advice.present import DOWN, PLACE, RUNNING, UNKNOWN, present_parts, with_carrier
from pipelines.advice.seasons import Seasons
from pipelines.advice.use import DAYS_A_MONTH
from pipelines.terms.answers import names_of
from pipelines.terms.cautions import caution_for

TASKS = ("renew", "inspect", "test")
NOT_KNOWN = "Its age is not known: no fitting is recorded. Look at it, and record when it is renewed."
_LONGEST_DAYS = 36_525.0


def due_rows(
    fleet: Fleet, lives: pl.DataFrame, looks: pl.DataFrame, estimates: Sequence[Estimate], as_of: date, within_days: int | None = None
) -> pl.DataFrame:
    """Put every position against the interval in force for each task.

    Parameters
    ----------
    fleet
        Positions, use, limits and plan.
    lives
        Rows of `derived.lives`, all of them.
    looks
        Last inspection and test of each part, from `looks.last_looks`; an inspection interval counts from it, or from the fitting.
    estimates
        Laws for the chance of failing; the one with the most groups that fit a position counts.
    as_of
        Today.
    within_days
        Keep what falls due in so many days, is overdue, or has no known age; `None`: everything. Failing is reckoned over these days
        (`None`: 30).

    Returns
    -------
    pl.DataFrame
        Columns of the answer `due`; overdue first, then by day. due_in_h is what is left of an interval on hours, below 0 when over.
    """
    seasons = Seasons(fleet.engine_use, as_of)
    present = present_parts(fleet.positions, lives, fleet.engine_use, fleet.fitted_now)
    horizon = 30 if within_days is None else within_days
    present = present.with_columns(pl.Series("failure_probability", failure_chances(present, estimates, seasons, horizon)))
    rows = pl.concat([_of_task(present, fleet, looks, task, seasons, as_of) for task in TASKS])
    if within_days is not None:
        last = as_of + timedelta(days=within_days)
        rows = rows.filter(pl.col("due_on").is_null() | (pl.col("due_on") <= last))
    return _in_words(rows)


def _of_task(present: pl.DataFrame, fleet: Fleet, looks: pl.DataFrame, task: str, seasons: Seasons, as_of: date) -> pl.DataFrame:
    planned = with_interval(present, fleet.plan, fleet.limits, task)
    has_interval = pl.col("every_h").is_not_null() | pl.col("every_months").is_not_null()
    is_down = pl.col("state") == DOWN
    has_task = has_interval | is_down if task == "renew" else has_interval & ~is_down
    since = _since_last(planned.filter(has_task), looks, task, as_of)
    left_h = (since["every_h"] - since["since_h"]).to_numpy()
    left_months = (since["every_months"] - since["since_months"]).to_numpy()
    days = np.fmin(seasons.days_until(since["hours_engine_id"].to_list(), left_h), left_months * DAYS_A_MONTH)
    return (
        since.with_columns(
            pl.lit(task).alias("task"), pl.Series("due_in_h", left_h).fill_nan(None), pl.Series("due_on", _days_on(as_of, days), pl.Date)
        )
        .with_columns(
            pl.when(pl.col("state") == DOWN).then("since").otherwise("due_on").alias("due_on"),
        )
        .with_columns((pl.col("due_on") <= as_of).alias("overdue"))
    )


def _since_last(planned: pl.DataFrame, looks: pl.DataFrame, task: str, as_of: date) -> pl.DataFrame:
    """Hours and months since the task was last done, or since fitting: a new part has been looked at."""
    last = with_carrier(looks.filter(pl.col("task") == task)).sort("done_on").group_by(PLACE).last().select(*PLACE, "done_on", "done_h")
    joined = planned.join(last, on=PLACE, how="left", nulls_equal=True, maintain_order="left")
    later = (pl.col("done_on") >= pl.col("began_on")).fill_null(value=False) | (
        pl.col("began_on").is_null() & pl.col("done_on").is_not_null()
    )
    months = (pl.lit(as_of) - pl.col("done_on")).dt.total_days() / DAYS_A_MONTH
    by_use = months / 12 * pl.col("year_h")
    hours = pl.coalesce(pl.col("age_h") - (pl.col("done_h") - pl.col("began_h")), pl.min_horizontal(by_use, pl.col("age_h")), by_use)
    return joined.with_columns(
        pl.when(later).then(hours).otherwise("age_h").alias("since_h"),
        pl.when(later).then(months).otherwise("age_months").alias("since_months"),
    ).drop("done_on", "done_h")


def _days_on(as_of: date, days: Array) -> list[date | None]:
    return [None if np.isnan(day) or day > _LONGEST_DAYS else as_of + timedelta(days=int(np.ceil(day))) for day in days]


def _in_words(rows: pl.DataFrame) -> pl.DataFrame:
    cautions = {component: caution_for(component) for component in rows["component"].unique()}
    caution = pl.col("component").replace_strict(cautions, return_dtype=pl.String) if cautions else pl.lit(None, pl.String)
    unknown = pl.col("due_on").is_null() & (pl.col("state") == UNKNOWN)
    told = rows.with_columns(
        pl.when(unknown).then(pl.concat_str(pl.lit(NOT_KNOWN + " "), caution)).otherwise(caution).alias("caution"),
        pl.col("began_on").alias("fitted_on"),
        pl.lit(None, pl.Date).alias("deferred_until"),
        pl.when(pl.col("state") == RUNNING).then("failure_probability").alias("failure_probability"),
        pl.when(pl.col("state") == RUNNING).then("age_h").alias("age_h"),
    )
    order = [pl.col("overdue").fill_null(value=False).not_(), pl.col("due_on"), "vessel_id", "engine_id", "component", "position", "task"]
    return told.sort(order, nulls_last=True).select(names_of("due"))
