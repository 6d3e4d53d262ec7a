"""The jobs of every boat laid onto visits, with what sharing them saves.

In: tasks of the due list, costs, laws, engine hours ahead. Out: one row a job with the day of its visit.
Elsewhere: when a job is due (`due`), what moving it costs (`moving`), which jobs share a visit (`visits`), one row a visit (`visit_rows`).

A boat has visits of its own: no record says that one journey of the yard serves several boats, so none is assumed. A visit costs the
dearest `visit_cost` among the jobs of its boat.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import polars as pl

from pipelines.advice.age_replacement import Array
from pipelines.advice.case import Estimate, Fleet
from pipelines.advice.moving import Days, Moves, moves_of
from pipelines.advice.seasons import Seasons
from pipelines.advice.visits import best_single_day, visit_days, window_visits

JOB = ("engine_id", "vessel_id", "component", "position", "task")


def jobs_with_costs(tasks: pl.DataFrame, fleet: Fleet, as_of: date, days: int) -> pl.DataFrame:
    """Return the tasks whose day is known and within so many days, with what they cost; visit_cost is the fleet's where a part has none."""
    names = ("planned_cost", "failure_cost", "visit_cost")
    costs = fleet.costs.select("component", *(pl.col(name).cast(pl.Float64) for name in names)).unique("component", keep="last")
    dated = tasks.drop(names, strict=False).filter(pl.col("due_on") <= as_of + timedelta(days=days))
    joined = dated.join(costs, on="component", how="left", maintain_order="left")
    return joined.with_columns(pl.col("visit_cost").fill_null(pl.lit(costs["visit_cost"].max(), pl.Float64)))


@dataclass(frozen=True)
class Manner:
    """How visits are made.

    Attributes
    ----------
    slack
        Share of its interval that a renewal may be put back.
    visit_cost
        Counts in place of what is recorded.
    window_days
        Jobs are put together by this many days instead of by cost, each brought forward to the first of them.
    """

    slack: float = 0.1
    visit_cost: float | None = None
    window_days: int | None = None


def planned_visits(
    tasks: pl.DataFrame, fleet: Fleet, estimates: Sequence[Estimate], as_of: date, days: int, manner: Manner
) -> pl.DataFrame:
    """Lay the jobs due within so many days onto visits, boat by boat.

    Parameters
    ----------
    tasks
        From `due.due_tasks`.
    fleet, estimates
        As the tasks were made from.
    days
        Days ahead that jobs are looked for; visits near the end are better planned by looking further.
    manner
        How visits are made.

    Returns
    -------
    pl.DataFrame
        One row a job, by visit: the columns of `JOB`, base, vessel_class, due_on, overdue, deferred_until, caution, visit_on, own_on,
        moved_days (below 0: brought forward), moving_cost, visit_cost (of its boat), alone (its share of the visits if each job were done
        on its own day), at_one_service (cost of moving it to the best day for all jobs of the boat together). Where no cost of a visit is
        known, money is empty, and without a window there are no rows.
    """
    jobs = jobs_with_costs(tasks, fleet, as_of, days)
    if manner.visit_cost is not None:
        jobs = jobs.with_columns(visit_cost=pl.lit(manner.visit_cost, pl.Float64))
    if manner.window_days is None:
        jobs = jobs.filter(pl.col("visit_cost") > 0)
    moves = moves_of(jobs, estimates, Seasons(fleet.engine_use, as_of), as_of, days, manner.slack)
    return _laid(jobs, moves, *_by_boat(jobs, moves, manner.window_days), as_of)


def _by_boat(jobs: pl.DataFrame, moves: Moves, window_days: int | None) -> tuple[Days, dict[str, Array]]:
    """Day of each job, and money: moving it, a visit, its share of visits alone, moving it to one service."""
    day = np.zeros(jobs.height, dtype=np.intp)
    told = {name: np.zeros(jobs.height) for name in ("moving_cost", "visit_cost", "alone", "at_one_service")}
    recorded = jobs["visit_cost"].fill_null(np.nan).to_numpy()
    for rows in jobs.with_row_index("row").group_by("vessel_id", maintain_order=True).agg("row")["row"].to_list():
        here = np.array(rows, dtype=np.intp)
        own, visit = moves.of(here), float(recorded[here].max())
        day[here] = visit_days(own, visit) if window_days is None else window_visits(own, window_days)
        told["visit_cost"][here] = visit
        told["moving_cost"][here] = own.cost[np.arange(here.size), day[here]]
        told["alone"][here] = visit / _sharing(own.own_day)
        told["at_one_service"][here] = own.cost[:, best_single_day(own)]
    return day, told


def _sharing(days: Days) -> Array:
    """How many jobs of one boat have the same own day, for each job: they share a visit without being moved."""
    _, which, counts = np.unique(days, return_inverse=True, return_counts=True)
    return counts[which].astype(float)


def _laid(jobs: pl.DataFrame, moves: Moves, day: Days, figures: dict[str, Array], as_of: date) -> pl.DataFrame:
    days = {"visit_on": day, "own_on": moves.own_day}
    dates = [pl.Series(name, [as_of + timedelta(days=int(one)) for one in held], pl.Date) for name, held in days.items()]
    moved = pl.Series("moved_days", day - moves.own_day, pl.Int64)
    told = jobs.select(*JOB, "base", "vessel_class", "due_on", "overdue", "deferred_until", "caution").with_columns(*dates, moved)
    money = {name: np.where(np.isnan(figures["visit_cost"]), np.nan, held) for name, held in figures.items()}
    priced = told.with_columns(pl.Series(name, held).fill_nan(None) for name, held in money.items())
    return priced.sort("visit_on", "vessel_id", maintain_order=True)
