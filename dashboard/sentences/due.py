"""Due work in words: boats tied up, a boat's jobs, the yard's weeks, the days of a month, what was put off.

In: the rows of `due` and what stands beside them. Out: Markdown, and rows with words for drawing.
Elsewhere: how many jobs there are, their cautions (`work`).
"""

from collections.abc import Mapping
from datetime import date
from typing import Any

import polars as pl

from dashboard.sentences.plain import as_day, counted, day, figure, literal, percent

MOST_LINES = 4
MOST_NAMED = 6


def job_name(row: Mapping[str, Any]) -> str:
    """Name a task where it is: `renew drive belt, engine E23`."""
    what = " ".join(str(word) for word in (row["task"], row["position"], row["component"]) if word)
    return f"{what}, engine {row['engine_id']}" if row["engine_id"] else what


def tied_up_words(boats: pl.DataFrame) -> str:
    """Say how many boats should stay tied up, as Markdown."""
    if boats.is_empty():
        return "**No boat has to stay tied up** by what the records say."
    return f"**{counted(boats.height, 'boat', 'boats')} should stay tied up** until a person has looked."


def tied_up_lines(boats: pl.DataFrame) -> list[str]:
    """Return a line a boat with its reasons in order, those of one sort told together, as Markdown."""
    return [f"**{literal(row['vessel_id'])}**: {literal(_together(row['reasons']))}" for row in boats.to_dicts()]


def _together(reasons: list[str]) -> str:
    """Write the reasons of one boat: each sort once, with its parts and the days since when."""
    sorts: dict[str, list[str]] = {}
    for reason in reasons:
        sort, _, what = reason.partition(": ")
        part, _, since = what.rpartition(", since ")
        sorts.setdefault(sort, []).append(f"{part} (since {since})" if part else what)
    return "; ".join(f"{sort}: {', '.join(parts)}" for sort, parts in sorts.items())


def boat_jobs(rows: pl.DataFrame) -> list[tuple[str, list[str]]]:
    """Return for each boat, those with most overdue first, its jobs as Markdown lines with why each is due."""
    late = pl.col("overdue").fill_null(value=False).sum().over("vessel_id")
    ordered = rows.with_columns(late.alias("late")).sort("late", "vessel_id", descending=[True, False], maintain_order=True)
    return [
        (str(boat), [_job_line(row) for row in held.to_dicts()]) for (boat, *_), held in ordered.group_by("vessel_id", maintain_order=True)
    ]


def _job_line(row: Mapping[str, Any]) -> str:
    sign = "**overdue** · " if row["overdue"] else ""
    return f"{sign}{literal(job_name(row))}. {literal(row.get('because') or '')}"


def week_lines(totals: pl.DataFrame, hours_a_week: float | None) -> pl.DataFrame:
    """Return the totals of weeks with `line` (week of which day) and `told` (jobs and hours), for drawing."""
    of = f" of {figure(hours_a_week)}" if hours_a_week else ""
    told = totals.to_dicts()
    lines = [f"week of {day(row['week'])}" for row in told]
    words = [f"{counted(row['jobs'], 'job', 'jobs')}, {figure(row['labour_h'])}{of} h" for row in told]
    return totals.with_columns(pl.Series("line", lines, pl.String), pl.Series("told", words, pl.String))


def weeks_words(totals: pl.DataFrame, hours_a_week: float | None) -> str:
    """Say whether the work fits the yard's hours, as Markdown."""
    hours, slipped, past = float(totals["labour_h"].sum()), int(totals["slipped"].sum()), int(totals["past_ceiling"].sum())
    if not hours_a_week:
        unlimited = "Say how many hours the yard has a week to see what fits; until then each job stands in its own week."
        return f"**{figure(hours)} h of work.** {unlimited}"
    weeks = f"weeks of {figure(hours_a_week)} h"
    if not slipped:
        return f"**All {figure(hours)} h of work fit** into {weeks}."
    kept = f", **{past:,} of them past what must be kept**" if past else ""
    one = slipped == 1
    return f"**{counted(slipped, 'job does', 'jobs do')} not fit** into {weeks} and {'slips' if one else 'slip'} to a later one{kept}."


def slipped_lines(weeks: pl.DataFrame) -> list[str]:
    """Return a line for each task that does not fit, as Markdown: those past what must be kept first, then the likeliest to fail."""
    noted = weeks.filter(pl.col("note").is_not_null()).sort("past_ceiling", "failure_meanwhile", descending=True, nulls_last=True)
    return [f"**{literal(row['vessel_id'])}** {literal(job_name(row))}: {literal(row['note'])}." for row in noted.to_dicts()]


def calendar_days(rows: pl.DataFrame, today: date | str) -> pl.DataFrame:
    """Return jobs by the day they stand on: day, jobs, overdue, what.

    A job that is overdue, or was due before and put off until a day that is over, stands on the day of the list; one put off stands on the
    day it is put off to. Jobs whose day is not known are left out.
    """
    now = as_day(today)
    put_off = pl.when(pl.col("deferred_until") > now).then("deferred_until")
    named = pl.Series("named", [f"{row['vessel_id']} {job_name(row)}" for row in rows.to_dicts()], pl.String)
    return (
        rows.with_columns(pl.max_horizontal("due_on", put_off, pl.lit(now)).alias("day"), named)
        .filter(pl.col("due_on").is_not_null())
        .group_by("day", maintain_order=True)
        .agg(pl.len().alias("jobs"), pl.col("overdue").fill_null(value=False).sum(), pl.col("named").alias("names"))
        .with_columns(pl.Series("what", [], pl.String) if rows.is_empty() else pl.col("names").map_elements(_some, pl.String).alias("what"))
        .drop("names")
        .sort("day")
    )


def _some(names: pl.Series) -> str:
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    return "; ".join(names[:MOST_NAMED]) + more


def not_dated_words(beside: Mapping[str, Any]) -> str:
    """Say how many jobs have no day and why; empty: all have one."""
    known = beside.get("not_known") or {}
    age, use = known.get("age", 0), known.get("use_of_engine", 0)
    told = [f"{counted(age, 'job has', 'jobs have')} no day because the part's age is not known"] if age else []
    told += [f"{counted(use, 'job has', 'jobs have')} no day because how the engine is used is not known"] if use else []
    return f"{'; '.join(told)}." if told else ""


def put_off_lines(rows: pl.DataFrame) -> list[str]:
    """Return a line for each task that was put off and is not done: what, by whom, why, until when, as Markdown."""
    found = rows.filter(pl.col("times_put_off") > 0).to_dicts() if "times_put_off" in rows.columns else []
    return [f"**{literal(row['vessel_id'])}** {literal(job_name(row))}: {_until(row)}" for row in found]


def _until(row: Mapping[str, Any]) -> str:
    signed = f"by {literal(row['put_off_by'])}, because {literal(row['put_off_because'])}{_often(row['times_put_off'])}"
    return f"until {day(row['deferred_until'])}, {signed}. Chance of failing: {_chance(row['failure_probability'])}."


def _often(times: int) -> str:
    return f" (put off {times} times)" if times > 1 else ""


def _chance(chance: float | None) -> str:
    return "not known" if chance is None else percent(chance)
