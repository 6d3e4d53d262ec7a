"""How many spare boats each month needs, from the fleet's own stoppages and downtimes.

In: a published copy, filters, settings. Out: `Answer` with the rows of `due` and, under `spare_boats`, those of that answer.
Elsewhere: the rates, the doubts and the number down at once (`advice.spare_boats`), what counts as a stoppage (`stoppages.sql`).
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import polars as pl

from pipelines.advice.season_use import use_doubt
from pipelines.advice.spare_boats import Wish, past_of, spare_boat_rows
from pipelines.advice.words import counted
from pipelines.errors import NoFigure
from pipelines.exports.answer import Answer
from pipelines.fits.mean_times import FEWEST
from pipelines.flow import answering
from pipelines.flow.account import CALLS, head_of
from pipelines.flow.queries import query
from pipelines.flow.scoping import as_watched, dated_within, of_scope
from pipelines.flow.sources import Source, known_day, known_source
from pipelines.ledger.reading import Published
from pipelines.terms.scope import Scope
from pipelines.terms.seasons import season_of
from pipelines.terms.settings import Settings

KINDS = (*CALLS, "service_tickets")
WATCHED = "watched_boat_months"


@dataclass(frozen=True)
class Counted:
    """Stoppages that count, and how many do not for which reason."""

    stoppages: pl.DataFrame
    told: dict[str, Any]


def spare_boats(copy: Published, scope: Scope, settings: Settings, service_level: float | None = None) -> Answer:
    """Say for each of the next twelve months how many boats are down at once and how many spare boats replace them.

    A filter on parts is passed over, since any stoppage takes a boat.

    Parameters
    ----------
    service_level
        Wanted chance that the spare boats replace every boat that is down; `None`: that of the settings.

    Raises
    ------
    NoFigure
        Where no boat is watched, or hardly a stoppage says how long the boat was out of use.
    """
    scope, chance = replace(scope, component=""), service_level or settings.service_level
    with known_source(copy, as_watched(scope), settings) as source:
        watched = dated_within(of_scope(source.frame(query(WATCHED)), scope), "month", scope)
        boats = of_scope(source.frame(query("boats_in_use")), scope)
        seen = _counted(source, watched)
        _refuse(watched, boats, seen)
        past = past_of(seen.stoppages, watched, boats)
        use_sd = use_doubt(
            source.frame("select month, days, engine_h from derived.engine_months"),
            lambda month: season_of(month, settings.season_starts).name,
        )
        day = _day(source, scope)
        wish = Wish(day, chance, settings.posterior_level, settings.downtime_day_h)
        rows = spare_boat_rows(past, boats, source.frame("select * from derived.engine_use"), use_sd, wish)
        told = {"counted_by": past.unit, "service_level": chance, **seen.told}
        return Answer(head_of(copy, source, seen.stoppages.height, scope, KINDS) | {"as_of": day}, rows, told)


def due_with_spare_boats(
    copy: Published, scope: Scope, settings: Settings, within_days: int = 30, service_level: float | None = None
) -> Answer:
    """Give the answer `due` with the spare boats, and what they were counted from, beside its rows."""
    told = spare_boats(copy, scope, settings, service_level)
    due = answering.due(copy, scope, settings, within_days)
    return replace(due, extra=due.extra | {"spare_boats": told.rows, "spare_boats_from": told.extra})


def worth_a_line(rows: pl.DataFrame) -> pl.DataFrame:
    """Keep the fleet as one pool in every month, and of each base and class the months that need a spare boat; one group alone whole."""
    if not rows["group"].null_count():
        return rows
    return rows.filter(pl.col("group").is_null() | (pl.col("spares_needed") > 0))


def told_of_spare_boats(held: Mapping[str, Any]) -> list[str]:
    """Say what the spare boats were counted from, and what could not be counted."""
    told = [
        f"Counted from {counted(held['stoppages'], 'stoppage', 'stoppages')} by {held['counted_by']}, out of use for "
        f"{held['mean_downtime_h']:.1f} h in the mean; enough with a chance of {held['service_level']:.0%} at any moment of the month, all "
        "boats booked."
    ]
    if silent := held["failures_without_call_or_downtime"]:
        told.append(
            f"{counted(silent, 'failure', 'failures')} on tickets without a call and without downtime_h "
            f"{'is' if silent == 1 else 'are'} not counted: a part found failed at a service may have stopped no boat."
        )
    if calls := held["calls_without_downtime"]:
        told.append(f"{counted(calls, 'call', 'calls')} without downtime_h counted with the mean of the others.")
    return told


def _day(source: Source, scope: Scope) -> date:
    known = known_day(source)
    return known if scope.as_of is None else max(known, scope.as_of)


def _counted(source: Source, watched: pl.DataFrame) -> Counted:
    """Take the stoppages within the watched months; work without a call counts only where it says how long it took a boat."""
    every = source.frame(query("stoppages")).join(watched.select("vessel_id", "month"), on=["vessel_id", "month"], how="semi")
    unclear = (pl.col("sort") != "call") & (pl.col("downtime_h").fill_null(0) <= 0)
    held = every.filter(~unclear)
    written = held["downtime_h"].drop_nulls()
    return Counted(
        held,
        {
            "stoppages": held.height,
            "downtimes": written.len(),
            "mean_downtime_h": written.mean(),
            "calls_without_downtime": held["downtime_h"].null_count(),
            "failures_without_call_or_downtime": every.filter(unclear & (pl.col("sort") == "failure")).height,
            "planned_work_counted": held.filter(pl.col("sort") == "planned").height,
        },
    )


def _refuse(watched: pl.DataFrame, boats: pl.DataFrame, seen: Counted) -> None:
    if watched.is_empty() or boats.is_empty():
        raise NoFigure(
            "Spare boats cannot be told: no boat in use is watched for rescue calls under these filters. "
            "Take in boats, engines and the call log, or widen the filters."
        )
    if seen.told["downtimes"] < FEWEST or not seen.told["mean_downtime_h"]:
        raise NoFigure(
            f"Spare boats cannot be told: of {seen.told['stoppages']:,} calls and breakdowns only {seen.told['downtimes']:,} say how "
            f"long the boat was out of use, and a mean needs at least {FEWEST}. Fill downtime_h in the call log or on the tickets."
        )
