"""Rates of calls or failures for a part of the fleet and of time.

In: a source, filters, a grouping. Out: rows of the answer `rates`, the hours watched, the records they rest on; the events themselves;
two rows compared.
Elsewhere: the rates themselves (`fits.rate_table`), what lies behind them (`patterns`).
"""

from typing import Any

import polars as pl

from pipelines.errors import NoFigure, UnknownWord
from pipelines.fits.rate_table import OWN_HOURS, failure_rate_table, named_column, rate_table
from pipelines.fits.rates import PER_HOURS, rate_ratio
from pipelines.fits.watched_hours import failures_of_lives, position_hours, with_known_hours
from pipelines.flow.estimating import lives_of
from pipelines.flow.patterns import patterns_of_calls, patterns_of_failures
from pipelines.flow.scoping import dated_within, of_scope
from pipelines.flow.sources import Source
from pipelines.terms.causes import UNKNOWN
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings

BY_BOAT = ("base", "vessel_class", "engine_model")
OF_CALLS = ("call_id", "called_on", "vessel_id", "engine_id", "symptom", "cause", "component", "outcome", "downtime_h", "cost", "row_id")
OF_FAILURES = ("life_id", "ended_on", "vessel_id", "engine_id", "component", "position", "low_h", "ending", "cause", "evidence")
"""Columns of the records behind a rate."""


def rate_answer(source: Source, scope: Scope, settings: Settings, of: str, by: str) -> tuple[pl.DataFrame, float | None, int]:
    """Return the rows, the engine hours watched (`None`: not known) and how many records were counted.

    Raises
    ------
    NoFigure
        If there is nothing to count and nothing was watched.
    """
    if of == "failures":
        return _of_failures(source, scope, settings, by)
    calls, months = calls_of(source, scope), months_of(source, scope)
    rows = _named(rate_table(calls, months, by, settings.level, _trips(source, scope)))
    hours = float(with_known_hours(months)["engine_h"].sum())
    return rows, hours or None, calls.height


def patterns_answer(source: Source, scope: Scope, settings: Settings, of: str) -> dict[str, Any]:
    """Return the patterns behind the rates, by their keys in the answer; see `patterns`."""
    vessels = rate_answer(source, scope, settings, of, "vessel")[0]
    if of == "failures":
        return patterns_of_failures(rate_answer(source, scope, settings, of, "month")[0], vessels, settings.level)
    return patterns_of_calls(calls_of(source, scope), months_of(source, scope), vessels, settings.level)


def events_behind(source: Source, scope: Scope, of: str, by: str) -> pl.DataFrame:
    """List what a rate counts, latest first, each with `group`, the row of the answer it is counted in."""
    events = failures_of_lives(lives_of(source, scope), _systems(source)) if of == "failures" else calls_of(source, scope)
    column, day, words = named_column(by), "ended_on" if of == "failures" else "called_on", OF_FAILURES if of == "failures" else OF_CALLS
    word = pl.col(column).dt.strftime("%Y-%m") if by == "month" else pl.col(column)
    return events.with_columns(word.fill_null(UNKNOWN).alias("group")).select("group", *words).sort(day, descending=True, nulls_last=True)


def compared(rows: pl.DataFrame, one: str, other: str, level: float) -> dict[str, Any]:
    """Compare the rates of two rows of an answer: `ratio`, `low`, `high`, `p_value`, or a `note` that says why there is none.

    Raises
    ------
    UnknownWord
        If the answer has no such row.
    """
    pair = [_counted(rows, name) for name in (one, other)]
    try:
        (events, hours), (others, other_hours) = pair
        found = rate_ratio(events, hours, others, other_hours, level)
    except NoFigure as reason:
        return {"group": one, "other": other, "ratio": None, "low": None, "high": None, "p_value": None, "note": str(reason)}
    told = {"ratio": found.value, "low": found.low, "high": found.high, "p_value": found.p_value, "note": None}
    return {"group": one, "other": other, **told}


def _counted(rows: pl.DataFrame, name: str) -> tuple[int, float]:
    """Events in known hours, and those hours, of one row."""
    found = rows.filter(pl.col("group") == name)
    if found.is_empty():
        raise UnknownWord(f"{name!r}: not a row of this answer. Its rows: {', '.join(rows['group'].head(12))}.")
    rate, hours = found["rate"][0], found["exposure_h"][0] or 0.0
    return round((rate or 0.0) * hours / PER_HOURS), hours


def calls_of(source: Source, scope: Scope) -> pl.DataFrame:
    """Return the calls of a scope, rows of `derived.calls`."""
    return dated_within(of_scope(source.frame("select * from derived.calls"), scope), "called_on", scope)


def months_of(source: Source, scope: Scope) -> pl.DataFrame:
    """Return the months in which calls of a scope were watched, rows of `derived.engine_months`."""
    return _whole_months(of_scope(source.frame("select * from derived.engine_months"), scope, BY_BOAT), scope)


def _systems(source: Source) -> dict[str, str]:
    return dict(source.frame("select component, system from accepted.catalogue").iter_rows())


def _of_failures(source: Source, scope: Scope, settings: Settings, by: str) -> tuple[pl.DataFrame, float | None, int]:
    if scope.since or scope.until:
        raise NoFigure("Failures of parts are set against the whole time their positions were watched; leave --since and --until out.")
    lives = lives_of(source, scope)
    months = source.frame("select * from derived.engine_months") if by in OWN_HOURS else None
    rows = _named(failure_rate_table(lives, by, settings.level, months, _systems(source)))
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
