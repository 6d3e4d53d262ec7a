"""What it costs to do a job on another day than its own: nothing there, more with every day before and after.

In: the jobs of the due list with their intervals, ages, costs and laws, engine hours ahead. Out: `Moves`: of each job its own day, the last
day it may be done, and the cost of doing it on each day.
Elsewhere: which jobs share a visit (`visits`).

Notes
-----
A part renewed before its day is used for less: each day brought forward costs the cost rate of its interval, less what it spares in
failures; each day put back costs the failures it adds, less the cost rate. This is the penalty function of [1]_ and [2]_ for age
replacement, averaged over the laws, with the cost of the visit in the cost rate. A day whose sum is below nought counts as nought: what
another interval would save is no saving of a visit. So the cost never falls with the distance from a job's own day.

References
----------
.. [1] Dekker, R., Smit, A. C. J. M. and Losekoot, J. E. (1991). Combining maintenance activities in an operational planning phase: a
   set-partitioning approach. IMA Journal of Mathematics Applied in Business and Industry 3(4), 315-331.
.. [2] Dekker, R., Wildeman, R. E. and van der Duyn Schouten, F. A. (1997). A review of multi-component maintenance models with economic
   dependence. Mathematical Methods of Operations Research 45(3), 411-435.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipelines.advice.age_replacement import Array
from pipelines.advice.case import Estimate
from pipelines.advice.chances import matched
from pipelines.advice.laws import representative
from pipelines.advice.present import DOWN
from pipelines.advice.seasons import Seasons
from pipelines.advice.use import DAYS_A_MONTH, MONTHS_A_YEAR
from pipelines.fits.blocks import Block

Days = NDArray[np.intp]
LAWS = 60
_KNOTS_APART = 7
_NEW_KNOTS = 24
_GONE = 1e-300
RENEW = "renew"


@dataclass(frozen=True, eq=False)
class Moves:
    """What moving each job costs.

    Attributes
    ----------
    own_day, last_day
        Shape (n,): days from today of the job's own day (0: overdue) and of the last day it may be done.
    cost
        Shape (n, days + 1), money: nought on the job's own day, not falling with the distance from it, infinite after the last day.
    """

    own_day: Days
    last_day: Days
    cost: Array

    def of(self, rows: Days) -> "Moves":
        """Return those of some jobs."""
        return Moves(self.own_day[rows], self.last_day[rows], self.cost[rows])


def moves_of(jobs: pl.DataFrame, estimates: Sequence[Estimate], seasons: Seasons, as_of: date, days: int, slack: float) -> Moves:
    """Reckon what moving each job costs.

    Parameters
    ----------
    jobs
        From `visit_plan.jobs_with_costs`: task, due_on, overdue, deferred_until, state, age_h, age_months, year_h, every_h, every_months,
        limit_days, safety, hidden, planned_cost, failure_cost, visit_cost and the columns that estimates are grouped by.
    estimates
        Laws of each part; a job of a part without one costs its share of the renewal and the visit.
    days
        Days ahead that visits are planned for; own days lie within them.
    slack
        Share of its interval that a renewal may be put back to share a visit.
    """
    interval_days = DAYS_A_MONTH * _interval_months(jobs)
    own = np.clip(_days_from(jobs, "due_on", as_of), 0, days).astype(np.intp)
    own = np.clip(np.fmax(own, _days_from(jobs, "deferred_until", as_of)), 0, days).astype(np.intp)
    last = _last_days(jobs, own, slack * interval_days, as_of, days)
    forward, back = _a_day(jobs, estimates, seasons, days, interval_days)
    return Moves(own, last, _costs_by_day(own, last, forward, back))


def _costs_by_day(own: Days, last: Days, forward: Array, back: Array) -> Array:
    """Add up what each day brought forward or put back costs, from the job's own day outwards; infinite after its last day."""
    days = np.arange(forward.shape[1] + 1)
    before, after = (np.hstack((np.zeros((own.size, 1)), np.cumsum(held, axis=1))) for held in (forward, back))
    at = np.arange(own.size), own
    cost = np.where(days < own[:, None], before[at][:, None] - before, after - after[at][:, None])
    return np.where(days > last[:, None], np.inf, np.maximum(cost, 0.0))


def _last_days(jobs: pl.DataFrame, own: Days, room: Array, as_of: date, days: int) -> Days:
    """Day after which each job must not be done: its own, but for renewals that a limit, a caution or a person leaves room to put back."""
    free = jobs.select(
        (pl.col("task") == RENEW)
        & ~pl.col("overdue").fill_null(value=False)
        & (pl.col("state") != DOWN)
        & pl.col("deferred_until").is_null()
        & ~(pl.col("safety") | pl.col("hidden"))
    ).to_series()
    room = np.floor(np.nan_to_num(room))
    ceiling = np.nan_to_num(_days_from(jobs, "ceiling_on", as_of), nan=np.inf)
    latest = np.minimum(own + np.where(free.to_numpy(), room, 0), np.maximum(ceiling, own))
    return np.minimum(latest, days).astype(np.intp)


def _a_day(jobs: pl.DataFrame, estimates: Sequence[Estimate], seasons: Seasons, days: int, interval_days: Array) -> tuple[Array, Array]:
    """Money each day brought forward and put back costs, shape (n, days) each; laws say it, else even wear of what the job costs."""
    visit, planned = (np.nan_to_num(_money(jobs, name)) for name in ("visit_cost", "planned_cost"))
    renewal = (jobs["task"] == RENEW).to_numpy()
    with np.errstate(divide="ignore", invalid="ignore"):
        even = np.nan_to_num((visit + np.where(renewal, planned, 0.0)) / interval_days, posinf=0.0)
    forward, back = np.tile(even[:, None], days), np.zeros((jobs.height, days))
    for estimate, rows in matched(jobs, estimates):
        rows = rows[renewal[rows] & ~np.isnan(_money(jobs, "failure_cost")[rows]) & ~np.isnan(interval_days[rows])]
        if estimate.posterior is None or not rows.size:
            continue
        told = _by_laws(representative(estimate.posterior, LAWS), jobs[rows], seasons, days, interval_days[rows])
        known = ~np.isnan(told).any(axis=1)
        forward[rows[known]], back[rows[known]] = np.maximum(told[known], 0.0), np.maximum(-told[known], 0.0)
    return forward, back


def _by_laws(blocks: Sequence[Block], jobs: pl.DataFrame, seasons: Seasons, days: int, interval_days: Array) -> Array:
    """Cost rate of the interval less added failures on each day ahead, averaged over the laws whose clock is known, shape (n, days)."""
    knots = np.append(np.arange(0, days, _KNOTS_APART), days).astype(float)
    ahead = _ages_ahead(jobs, seasons, knots)
    new = _ages_of_a_new_part(jobs, interval_days)
    dearer = _money(jobs, "failure_cost") - _money(jobs, "planned_cost")
    sums, weights = [], []
    for block in blocks:
        share = block.weight / block.weight.sum()
        lasting = _lasting(block, ahead)
        lasting = lasting / np.maximum(lasting[:, :, :1], _GONE)
        rate = _cost_rates_a_day(_lasting(block, new), jobs, interval_days)
        lived = np.diff(knots) * (lasting[..., 1:] + lasting[..., :-1]) / 2
        sums.append(np.einsum("k,knm->nm", share, rate[..., None] * lived + dearer[None, :, None] * np.diff(lasting, axis=2)))
        weights.append(float(block.weight.sum()))
    return _spread_over_days(_mean_of_known(np.array(sums), np.array(weights)), knots)


def _cost_rates_a_day(lasting: Array, jobs: pl.DataFrame, interval_days: Array) -> Array:
    """Money a day of each interval, the visit counted, under each law, shape (laws, n); `lasting` of a new part by even steps."""
    step = interval_days / _NEW_KNOTS
    running = step * (lasting[..., 1:] + lasting[..., :-1]).sum(axis=2) / 2
    visit = np.nan_to_num(_money(jobs, "visit_cost"))
    planned, failure = _money(jobs, "planned_cost") + visit, _money(jobs, "failure_cost") + visit
    return (planned * lasting[..., -1] + failure * (1 - lasting[..., -1])) / np.maximum(running, _GONE)


def _ages_ahead(jobs: pl.DataFrame, seasons: Seasons, knots: Array) -> dict[str, Array]:
    engines = jobs["hours_engine_id"].to_list()
    run = np.column_stack([seasons.hours_by(engines, float(day)) for day in knots])
    now = {clock: jobs[name].cast(pl.Float64).fill_null(np.nan).to_numpy()[:, None] for clock, name in _AGES.items()}
    return {"hours": now["hours"] + run, "months": now["months"] + knots / DAYS_A_MONTH}


_AGES = {"hours": "age_h", "months": "age_months"}


def _ages_of_a_new_part(jobs: pl.DataFrame, interval_days: Array) -> dict[str, Array]:
    months = interval_days[:, None] / DAYS_A_MONTH * np.linspace(0, 1, _NEW_KNOTS + 1)
    year_h = jobs["year_h"].cast(pl.Float64).fill_null(np.nan).to_numpy()[:, None]
    return {"hours": months * year_h / MONTHS_A_YEAR, "months": months}


def _lasting(block: Block, ages: Mapping[str, Array]) -> Array:
    """Survival at ages of shape (n, m) under each law, (laws, n, m)."""
    shape = ages["months"].shape
    return block.survival_of({clock: held.ravel() for clock, held in ages.items()}).reshape(-1, *shape)


def _spread_over_days(pieces: Array, knots: Array) -> Array:
    """Share what falls between two knots evenly among its days."""
    lengths = np.diff(knots).astype(np.intp)
    return np.repeat(pieces / lengths, lengths, axis=1)


def _mean_of_known(values: Array, weights: Array) -> Array:
    known = ~np.isnan(values)
    weight = weights[:, None, None] * known
    total = weight.sum(axis=0)
    return np.where(total > 0, np.nansum(values * weight, axis=0) / np.where(total > 0, total, 1.0), np.nan)


def _interval_months(jobs: pl.DataFrame) -> Array:
    """Months the interval comes to at the engine's own use, whichever clock is first; not a number where it has none."""
    by_hours = pl.when(pl.col("year_h") > 0).then(pl.col("every_h") / pl.col("year_h") * MONTHS_A_YEAR)
    return jobs.select(pl.min_horizontal("every_months", by_hours)).to_series().cast(pl.Float64).fill_null(np.nan).to_numpy()


def _days_from(jobs: pl.DataFrame, name: str, as_of: date) -> Array:
    days = (jobs[name].cast(pl.Date) - as_of).dt.total_days()
    return days.cast(pl.Float64).fill_null(np.nan).to_numpy()


def _money(jobs: pl.DataFrame, name: str) -> Array:
    return jobs[name].cast(pl.Float64).fill_null(np.nan).to_numpy()
