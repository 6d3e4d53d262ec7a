"""Rates of all groups at once: by cause, base, boat, month and so on.

In: events, and what was watched (frames of `derived.calls` and `derived.engine_months`, or `derived.lives`).
Out: a frame with the columns of the answer `rates`, with the exact limits of each share beside them.
Unknown is a group of its own and is never shared out among the known ones.
Elsewhere: one rate (`rates`), one boat against the fleet (`boat_limits`), a change over time (`trend`).
"""

from collections.abc import Mapping

import polars as pl

from pipelines.errors import NoFigure, UnknownWord
from pipelines.fits.rates import PER_HOURS, count_limits, share_limits
from pipelines.fits.shrinkage import fit_gamma_prior
from pipelines.fits.watched_hours import (
    boat_months,
    failures_of_lives,
    fell_within,
    position_hours,
    position_hours_by_month,
    with_known_hours,
)
from pipelines.terms.causes import UNCODED, UNKNOWN

FLEET_WIDE = {"cause": "cause", "system": "system", "symptom": "symptom", "component": "component", "remedy": "remedy"}
"""Groupings whose events are set against the whole fleet's hours, with their column."""
OWN_HOURS = {"class": "vessel_class", "base": "base", "model": "engine_model", "vessel": "vessel_id", "month": "month"}
"""Groupings with hours of their own, with their column."""

NO_HOURS = "No engine hours are known here, so there is no rate; counts and shares stand."
NOT_KNOWN = "Not known; never shared out among the known ones."
_KEYS = ("events", "timed", "exposure_h", "daily", "boat_days", "tripped", "trips")


def rate_table(
    events: pl.DataFrame, exposure: pl.DataFrame, by: str, level: float = 0.95, trips: pl.DataFrame | None = None
) -> pl.DataFrame:
    """Rates of calls by a grouping.

    Parameters
    ----------
    events
        Rows of `derived.calls`: `vessel_id`, `month` and the grouping's column. Each counts once, whatever engines its boat has.
    exposure
        Rows of `derived.engine_months`.
    by
        A key of `FLEET_WIDE` or `OWN_HOURS`.
    level
        Confidence level of the limits.
    trips
        `vessel_id` and `month` of each trip, where trips are on record; `per_trip` is over boats and months that have any.

    Returns
    -------
    polars.DataFrame
        By falling number of events (months in order), the unknown last: `name`, `events`, `share` with `share_low` and
        `share_high`, `exposure_h`, `rate`, `low`, `high` (per 1,000 engine hours), `shrunken_rate` (empty for the
        unknown), `per_boat_day`, `per_trip`, `note`. Groups with hours and no events are rows too. Events in months
        whose hours are not known count in `events` and `share`, not in `rate`; `note` says how many.

    Raises
    ------
    NoFigure
        If there is neither an event nor a day watched.
    UnknownWord
        If the grouping is not one of those named.
    """
    if events.is_empty() and exposure.is_empty():
        raise NoFigure("No calls and no days watched in this part of the records, so there are no rates.")
    column = named_column(by)
    timed, watched = with_known_hours(exposure), exposure.filter(pl.col("days") > 0)
    journeys = _journeys(trips, watched)
    placed = _placed(events, watched, column).with_columns(
        timed=fell_within(events, timed), daily=fell_within(events, watched), tripped=fell_within(events, journeys)
    )
    measures = {
        "exposure_h": timed.rename({"engine_h": "amount"}),
        "boat_days": _per_boat_month(watched, column).with_columns(pl.col("days").alias("amount")),
        "trips": _of_groups(journeys, watched, column),
    }
    return _finished(_tally(placed, measures, column, by), by, level)


def failure_rate_table(
    lives: pl.DataFrame,
    by: str,
    level: float = 0.95,
    engine_months: pl.DataFrame | None = None,
    systems: Mapping[str, str] | None = None,
) -> pl.DataFrame:
    """Rates of failed parts by a grouping, per 1,000 hours of a position watched.

    Parameters
    ----------
    lives
        Rows of `derived.lives`. A component is set against the hours of its own positions, other groupings of
        `FLEET_WIDE` against those of all positions. Renewals on condition are not failures.
    by, level
        As `rate_table`; `symptom` is not known of a failure.
    engine_months
        Rows of `derived.engine_months`, used for `month`: a position's hours fall in the months in which its boat ran.
        `None`: they are spread evenly over its life.
    systems
        As `watched_hours.failures_of_lives`.

    Returns
    -------
    polars.DataFrame
        As `rate_table`; `per_boat_day` and `per_trip` are empty.

    Raises
    ------
    NoFigure
        If there are no lives, or for `symptom`.
    UnknownWord
        If the grouping is not one of those named.
    """
    if by == "symptom":
        raise NoFigure("The symptom of a failure stands on the call, not on the ticket. Ask for the rates of calls by symptom.")
    if lives.is_empty():
        raise NoFigure("No lives in this part of the records, so there are no failure rates.")
    column = named_column(by)
    hours = position_hours(lives)
    watched = position_hours_by_month(lives, engine_months) if by == "month" else hours
    failed = failures_of_lives(lives, systems)
    placed = failed.with_columns(timed=failed["life_id"].is_in(hours["life_id"].implode()), daily=pl.lit(False), tripped=pl.lit(False))
    own_hours = watched.rename({"engine_h": "amount"})
    if by == "component":
        return _finished(_own_tally(placed, {"exposure_h": own_hours}, column), by, level)
    return _finished(_tally(placed, {"exposure_h": own_hours}, column, by), by, level)


def named_column(by: str) -> str:
    """Return the column that a grouping means; `UnknownWord` if it is not one."""
    known = FLEET_WIDE | OWN_HOURS
    if by not in known:
        raise UnknownWord(f"--by {by}: not a grouping of rates. Known: {', '.join(known)}.")
    return known[by]


def _per_boat_month(watched: pl.DataFrame, column: str) -> pl.DataFrame:
    """Return one row a boat and month with its days and, if its engines agree on it, its group."""
    days = boat_months(watched).select("vessel_id", "month", "days")
    if column in ("vessel_id", "month") or column not in watched.columns:
        return days
    one = pl.when(pl.col(column).n_unique() == 1).then(pl.col(column).first()).alias(column)
    return days.join(watched.group_by("vessel_id", "month").agg(one), on=["vessel_id", "month"], how="left")


def _placed(events: pl.DataFrame, watched: pl.DataFrame, column: str) -> pl.DataFrame:
    """Fill the group of a call that has none from its boat in that month, if all the boat's engines agree on it."""
    if column not in watched.columns or column in ("vessel_id", "month"):
        return events
    groups = _per_boat_month(watched, column).select("vessel_id", "month", pl.col(column).alias("of_boat"))
    known = events.join(groups, on=["vessel_id", "month"], how="left", maintain_order="left")
    return known.with_columns(pl.coalesce(column, "of_boat").alias(column)).drop("of_boat")


def _journeys(trips: pl.DataFrame | None, watched: pl.DataFrame) -> pl.DataFrame:
    """Trips in watched months as rows of `vessel_id`, `month`, `amount`."""
    if trips is None:
        return watched.select("vessel_id", "month", amount=pl.lit(1.0)).clear()
    in_watch = trips.filter(fell_within(trips, watched))
    return in_watch.group_by("vessel_id", "month").agg(pl.len().cast(pl.Float64).alias("amount"))


def _of_groups(journeys: pl.DataFrame, watched: pl.DataFrame, column: str) -> pl.DataFrame:
    if column in journeys.columns or column not in watched.columns:
        return journeys
    return journeys.join(_per_boat_month(watched, column).drop("days"), on=["vessel_id", "month"], how="left")


def _tally(events: pl.DataFrame, measures: dict[str, pl.DataFrame], column: str, by: str) -> pl.DataFrame:
    """Set the counts of each group beside what was watched: its own, or the fleet's."""
    if by in OWN_HOURS:
        return _own_tally(events, measures, column)
    totals = {name: pl.lit(float(watched["amount"].sum())) for name, watched in measures.items()}
    return _with_all_keys(_counts(events, column).with_columns(**totals))


def _own_tally(events: pl.DataFrame, measures: dict[str, pl.DataFrame], column: str) -> pl.DataFrame:
    tally = _counts(events, column)
    for name, watched in measures.items():
        amounts = watched.group_by(_name(column)).agg(pl.col("amount").sum().alias(name))
        tally = tally.join(amounts, on="name", how="full", coalesce=True)
    return _with_all_keys(tally).filter((pl.col("events") > 0) | (pl.col("exposure_h") > 0) | (pl.col("boat_days") > 0))


def _counts(events: pl.DataFrame, column: str) -> pl.DataFrame:
    happened = (pl.col(kind).sum().cast(pl.Int64) for kind in ("timed", "daily", "tripped"))
    return events.group_by(_name(column)).agg(pl.len().cast(pl.Int64).alias("events"), *happened)


def _name(column: str) -> pl.Expr:
    word = pl.col(column).dt.strftime("%Y-%m") if column == "month" else pl.col(column).cast(pl.String)
    return pl.when(word.str.strip_chars() == "").then(None).otherwise(word).fill_null(UNKNOWN).alias("name")


def _with_all_keys(tally: pl.DataFrame) -> pl.DataFrame:
    absent = [pl.lit(0.0).alias(key) for key in _KEYS if key not in tally.columns]
    return tally.with_columns(*absent).with_columns(pl.col(key).fill_null(0) for key in _KEYS)


def _finished(tally: pl.DataFrame, by: str, level: float) -> pl.DataFrame:
    total = int(tally["events"].sum())
    hours = pl.when(pl.col("exposure_h") > 0).then(pl.col("exposure_h"))
    low, high = count_limits(tally["timed"].to_numpy(), level)
    share_low, share_high = share_limits(tally["events"].to_numpy(), max(total, 1), level)
    shared = pl.lit(total > 0)
    table = tally.with_columns(
        share=pl.when(shared).then(pl.col("events") / max(total, 1)),
        share_low=pl.when(shared).then(pl.lit(pl.Series(share_low))),
        share_high=pl.when(shared).then(pl.lit(pl.Series(share_high))),
        rate=pl.col("timed") / hours * PER_HOURS,
        low=pl.lit(pl.Series(low)) / hours * PER_HOURS,
        high=pl.lit(pl.Series(high)) / hours * PER_HOURS,
        per_boat_day=pl.col("daily") / pl.when(pl.col("boat_days") > 0).then(pl.col("boat_days")),
        per_trip=pl.col("tripped") / pl.when(pl.col("trips") > 0).then(pl.col("trips")),
        note=_note(),
    )
    return _in_order(table.join(_shrunken(tally), on="name", how="left"), by).select(
        "name",
        "events",
        "share",
        "share_low",
        "share_high",
        "exposure_h",
        "rate",
        "low",
        "high",
        "shrunken_rate",
        "per_boat_day",
        "per_trip",
        "note",
    )


def _note() -> pl.Expr:
    untimed = pl.col("events") - pl.col("timed")
    parts = [
        pl.when(pl.col("name") == UNKNOWN).then(pl.lit(NOT_KNOWN)),
        pl.when(pl.col("exposure_h") <= 0)
        .then(pl.lit(NO_HOURS))
        .when(untimed > 0)
        .then(pl.format("{} of {} happened where hours are not known: they count here, not in the rate.", untimed, pl.col("events"))),
    ]
    return pl.concat_str(parts, separator=" ", ignore_nulls=True)


def _shrunken(tally: pl.DataFrame) -> pl.DataFrame:
    """Shrunken rates of the known groups that have hours; no rows where there is nothing to shrink towards."""
    known = (pl.col("exposure_h") > 0) & ~pl.col("name").is_in([UNKNOWN, UNCODED])
    # In one order, so that the same question gives the same last digit.
    groups = tally.filter(known).select("name", "timed", "exposure_h").sort("name")
    counts, hours = groups["timed"].to_numpy(), groups["exposure_h"].to_numpy() / PER_HOURS
    try:
        rates = fit_gamma_prior(counts, hours).shrunken(counts, hours)
    except NoFigure:
        return groups.clear().select("name", shrunken_rate=pl.lit(0.0))
    return groups.select("name", shrunken_rate=pl.Series(rates))


def _in_order(table: pl.DataFrame, by: str) -> pl.DataFrame:
    last = table.with_columns(last=pl.col("name") == UNKNOWN)
    return last.sort("last", "name") if by == "month" else last.sort("last", "events", "name", descending=[False, True, False])
