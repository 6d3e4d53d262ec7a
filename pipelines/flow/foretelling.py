"""A season foretold from what was known on the day before it.

In: a published copy, a season, filters, settings. Out: `Foretold`: forecasts by part and base with the plain counts beside them, and what
they rest on. A row counts as known by the day it is dated.
Elsewhere: the counting (`advice.forecast`), marking (`backtesting`).
"""

from dataclasses import dataclass, replace
from datetime import date, timedelta

import polars as pl

from pipelines.advice.case import FAILED, ON_CONDITION, Estimate
from pipelines.advice.counts import Demand, gamma_poisson
from pipelines.advice.forecast import CONDITION, FAILURES, Forecast, foretell
from pipelines.advice.season_use import use_doubt
from pipelines.advice.seasons import Seasons
from pipelines.flow import estimating
from pipelines.flow.scoping import DAYS_A_MONTH
from pipelines.ledger.reading import Published
from pipelines.lives.lives import derive
from pipelines.terms.scope import Scope
from pipelines.terms.seasons import Season, season_of
from pipelines.terms.settings import Settings

ENDINGS = {FAILURES: FAILED, CONDITION: (ON_CONDITION,)}
"""{sort of count: endings of a life that count}."""
Key = tuple[str, str, str | None]
"""Sort of count, part, base."""
_PRIOR_EVENTS = 0.5


@dataclass(frozen=True)
class Foretold:
    """One season foretold up to a day.

    Attributes
    ----------
    season, known_on, until
        The season, the last day that was known, and the last day that was foretold.
    forecasts
        One a sort, part and base.
    naive
        {(sort, part, base): what a plain count of the time before foretells}.
    carriers
        Engines and boats that had the parts when it was foretold: vessel_id, engine_id, component, base.
    matter, believed
        What was known and believed then, for the verdicts of that day.
    """

    season: Season
    known_on: date
    until: date
    forecasts: list[Forecast]
    naive: dict[Key, Demand]
    carriers: pl.DataFrame
    matter: estimating.Matter
    believed: list[Estimate]


def foretold(copy: Published, season: Season, until: date, scope: Scope, settings: Settings, known_on: date | None = None) -> Foretold:
    """Foretell a season up to a day, from what was known on the day before it began or on another."""
    known_on = known_on or season.begins - timedelta(days=1)
    days = float((until - known_on).days)
    with copy.as_known_on(known_on) as bench:
        derive(bench, known_on, settings)
        matter = estimating.matter_of(bench, replace(scope, since=None, until=None, as_of=None))
        months = bench.frame("select month, days, engine_h from derived.engine_months")
    wide, believed = estimating.told_apart(matter, settings)
    doubt = use_doubt(months, lambda month: season_of(month, season.begins.month).name)
    ahead = Seasons(wide.fleet.engine_use, known_on)
    forecasts = foretell(wide.fleet, wide.lives, believed, ahead, days, doubt, settings.condition_fraction)
    naive = _naive(forecasts, wide.lives, wide.fleet.positions, days)
    return Foretold(season, known_on, until, forecasts, naive, carriers_of(wide.fleet.positions), wide, believed)


def carriers_of(positions: pl.DataFrame) -> pl.DataFrame:
    """Return the engines and boats that have each part: vessel_id, engine_id, component, base."""
    return positions.select("engine_id", "vessel_id", "component", "base").unique(maintain_order=True)


def came(lives: pl.DataFrame, carriers: pl.DataFrame, begins: date, until: date) -> dict[Key, int]:
    """Count what came at the carriers of a forecast by sort, part and base, the base being the one when it was made."""
    within = lives.filter(pl.col("ended_on").is_between(begins, until)).drop("base")
    here = pl.concat([_of(within, carriers, carrier, other) for carrier, other in (("engine_id", "vessel_id"), ("vessel_id", "engine_id"))])
    counted: dict[Key, int] = {}
    for sort, endings in ENDINGS.items():
        for component, base, count in here.filter(pl.col("ending").is_in(endings)).group_by("component", "base").len().iter_rows():
            counted[(sort, component, base)] = count
    return counted


def _of(within: pl.DataFrame, carriers: pl.DataFrame, carrier: str, other: str) -> pl.DataFrame:
    """Return component, base and ending of the lives of parts that engines carry, or that boats do."""
    no_engine = pl.col("engine_id").is_null() if carrier == "vessel_id" else pl.col("engine_id").is_not_null()
    places = carriers.filter(no_engine).unique([carrier, "component"]).drop(other)
    return within.filter(no_engine).join(places, on=[carrier, "component"]).select("component", "base", "ending")


def _naive(forecasts: list[Forecast], lives: pl.DataFrame, positions: pl.DataFrame, days: float) -> dict[Key, Demand]:
    """Count what ended before over the months watched, and carry it over to the positions of the season."""
    keys = ["component", "base"]
    watched = (pl.col("low_months") - pl.col("entry_months")).sum().alias("months")
    ends = [pl.col("ending").is_in(words).sum().alias(sort) for sort, words in ENDINGS.items()]
    told = lives.group_by(keys).agg(watched, *ends).iter_rows(named=True)
    before = {(row["component"], row["base"]): row for row in told}
    ahead = {(component, base): count * days / DAYS_A_MONTH for component, base, count in positions.group_by(keys).len().iter_rows()}
    made = {}
    for one in forecasts:
        key = (one.component, one.base)
        seen = before.get(key, {})
        exposure = max(seen.get("months") or 0.0, 1.0)
        made[(one.sort, *key)] = gamma_poisson(seen.get(one.sort, 0) + _PRIOR_EVENTS, exposure, ahead.get(key, 1.0))
    return made
