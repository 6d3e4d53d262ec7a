"""The yard's weeks: tasks laid into weeks of so many hours, the most urgent first, never past a ceiling without saying so.

In: tasks with hours of labour, ceilings, chances of failing. Out: `laid_into_weeks`, a row a task with its week.
A task goes into the week it falls due; where that is full, into the nearest earlier week with room, else the first later one. A task that
would miss its ceiling goes before the others: tasks with ceilings, the nearest first, are laid before the rest, so that with tasks of
one length no ceiling is missed that any plan could keep (each may take any week up to its ceiling; Jackson 1955, earliest due date first).
Elsewhere: hours of labour (`labour`), which boats are tied up (`tied_up`).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from math import exp, log1p

import polars as pl

from pipelines.advice.due import HORIZONS
from pipelines.terms.spoken import spoken_day

WEEK = 7
PLACE = ("vessel_id", "engine_id", "component", "position", "task")
SCHEMA = {
    "week": pl.Date,
    **dict.fromkeys(PLACE, pl.String),
    "labour_h": pl.Float64,
    "labour_from": pl.String,
    "due_on": pl.Date,
    "wanted_week": pl.Date,
    "ceiling_on": pl.Date,
    "weeks_late": pl.Int64,
    "past_ceiling": pl.Boolean,
    "failure_meanwhile": pl.Float64,
    "note": pl.String,
}
_NEARLY = 1e-9


@dataclass(frozen=True)
class Job:
    """One task to be laid: its labour, the week it wants (0: the first), the last week its ceiling allows (`None`: none)."""

    labour_h: float
    wanted: int
    last: int | None = None


def first_week(as_of: date) -> date:
    """Return the Monday of the first week that still has a day after `as_of`."""
    tomorrow = as_of + timedelta(days=1)
    return tomorrow - timedelta(days=tomorrow.weekday())


def laid_into_weeks(tasks: pl.DataFrame, tied: Sequence[str], as_of: date, hours_a_week: float) -> pl.DataFrame:
    """Lay tasks into weeks.

    Parameters
    ----------
    tasks
        From `due.due_tasks`, with labour_h, labour_from and failure_cost (empty: not known). Those whose day is not known come into the
        first week: somebody has to look.
    tied
        Boats that should stay tied up; their tasks that are due come first, in the first week.
    as_of
        Today.
    hours_a_week
        Hours the yard works a week, above 0; 0: not limited.

    Returns
    -------
    pl.DataFrame
        Columns of `SCHEMA`, by week and urgency. failure_meanwhile is the chance of failing between the week wanted and the week given
        (empty: nothing slips, or no chance is known); past_ceiling tells a task whose week begins after its ceiling; note says either.
    """
    monday = first_week(as_of)
    ordered = _by_urgency(tasks, tied, as_of, monday)
    jobs = [Job(*row) for row in ordered.select("labour_h", "wanted", "last").iter_rows()]
    given = lay(jobs, hours_a_week)
    placed = ordered.with_columns(pl.Series("given", given, pl.Int64))
    meanwhile = [_meanwhile(row, as_of, monday) for row in placed.to_dicts()]
    late = pl.col("given") - pl.col("wanted")
    told = placed.with_columns(
        _week("given", monday).alias("week"),
        _week("wanted", monday).alias("wanted_week"),
        pl.max_horizontal(late, pl.lit(0)).alias("weeks_late"),
        (pl.col("given") > pl.col("last")).fill_null(value=False).alias("past_ceiling"),
        pl.Series("failure_meanwhile", meanwhile, pl.Float64),
    )
    notes = [_note(row, as_of, hours_a_week) for row in told.to_dicts()]
    return told.with_columns(pl.Series("note", notes, pl.String)).sort("given", maintain_order=True).select(*SCHEMA)


def week_totals(weeks: pl.DataFrame) -> pl.DataFrame:
    """Add up the hours and tasks of each week: week, jobs, labour_h, slipped (jobs from an earlier week), past_ceiling (jobs)."""
    return (
        weeks.group_by("week", maintain_order=True)
        .agg(
            pl.len().cast(pl.Int64).alias("jobs"),
            pl.col("labour_h").sum(),
            (pl.col("weeks_late") > 0).sum().cast(pl.Int64).alias("slipped"),
            pl.col("past_ceiling").sum().cast(pl.Int64),
        )
        .sort("week")
    )


def lay(jobs: Sequence[Job], hours_a_week: float) -> list[int]:
    """Give each job, in order of urgency, a week; no week holds more than its hours unless one longer job has it for itself.

    Where a job would miss its last week, it and all that would are laid before the others, the nearest last week first, until none is
    missed that was not laid so already.
    """
    if hours_a_week <= 0:
        return [job.wanted for job in jobs]
    first: set[int] = set()
    while True:
        given = _laid(jobs, first, hours_a_week)
        missed = {place for place, job in enumerate(jobs) if job.last is not None and given[place] > max(job.last, 0)}
        if missed <= first:
            return given
        first |= missed


def _laid(jobs: Sequence[Job], first: set[int], hours_a_week: float) -> list[int]:
    used: dict[int, float] = {}
    given = [0] * len(jobs)
    ahead = sorted(first, key=lambda place: (jobs[place].last, place))
    for place in [*ahead, *(place for place in range(len(jobs)) if place not in first)]:
        week = _room(jobs[place], used, hours_a_week)
        used[week] = used.get(week, 0.0) + jobs[place].labour_h
        given[place] = week
    return given


def _room(job: Job, used: dict[int, float], hours_a_week: float) -> int:
    """Find the week for a job: the one wanted, else the nearest earlier with room, else the first later."""

    def fits(week: int) -> bool:
        held = used.get(week, 0.0)
        return held == 0 or held + job.labour_h <= hours_a_week + _NEARLY

    wanted = job.wanted if job.last is None else min(job.wanted, max(job.last, 0))
    for week in range(wanted, -1, -1):
        if fits(week):
            return week
    week = wanted + 1
    while not fits(week):
        week += 1
    return week


def _by_urgency(tasks: pl.DataFrame, tied: Sequence[str], as_of: date, monday: date) -> pl.DataFrame:
    """Order tasks: of boats tied up, then overdue, then by the day to act on, then by chance of failing times its cost."""
    act_on = pl.max_horizontal("due_on", pl.when(pl.col("deferred_until") > as_of).then("deferred_until"))
    late = (pl.col("due_on") <= as_of).fill_null(value=True)
    at_risk = (pl.col(f"chance_{HORIZONS[1]}") * pl.col("failure_cost")).fill_null(0.0)
    hurries = pl.col("vessel_id").is_in(list(tied)) & late
    weeks = ((act_on - pl.lit(monday)).dt.total_days() // WEEK).fill_null(0)
    ceiling = (pl.col("ceiling_on") - pl.lit(monday)).dt.total_days() // WEEK
    return tasks.with_columns(
        pl.when(hurries).then(0).otherwise(weeks.clip(lower_bound=0)).cast(pl.Int64).alias("wanted"),
        ceiling.clip(lower_bound=0).cast(pl.Int64).alias("last"),
    ).sort(
        [~hurries, ~pl.col("overdue").fill_null(value=False), act_on, -at_risk, *(pl.col(name) for name in PLACE)],
        nulls_last=True,
        maintain_order=True,
    )


def _week(number: str, monday: date) -> pl.Expr:
    return pl.lit(monday) + pl.duration(days=pl.col(number) * WEEK)


def chance_between(chances: Sequence[tuple[int, float | None]], begin: float, end: float) -> float | None:
    """Chance of failing between two days ahead, given that it lasts until the first.

    Parameters
    ----------
    chances
        Days ahead and the chance of failing within them, rising; between and beyond them the hazard is taken to be even.
    begin, end
        Days ahead, 0 or more.
    """
    known = [(float(days), -log1p(-min(chance, 1 - 1e-12))) for days, chance in chances if chance is not None]
    if not known or end <= begin:
        return None
    points = [(0.0, 0.0), *known]
    return 1 - exp(_hazard(points, begin) - _hazard(points, end))


def _hazard(points: Sequence[tuple[float, float]], day: float) -> float:
    """Cumulative hazard by a day, straight between the points and beyond the last."""
    for (left, low), (right, high) in pairwise(points):
        if day <= right:
            return low + (high - low) * (day - left) / (right - left)
    (left, low), (right, high) = points[-2:]
    return high + (high - low) / (right - left) * (day - right)


def _meanwhile(row: dict, as_of: date, monday: date) -> float | None:
    if row["given"] <= row["wanted"]:
        return None
    begin, end = ((monday - as_of).days + WEEK * row[name] for name in ("wanted", "given"))
    return chance_between([(days, row[f"chance_{days}"]) for days in HORIZONS], max(begin, 0), max(end, 0))


def _note(row: dict, as_of: date, hours_a_week: float) -> str | None:
    """Say what does not fit, where it goes, and what may happen meanwhile."""
    told = []
    if hours_a_week > 0 and row["labour_h"] > hours_a_week:
        told.append(f"takes {row['labour_h']:g} h, more than a week of {hours_a_week:g} h")
    if row["weeks_late"]:
        wanted, given = (spoken_day(row[name]) for name in ("wanted_week", "week"))
        told.append(f"does not fit in the week of {wanted}: slips to {given}{_risk(row['failure_meanwhile'])}")
    if row["past_ceiling"] and row["ceiling_on"] <= as_of:
        told.append(f"past what must be kept since {spoken_day(row['ceiling_on'])}: the boat stays tied up until it is done")
    elif row["past_ceiling"]:
        told.append(f"passes what must be kept on {spoken_day(row['ceiling_on'])}: from then the boat stays tied up until it is done")
    return "; ".join(told) or None


def _risk(chance: float | None) -> str:
    if chance is None:
        return ""
    return f", {'under 0.1' if chance < 0.001 else f'{100 * chance:.1f}'} % chance that it fails meanwhile"
