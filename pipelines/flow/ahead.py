"""A day after the last record: parts have grown older since, and nothing else is known.

In: what the estimates of a scope read, a later day. Out: the same with the parts in place as old as they will be then.
Lives stay as they are: a part is watched up to the last record, so no later hour counts as lived without failing.
Elsewhere: what is due and used up by those ages (`advice`), where a filter's day becomes a day of the records (`scoping`).
"""

from dataclasses import replace
from datetime import date, timedelta

import polars as pl

from pipelines.advice.seasons import Seasons
from pipelines.errors import NoFigure
from pipelines.flow.estimating import Matter
from pipelines.flow.scoping import DAYS_A_MONTH
from pipelines.terms.scope import Scope

FURTHEST_DAYS = 366
"""How far past the last record ages are told: beyond a year, what was renewed meanwhile matters more than what was run."""


def day_ahead(scope: Scope, last: date) -> date | None:
    """Return the day after the last record that a person asked for; `None`: none was.

    Raises
    ------
    NoFigure
        If it is more than a year after the last record.
    """
    if scope.as_of is None or scope.as_of <= last or (scope.until is not None and scope.until < scope.as_of):
        return None
    if scope.as_of > last + timedelta(days=FURTHEST_DAYS):
        raise NoFigure(
            f"{scope.as_of}: more than a year after {last}, the last date in the records, so nobody knows what was renewed since. "
            f"Take the newer records in, or ask for a day up to {last + timedelta(days=FURTHEST_DAYS)}."
        )
    return scope.as_of


def moved_ahead(matter: Matter, day: date | None) -> Matter:
    """Let the parts in place grow older up to `day`, each engine at its own hours in each month; `None` moves nothing."""
    if day is None:
        return matter
    fitted = matter.fleet.fitted_now
    days = (day - matter.as_of).days
    run = Seasons(matter.fleet.engine_use, matter.as_of).hours_by(fitted["hours_engine_id"].to_list(), days)
    older = fitted.with_columns(
        age_h=pl.col("age_h") + pl.Series("run", run).fill_nan(None),
        age_months=pl.col("age_months") + days / DAYS_A_MONTH,
    )
    return replace(matter, as_of=day, fleet=replace(matter.fleet, fitted_now=older))


def told_of(day: date | None, last: date) -> str:
    """Say what is assumed of the days after the last record."""
    return (
        f"The records end on {last}. Ages on {day} are reckoned from each engine's own use in each month; "
        "what was done or failed since is not known."
    )
