"""Why a task is due, in plain sentences: by which rule and whose, how far it is over or when it will be, what was put off, and the chance.

In: one row of `due.due_tasks` as a dictionary. Out: words. Elsewhere: the figures (`due`), the caution beside them (`terms.cautions`).
"""

from datetime import date
from typing import Any

from pipelines.advice.present import DOWN, UNKNOWN
from pipelines.advice.prospect import Decision
from pipelines.advice.words import counted, figure, interval_words
from pipelines.terms.spoken import spoken_day

Row = dict[str, Any]

_DOING = {"renew": "To be renewed", "inspect": "To be looked at", "test": "To be tested"}
_DONE = {"renew": "", "inspect": " since it was last looked at or fitted", "test": " since it was last tested or fitted"}
SURE = 0.995


def because(row: Row, as_of: date, days: int) -> str:
    """Say why one task is due.

    Parameters
    ----------
    row
        Of `due.due_tasks`, with failure_probability over `days`.
    as_of
        Today.
    days
        Days over which failing is reckoned.

    Returns
    -------
    str
        One to three sentences.
    """
    told = [_rule(row), _put_off(row, as_of), _chance(row["failure_probability"], days)]
    return " ".join(sentence for sentence in told if sentence)


def _rule(row: Row) -> str:
    if row["state"] == DOWN:
        return f"It failed on {spoken_day(row['due_on'])} and no renewal is recorded since."
    return f"{_DOING[row['task']]} {interval_words(Decision(row['every_h'], row['every_months']))}, {_whose(row)}{_how_far(row)}."


def _whose(row: Row) -> str:
    if row["interval_from"] == "limit":
        return "by the maker's or legal limit"
    by = f" {row['adopted_by']}" if row["adopted_by"] else ""
    on = f" on {spoken_day(row['adopted_on'])}" if row["adopted_on"] else ""
    plan = f"by the plan adopted{' by' if by else ''}{by}{on}" if by or on else "by the plan on record"
    return f"{plan}, cut to the limit that must be kept" if row["cut_to_limit"] else plan


def _how_far(row: Row) -> str:
    if row["state"] == UNKNOWN and row["due_on"] is None:
        return ", but no fitting is recorded, so its age is not known"
    since = _DONE[row["task"]]
    if row["due_by"] is None:
        unknown = "how this engine is used is not known" if row["since_h"] is not None else "its engine hours are not known"
        return f": {_age(row)}{since}, but {unknown}, so no day can be told"
    over = _over(row)
    if over:
        return f": {_age(row)}{since}, {over} over"
    if row["due_on"] is None:
        return f": {_age(row)}{since}, and at its use the interval is never reached"
    left = f"{figure(row['due_in_h'])} h left, " if row["due_by"] == "hours" else ""
    how = "by this engine's own use in each month" if row["due_by"] == "hours" else "by the calendar"
    return f": {_age(row)}{since}, {left}due on {spoken_day(row['due_on'])} {how}"


def _age(row: Row) -> str:
    hours, months = row["since_h"], row["since_months"]
    parts = [f"{figure(round(hours))} h"] if hours is not None and row["every_h"] is not None else []
    parts += [f"{figure(round(months, 1))} months"] if months is not None and (row["every_months"] is not None or not parts) else []
    return " and ".join(parts)


def _over(row: Row) -> str:
    """How far an interval is over on the clock that came first; empty: it is not."""
    clock = "h" if row["due_by"] == "hours" else "months"
    over = (row[f"since_{clock}"] or 0) - (row[f"every_{clock}"] or 0)
    if over < 0:
        return ""
    return f"{figure(round(over))} h" if clock == "h" else counted_months(over)


def counted_months(months: float) -> str:
    """Say a stretch of months: under two of them in days."""
    return f"{figure(round(months))} months" if months >= 2 else counted(round(months * 30.4375), "day", "days")


def _put_off(row: Row, as_of: date) -> str:
    """Say how often, by whom, why and until when; a day that is over is told as over."""
    times = row["times_put_off"]
    if not times:
        return ""
    often = {1: "once", 2: "twice"}.get(times, f"{times} times")
    last = f"{', last' if times > 1 else ''} by {row['put_off_by']}"
    ends = row["deferred_until"]
    until = f"until {ends}" if ends > as_of else f"until {ends}, which is over"
    return f"Put off {often}{last}, {until} ({row['put_off_because']})."


def _chance(chance: float | None, days: int) -> str:
    if chance is None or not days:
        return ""
    told = "under 1 %" if chance < 0.01 else "over 99 %" if chance > SURE else f"{100 * chance:.0f} %"
    return f"Chance of failing in the next {counted(days, 'day', 'days')} at its present age: {told}."
