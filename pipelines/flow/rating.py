"""Rates of calls or failures for a part of the fleet and of time.

In: a source, filters, a grouping. Out: rows of the answer `rates`, the hours watched, the records they rest on.
Elsewhere: the rates themselves (`fits.rate_table`).
"""

import polars as pl

from pipelines.errors import NoFigure
from pipelines.fits.rate_table import OWN_HOURS, failure_rate_table, rate_table
from pipelines.fits.watched_hours import position_hours, with_known_hours
from pipelines.flow.estimating import lives_of
from pipelines.flow.scoping import dated_within, of_scope
from pipelines.flow.sources import Source
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings

BY_BOAT = ("base", "vessel_class", "engine_model")


def rate_answer(source: Source, scope: Scope, settings: Settings, of: str, by: str) -> tuple[pl.DataFrame, float | None, int]:
    """Return the rows, the engine hours watched (`None`: not known) and how many records were counted.

    Raises
    ------
    NoFigure
        If there is nothing to count and nothing was watched.
    """
    if of == "failures":
        return _of_failures(source, scope, settings, by)
    calls = dated_within(of_scope(source.frame("select * from derived.calls"), scope), "called_on", scope)
    months = _whole_months(of_scope(source.frame("select * from derived.engine_months"), scope, BY_BOAT), scope)
    rows = _named(rate_table(calls, months, by, settings.level, _trips(source, scope)))
    hours = float(with_known_hours(months)["engine_h"].sum())
    return rows, hours or None, calls.height


def _of_failures(source: Source, scope: Scope, settings: Settings, by: str) -> tuple[pl.DataFrame, float | None, int]:
    if scope.since or scope.until:
        raise NoFigure("Failures of parts are set against the whole time their positions were watched; leave --since and --until out.")
    lives = lives_of(source, scope)
    systems = dict(source.frame("select component, system from accepted.catalogue").iter_rows())
    months = source.frame("select * from derived.engine_months") if by in OWN_HOURS else None
    rows = _named(failure_rate_table(lives, by, settings.level, months, systems))
    return rows, float(position_hours(lives)["engine_h"].sum()) or None, int(rows["events"].sum())


def _named(rows: pl.DataFrame) -> pl.DataFrame:
    return rows.rename({"name": "group"})


def _whole_months(months: pl.DataFrame, scope: Scope) -> pl.DataFrame:
    """Keep the months in the filters' days; a month counts when its first day does."""
    first = scope.since.replace(day=1) if scope.since else None
    return dated_within(months, "month", Scope(since=first, until=scope.until))


def _trips(source: Source, scope: Scope) -> pl.DataFrame | None:
    trips = source.frame("select vessel_id, cast(date_trunc('month', out_at) as date) as month from accepted.trips")
    kept = dated_within(trips, "month", scope)
    return None if kept.is_empty() else kept
