"""Were we right? Each past season foretold from what was known before it, and marked against what came.

In: a published copy, filters, settings. Out: `Answer`: a row a season, part and base with the failures foretold and those that came; beside
them condition renewals in the same way, coverage, calibration, log score, what the advice would have cost, what adopted intervals changed.
Elsewhere: one season foretold (`foretelling`), the season that comes and kept forecasts (`kept_forecasts`), the marks (`advice.marks`),
alarms of the season that runs (`alarms`).
"""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date, timedelta
from typing import Any

import polars as pl

from pipelines.advice.adoptions import changes
from pipelines.advice.forecast import CONDITION, FAILURES, fleet_total
from pipelines.advice.hindsight import believed_today, in_hindsight
from pipelines.advice.marks import Mark, calibration, coverage, log_score, mark
from pipelines.advice.watching import UseClock
from pipelines.errors import NoFigure
from pipelines.exports.answer import Answer
from pipelines.flow import estimating
from pipelines.flow.account import ADVICE, head_of
from pipelines.flow.foretelling import Foretold, came, foretold
from pipelines.flow.sources import Source, known_day, known_source
from pipelines.ledger.reading import Published
from pipelines.terms.answers import names_of
from pipelines.terms.scope import Scope
from pipelines.terms.seasons import Season, season_of
from pipelines.terms.settings import Settings

DAYS_BEFORE = 300
"""Days of records that a season needs before it; fewer foretell nothing."""
HALF_OVER = 182
"""Days after which a season that still runs is marked up to the last day known."""
FIRST_ENDS = "select quantile_cont(epoch(ended_on), 0.02) / 86400 as day from derived.lives where ending not in ('running', 'withdrawn')"
"""Day from which ends of lives are known; the first few are left aside, for a slip of the pen may date one years before the records."""
USE = "select month_of_year, sum(hours_per_day) as hours from derived.engine_use group by month_of_year"
HINDSIGHT_NOTE = "Money a year at the intervals advised at each season's start, and at those in force then, by what is believed today."
REGRESSION_NOTE = (
    "An interval is often changed after a bad spell, and after a bad spell things get better by themselves (regression to the mean): "
    "fewer failures since are a hint that it helped, no proof."
)
_ROWS = {
    "season": pl.String,
    "component": pl.String,
    "base": pl.String,
    "expected": pl.Float64,
    "low": pl.Int64,
    "high": pl.Int64,
    "actual": pl.Int64,
}


@dataclass(frozen=True)
class Marked:
    """One forecast of one season, marked."""

    season: str
    component: str
    base: str | None
    sort: str
    mark: Mark

    def row(self) -> dict[str, Any]:
        """Row of the answer."""
        told = self.mark
        return {
            **{name: getattr(self, name) for name in ("season", "component", "base")},
            **{name: getattr(told, name) for name in ("expected", "low", "high", "actual")},
        }


def backtest(copy: Published, scope: Scope, settings: Settings) -> Answer:
    """Foretell and mark every season that has enough records before it.

    Raises
    ------
    NoFigure
        If no season has.
    """
    with known_source(copy, scope, settings) as source:
        seasons = seasons_to_mark(source, scope, settings)
        every = [foretold(copy, season, until, scope, settings) for season, until in seasons]
        told = [each for each in every if each.forecasts]
        if not told:
            raise NoFigure("No part was watched long enough before any season to foretell it. Take older tickets in, or widen the filters.")
        lives = source.frame("select * from derived.lives")
        marked = [one for each in told for one in marked_of(each, lives)]
        extra = {**_judged(marked), **_in_hindsight(source, told, scope, settings), **_adopted(source, scope, settings)}
        extra["totals"] = pl.DataFrame([_total(each, lives) for each in told])
        failures = [one for one in marked if one.sort == FAILURES]
        rows = pl.DataFrame([one.row() for one in failures], schema=_ROWS).select(names_of("backtest"))
        return Answer(head_of(copy, source, lives.height, scope, ADVICE), rows, extra)


def seasons_to_mark(source: Source, scope: Scope, settings: Settings) -> list[tuple[Season, date]]:
    """Give each season with enough records before it, and the day up to which it can be marked.

    Raises
    ------
    NoFigure
        If there is none.
    """
    as_of, first = known_day(source), source.frame(FIRST_ENDS).item()
    start = as_of if first is None else date(1970, 1, 1) + timedelta(days=int(first))
    season = season_of(start, int(settings.season_starts))
    found = []
    while season.begins <= as_of:
        until = min(season.ends, as_of)
        over = until == season.ends or (until - season.begins).days >= HALF_OVER
        wanted = (scope.since is None or season.begins >= scope.since) and (scope.until is None or season.begins <= scope.until)
        if over and wanted and (season.begins - start).days >= DAYS_BEFORE:
            found.append((season, until))
        season = season.following
    if not found:
        raise NoFigure(
            f"No season can be marked yet: one needs {DAYS_BEFORE} days of tickets before it and half of it behind it. "
            f"Tickets begin {start}, the records end {as_of}; take older tickets in, or widen --since and --until."
        )
    return found


def marked_of(told: Foretold, lives: pl.DataFrame) -> list[Marked]:
    """Mark the forecasts of a season against the lives that ended in it, of engines and boats that were there when it began."""
    counted = came(lives, told.carriers, told.season.begins, told.until)
    made = []
    for one in told.forecasts:
        key = (one.sort, one.component, one.base)
        made.append(Marked(told.season.name, one.component, one.base, one.sort, mark(one.demand, told.naive[key], counted.get(key, 0))))
    return made


def _total(told: Foretold, lives: pl.DataFrame) -> dict[str, Any]:
    """Foretell and count the failures of a whole season."""
    total = fleet_total([one for one in told.forecasts if one.sort == FAILURES])
    counted = came(lives, told.carriers, told.season.begins, told.until)
    return {
        "season": told.season.name,
        "until": told.until,
        "expected": total.mean,
        "low": total.quantile(0.05),
        "high": total.quantile(0.95),
        "actual": sum(count for (sort, *_), count in counted.items() if sort == FAILURES),
    }


def _judged(marked: Sequence[Marked]) -> dict[str, Any]:
    """Coverage, calibration and log score of failures, of condition renewals, and of failures by part and by base."""
    by_sort = {sort: [one for one in marked if one.sort == sort] for sort in (FAILURES, CONDITION)}
    failures = [one.mark for one in by_sort[FAILURES]]
    caught = by_sort[CONDITION]
    return {
        "coverage": coverage(failures),
        "calibration": calibration(failures),
        "log_score": log_score(failures),
        "condition_renewals": {
            "rows": pl.DataFrame([one.row() for one in caught], schema=_ROWS),
            "coverage": coverage([one.mark for one in caught]),
            "calibration": calibration([one.mark for one in caught]),
            "log_score": log_score([one.mark for one in caught]),
        },
        "by_component": _by(by_sort[FAILURES], "component"),
        "by_base": _by(by_sort[FAILURES], "base"),
    }


def _by(marked: Sequence[Marked], name: str) -> pl.DataFrame:
    """Coverage and log score of each part, or each base."""
    words = sorted({getattr(one, name) or "" for one in marked})
    rows = []
    for word in words:
        held = [one.mark for one in marked if (getattr(one, name) or "") == word]
        scores, covered = log_score(held), coverage(held)
        rows.append(
            {
                name: word or None,
                "rows": len(held),
                "expected": sum(one.expected for one in held),
                "actual": sum(one.actual for one in held),
                "covered": covered["covered"],
                "log_score": scores["forecast"],
                "naive_log_score": scores["naive"],
            }
        )
    return pl.DataFrame(rows)


def _in_hindsight(source: Source, told: Sequence[Foretold], scope: Scope, settings: Settings) -> dict[str, Any]:
    """Reckon the advice of each season's start by what is believed today, beside what was in force."""
    matter = estimating.matter_of(source, Scope(scope.base, scope.vessel_class, scope.model, scope.component))
    believed = believed_today(estimating.estimates_of(matter, (), settings), matter.fleet)
    rows = []
    for each in told:
        verdicts, _ = estimating.verdicts_of(each.believed, each.matter, settings)
        parts = list(in_hindsight(verdicts, believed))
        advised, done = sum(one.advised for one in parts), sum(one.done for one in parts)
        row = {"season": each.season.name, "parts": len({one.component for one in parts}), "advised_cost": advised, "done_cost": done}
        rows.append({**row, "saving": done - advised})
    return {"advice_cost": pl.DataFrame(rows), "advice_cost_note": HINDSIGHT_NOTE, "currency": matter.currency}


def _adopted(source: Source, scope: Scope, settings: Settings) -> dict[str, Any]:
    """Compare failures before and after each adopted interval."""
    matter = estimating.matter_of(source, Scope(scope.base, scope.vessel_class, scope.model, scope.component))
    clock = UseClock(dict(source.frame(USE).fill_null(0.0).iter_rows()))
    rows = [asdict(one) for one in changes(matter.fleet.plan, matter.lives, clock, matter.as_of, settings.level)]
    return {"adopted": pl.DataFrame(rows, infer_schema_length=None), "adopted_note": REGRESSION_NOTE}
