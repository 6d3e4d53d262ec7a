"""Alarms: what this season runs above, which batch or fitter has early failures, which engine's hours stand still.

In: a published copy, filters, settings. Out: `Answer`, one row an alarm with the columns of `alarms`, the surest first.
They are worked out from tables that stand in the copy, without a fit, so that the first page can ask for them.
Elsewhere: the tests (`advice.watching`, `early_groups`, `standing`), seasons foretold from the laws of the parts (`foretelling`).
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import polars as pl

from pipelines.advice.early_groups import EARLY_MONTHS, EarlyGroup, early_groups
from pipelines.advice.standing import Standing, standing_still
from pipelines.advice.watching import FALSE_ALARM, Running, Stream, Watch, days_of
from pipelines.exports.answer import Answer
from pipelines.fits.coding_breaks import coding_breaks
from pipelines.fits.trend import monthly_counts
from pipelines.flow.account import LIVES, head_of
from pipelines.flow.code_suggestions import SAYS_NOTHING
from pipelines.flow.queries import query
from pipelines.flow.scoping import DAYS_A_MONTH, as_watched, of_scope
from pipelines.flow.sources import Source, known_day, known_source
from pipelines.ledger.reading import Published
from pipelines.terms.scope import Scope
from pipelines.terms.seasons import season_of
from pipelines.terms.settings import Settings
from pipelines.terms.spoken import spoken_day

CAUSE, PART, EARLY, STILL = "cause above forecast", "part above forecast", "early failures", "hours stand still"
SCHEMA = {
    **dict.fromkeys(("alarm", "what", "where"), pl.String),
    "since": pl.Date,
    "seen": pl.Float64,
    "expected": pl.Float64,
    "chance": pl.Float64,
    **dict.fromkeys(("sentence", "look_at", "vessel_id"), pl.String),
    "evidence": pl.List(pl.Int64),
}
ENDED = "select life_id, row_id from derived.life_evidence where part_played in ('ended', 'call')"
_FAILED = ("failed", "found failed")


def alarms(copy: Published, scope: Scope, settings: Settings) -> Answer:
    """List what wants a look now, the surest first; `false_alarm` beside the rows is the chance that a quiet season has any of a sort."""
    scope = as_watched(scope)
    with known_source(copy, scope, settings) as source:
        lives = of_scope(source.frame("select * from derived.lives"), scope)
        above, watched = _running_above(source, lives, scope, settings)
        rows = [*above, *_early(source, lives), *_still(source, scope)]
        frame = pl.DataFrame(rows, schema=SCHEMA).sort("chance", "since", nulls_last=True, maintain_order=True)
        head = head_of(copy, source, lives.height, scope, LIVES)
        return Answer(head, frame, {"false_alarm": FALSE_ALARM, "watched": watched})


def _running_above(source: Source, lives: pl.DataFrame, scope: Scope, settings: Settings) -> tuple[list[dict[str, Any]], int]:
    as_of = known_day(source)
    use = source.frame("select month_of_year, sum(hours_per_day) as hours from derived.engine_use group by month_of_year")
    watch = Watch(season_of(as_of, int(settings.season_starts)), as_of, dict(use.fill_null(0.0).iter_rows()))
    calls = of_scope(source.frame("select * from derived.calls"), scope)
    months = of_scope(source.frame("select * from derived.engine_months"), replace(scope, component=""))
    causes = [] if scope.component else list(_causes(calls, months))
    parts = list(_parts(lives))
    found, watched = watch.running_above([*causes, *parts])
    names = {stream.name for stream in causes}
    where = scope.base or scope.vessel_class or scope.model or "the whole fleet"
    counted_in = _Counted(source, calls, lives, watch.season.begins, as_of)
    rows = [
        _row_above(one, CAUSE, where, watch.season.name, counted_in.calls_of(one.name))
        if one.name in names
        else _row_above(one, PART, where, watch.season.name, counted_in.failures_of(one.name))
        for one in found
    ]
    return rows, watched


@dataclass(frozen=True)
class _Counted:
    """What was counted this season, so that each alarm has the rows behind it."""

    source: Source
    calls: pl.DataFrame
    lives: pl.DataFrame
    begins: date
    as_of: date

    def calls_of(self, cause: str) -> list[int]:
        """Return the rows of the calls of a cause."""
        return _numbers(self.calls.filter(pl.col("cause") == cause, pl.col("called_on").is_between(self.begins, self.as_of))["row_id"])

    def failures_of(self, component: str) -> list[int]:
        """Return the rows in which the failures of a part stand."""
        failed = pl.col("ending").is_in(_FAILED) & pl.col("ended_on").is_between(self.begins, self.as_of)
        return _rows_of_ends(self.source, self.lives.filter(failed, pl.col("component") == component)["life_id"])


def _causes(calls: pl.DataFrame, months: pl.DataFrame) -> Iterator[Stream]:
    """Give a stream for each cause that came to light; every boat that is watched may call for it, from the last change of coding on."""
    boats = (
        months.group_by("vessel_id", "month").agg(pl.col("days").max()).with_columns(first=pl.col("month").cast(pl.Int32).cast(pl.Float64))
    )
    watched = boats.select("month", "first", last=pl.col("first") + pl.col("days"))
    breaks = coding_breaks(monthly_counts(calls, months, "cause"))
    coded_from = {cause: one.month for one in breaks for cause in (*one.fewer, *one.more)}
    for (cause, *_), events in calls.filter(~pl.col("cause").is_in(SAYS_NOTHING)).group_by("cause", maintain_order=True):
        since = coded_from.get(str(cause), date.min)
        seen = events.filter(pl.col("called_on") >= since)["called_on"]
        yield Stream(str(cause), days_of(seen), watched.filter(pl.col("month") >= since).select("first", "last").to_numpy())


def _parts(lives: pl.DataFrame) -> Iterator[Stream]:
    """Give a stream for each part; a life is watched from the day it came under observation."""
    begins = pl.col("began_on").cast(pl.Int32) + pl.col("entry_months").fill_null(0.0) * DAYS_A_MONTH
    told = lives.select("component", "ending", "ended_on", first=begins, last=pl.col("ended_on").cast(pl.Int32) + 1.0)
    for (component, *_), held in told.group_by("component", maintain_order=True):
        failed = held.filter(pl.col("ending").is_in(_FAILED))
        yield Stream(str(component), days_of(failed["ended_on"]), held.select("first", "last").to_numpy())


def _rows_of_ends(source: Source, life_ids: pl.Series) -> list[int]:
    """Return the rows in which the ends of lives stand."""
    return _numbers(source.frame(ENDED).filter(pl.col("life_id").is_in(life_ids.to_list()))["row_id"])


def _numbers(rows: pl.Series) -> list[int]:
    return sorted({int(row) for row in rows})


def _row_above(one: Running, alarm: str, where: str, season: str, evidence: list[int]) -> dict[str, Any]:
    noun = "calls" if alarm == CAUSE else "failures"
    look = "the latest calls of this cause" if alarm == CAUSE else "the parts that failed: batch, fitter, boats and bases they share"
    return {
        "alarm": alarm,
        "what": one.name,
        "where": where,
        "since": one.since,
        "seen": float(one.seen),
        "expected": one.expected,
        "chance": one.chance,
        "sentence": f"{one.name}: {one.seen} {noun} so far in season {season}, about {one.expected:.1f} were to be expected by now.",
        "look_at": f"Look at {look}.",
        "evidence": evidence,
    }


def _early(source: Source, lives: pl.DataFrame) -> list[dict[str, Any]]:
    fitted = lives.join(source.frame(query("fitted_by")), on="life_id", how="inner", maintain_order="left")
    return [_row_early(one, _rows_of_ends(source, _early_lives(fitted, one))) for one in early_groups(fitted)]


def _early_lives(fitted: pl.DataFrame, one: EarlyGroup) -> pl.Series:
    group = pl.col(one.kind) == one.name
    group = group & (pl.col("component") == one.worst) if one.kind == "batch" else group
    return fitted.filter(group, pl.col("ending").is_in(_FAILED), pl.col("high_months") <= EARLY_MONTHS)["life_id"]


def _row_early(one: EarlyGroup, evidence: list[int]) -> dict[str, Any]:
    what = f"batch {one.name} of {one.worst}" if one.kind == "batch" else f"parts fitted by {one.name}"
    look = (
        "Look at what is left of the batch on the shelf and at the boats that have it; ask the supplier."
        if one.kind == "batch"
        else f"Look at how {one.worst} is fitted, with the maker's instructions at hand; the cause may be tools, parts or training."
    )
    early = f"{one.early} of {one.lives} failed within {EARLY_MONTHS:.0f} months of fitting"
    return {
        "alarm": EARLY,
        "what": what,
        "where": one.worst,
        "since": one.first_on,
        "seen": float(one.early),
        "expected": one.expected,
        "chance": one.chance,
        "sentence": f"{what[0].upper()}{what[1:]}: {early}, {one.expected:.1f} were to be expected of like parts.",
        "look_at": look,
        "evidence": evidence,
    }


def _still(source: Source, scope: Scope) -> list[dict[str, Any]]:
    engines = of_scope(source.frame("select * from derived.engine_months"), replace(scope, component=""))
    here = engines.filter(pl.col("month") == engines["month"].max()).unique("engine_id", keep="last", maintain_order=True)
    boats = dict(here.select("engine_id", "vessel_id").iter_rows())
    readings = source.frame(query("meter_said")).filter(pl.col("engine_id").is_in(list(boats)), pl.col("on_date") <= known_day(source))
    found = standing_still(readings, source.frame("select * from derived.engine_use"), source.frame(query("outings")))
    return [_row_still(one, boats[one.engine_id], _same(readings, one)) for one in sorted(found, key=lambda one: -one.expected_h)]


def _same(readings: pl.DataFrame, one: Standing) -> list[int]:
    """Return the rows of the readings that show the same."""
    of_engine = pl.col("engine_id") == one.engine_id
    return _numbers(readings.filter(of_engine, pl.col("on_date").is_between(one.since, one.last_read))["row_id"])


def _row_still(one: Standing, vessel_id: str, evidence: list[int]) -> dict[str, Any]:
    reads = f"Engine {one.engine_id} on boat {vessel_id} has read {one.meter_h:,.1f} h since {spoken_day(one.since)}"
    out = f"while {one.outings} trips or calls were logged" if one.outings else "with no trip or call logged: laid up, or a stopped meter"
    return {
        "alarm": STILL,
        "what": f"engine {one.engine_id}",
        "where": vessel_id,
        "since": one.since,
        "seen": 0.0,
        "expected": one.expected_h,
        "chance": None,
        "sentence": f"{reads}, {out}; about {one.expected_h:.0f} h were to be expected by {spoken_day(one.last_read)}.",
        "look_at": "Look at the hour meter and its wiring; what is due by hours waits on it.",
        "vessel_id": vessel_id,
        "evidence": evidence,
    }
