"""What is due: every position against the interval in force, with the day it falls due as that engine is used.

In: positions, lives, plan, limits, use, estimates, the last inspections and tests, what was put off. Out: `due_tasks`, every task of every
position with all that is told of it; `due_rows`, those of the answer `due`, overdue first.
Elsewhere: which interval is in force (`current_plan`), what stands in each position (`present`), engine hours ahead (`seasons`), what a
put-off does (`put_off`), why in words (`because`).
"""

from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np
import polars as pl

from pipelines.advice.age_replacement import Array
from pipelines.advice.because import because
from pipelines.advice.case import Estimate, Fleet
from pipelines.advice.chances import failure_chances
from pipelines.advice.current_plan import with_interval
from pipelines.advice.present import DOWN, PLACE, RUNNING, UNKNOWN, present_parts, with_carrier
from pipelines.advice.put_off import NOTHING_PUT_OFF, with_put_offs
from pipelines.advice.seasons import Seasons, days_on
from pipelines.advice.use import DAYS_A_MONTH
from pipelines.terms.answers import names_of
from pipelines.terms.cautions import caution_for

TASKS = ("renew", "inspect", "test")
NOT_KNOWN = "Its age is not known: no fitting is recorded. Look at it, and record when it is renewed."
HORIZONS = (14, 30, 60, 120)
"""Days over which the chance of failing is kept beside each task: those a look-ahead on the screen can be."""

_CLOCKS = ("h", "months")


def due_tasks(
    fleet: Fleet,
    lives: pl.DataFrame,
    looks: pl.DataFrame,
    estimates: Sequence[Estimate],
    as_of: date,
    put_offs: pl.DataFrame = NOTHING_PUT_OFF,
    horizons: Sequence[int] = HORIZONS,
) -> pl.DataFrame:
    """Put every position against the interval in force for each task.

    Parameters
    ----------
    fleet
        Positions, use, limits, plan and catalogue.
    lives
        Rows of `derived.lives`, all of them.
    looks
        Last inspection and test of each part, from `looks.last_looks`; an inspection interval counts from it, or from the fitting.
    estimates
        Laws for the chance of failing; the one with the most groups that fit a position counts.
    as_of
        Today.
    put_offs
        Rows of `about.put_offs` that are known today.
    horizons
        Days ahead over which the chance of failing is reckoned, one column `chance_<days>` each.

    Returns
    -------
    pl.DataFrame
        One row a task of a position: the columns of the answer `due` but for those of a look-ahead; every_h, every_months, interval_from,
        adopted_on, adopted_by, limit_h, limit_months, limit_is_ceiling; since_h, since_months (since the task was last done), done_on;
        due_by (the clock that comes first: `hours` or `months`), year_h, safety, hidden. due_in_h is what is left of an interval on hours,
        below 0 when over. ceiling_on is the day past which the task may not be put off; empty: none is known, or none binds.
    """
    seasons = Seasons(fleet.engine_use, as_of)
    present = present_parts(fleet.positions, lives, fleet.engine_use, fleet.fitted_now)
    chances = [pl.Series(f"chance_{days}", failure_chances(present, estimates, seasons, days)).fill_nan(None) for days in horizons]
    running = pl.col("state") == RUNNING
    sorts = fleet.catalogue.select("component", "safety", "hidden").unique("component")
    present = (
        present.with_columns(chances)
        .with_columns(pl.when(running).then(series.name).alias(series.name) for series in chances)
        .join(sorts, on="component", how="left", maintain_order="left")
        .with_columns(pl.col("safety", "hidden").fill_null(value=False))
    )
    tasks = pl.concat([_of_task(present, fleet, looks, task, seasons, as_of) for task in TASKS])
    return _in_order(with_put_offs(_with_cautions(tasks), put_offs, seasons, as_of))


def due_rows(tasks: pl.DataFrame, as_of: date, within_days: int, visit_days: int | None = None) -> pl.DataFrame:
    """Give the rows of the answer `due`.

    Parameters
    ----------
    tasks
        From `due_tasks`, with the column `chance_<days>` that is asked for.
    as_of
        Today.
    within_days
        Keep what falls due in so many days, is overdue, or whose day cannot be told.
    visit_days
        Days until the yard next sees the boats, over which failing is reckoned; `None`: the look-ahead.

    Returns
    -------
    pl.DataFrame
        Columns of the answer `due`; overdue first, then by day.
    """
    days = within_days if visit_days is None else visit_days
    chance = pl.col(f"chance_{days}") if days else pl.when(pl.col("state") == RUNNING).then(0.0)
    rows = within(tasks, as_of, within_days).with_columns(chance.alias("failure_probability"))
    told = [because(row, as_of, days) for row in rows.to_dicts()]
    return rows.with_columns(pl.Series("because", told, pl.String)).select(names_of("due"))


def within(tasks: pl.DataFrame, as_of: date, days: int) -> pl.DataFrame:
    """Keep the tasks that are overdue, fall due within so many days, or whose day cannot be told: age or use is not known."""
    last = as_of + timedelta(days=days)
    return tasks.filter((pl.col("due_on") <= last) | (pl.col("due_on").is_null() & pl.col("due_by").is_null()))


def _of_task(present: pl.DataFrame, fleet: Fleet, looks: pl.DataFrame, task: str, seasons: Seasons, as_of: date) -> pl.DataFrame:
    planned = with_interval(present, fleet.plan, fleet.limits, task)
    has_interval = pl.col("every_h").is_not_null() | pl.col("every_months").is_not_null()
    is_down = pl.col("state") == DOWN
    has_task = has_interval | is_down if task == "renew" else has_interval & ~is_down
    since = _with_ceiling(_since_last(planned.filter(has_task), looks, task, as_of))
    due, by, left_h = _reached(since, "every", seasons)
    ceiling, _, _ = _reached(since, "ceiling", seasons)
    return since.with_columns(
        pl.lit(task).alias("task"),
        pl.Series("due_in_h", left_h).fill_nan(None),
        pl.when(is_down).then("since").otherwise(pl.Series("due_on", days_on(as_of, due), pl.Date)).alias("due_on"),
        pl.Series("due_by", by, pl.String),
        pl.when(is_down & (pl.col("safety") | pl.col("hidden")))
        .then("since")
        .when(~is_down)
        .then(pl.Series("ceiling_on", days_on(as_of, ceiling), pl.Date))
        .alias("ceiling_on"),
    )


def _with_ceiling(tasks: pl.DataFrame) -> pl.DataFrame:
    """Add what the task may not be put off past: a limit that must be kept; of a safety or hidden part without one, the interval itself."""
    kept, must_not_fail = pl.col("limit_is_ceiling").fill_null(value=False), pl.col("safety") | pl.col("hidden")
    return tasks.with_columns(
        pl.when(kept).then(f"limit_{clock}").when(must_not_fail).then(f"every_{clock}").alias(f"ceiling_{clock}") for clock in _CLOCKS
    )


def _reached(tasks: pl.DataFrame, what: str, seasons: Seasons) -> tuple[Array, list[str | None], Array]:
    """Days until an age is reached on the clock that comes first, which clock that is, and the hours left."""
    left_h, left_months = ((tasks[f"{what}_{clock}"] - tasks[f"since_{clock}"]).cast(pl.Float64).to_numpy() for clock in _CLOCKS)
    by_hours = seasons.days_until(tasks["hours_engine_id"].to_list(), left_h)
    by_months = left_months * DAYS_A_MONTH
    known = ~(np.isnan(by_hours) & np.isnan(by_months))
    first = np.where(np.isnan(by_months) | (by_hours <= by_months), "hours", "months")
    return np.fmin(by_hours, by_months), [str(clock) if told else None for clock, told in zip(first, known, strict=True)], left_h


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
        pl.when(later).then("done_on").otherwise("began_on").alias("done_on"),
    ).drop("done_h")


def _with_cautions(rows: pl.DataFrame) -> pl.DataFrame:
    cautions = {component: caution_for(component) for component in rows["component"].unique()}
    caution = pl.col("component").replace_strict(cautions, return_dtype=pl.String) if cautions else pl.lit(None, pl.String)
    unknown = pl.col("due_on").is_null() & (pl.col("state") == UNKNOWN)
    return rows.with_columns(
        pl.when(unknown).then(pl.concat_str(pl.lit(NOT_KNOWN + " "), caution)).otherwise(caution).alias("caution"),
        pl.col("began_on").alias("fitted_on"),
        pl.when(pl.col("state") == RUNNING).then("age_h").alias("age_h"),
    )


def _in_order(tasks: pl.DataFrame) -> pl.DataFrame:
    order = [pl.col("overdue").fill_null(value=False).not_(), pl.col("due_on"), "vessel_id", "engine_id", "component", "position", "task"]
    return tasks.sort(order, nulls_last=True)
