"""Everything the data package holds, gathered from one published copy.

In: a copy, filters, settings. Out: `Package`, its tables with the columns of `terms.package_tables`.
Elsewhere: the answers (`answering`), tables that describe others (`package_lists`), the files (`exports.package`).
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

import polars as pl

from pipelines.advice.case import Estimate
from pipelines.advice.forecast import foretell
from pipelines.advice.season_use import use_doubt
from pipelines.advice.seasons import Seasons
from pipelines.errors import NoFigure
from pipelines.exports.answer import Answer, own_group
from pipelines.exports.package.contents import Package
from pipelines.fits.rate_table import FLEET_WIDE, OWN_HOURS
from pipelines.flow import answering, estimating, package_lists
from pipelines.flow.rating import calls_of, months_of, rate_answer
from pipelines.flow.scoping import as_watched
from pipelines.flow.sources import Source, day_of, known_source
from pipelines.ledger.reading import Published
from pipelines.terms.package_tables import PACKAGE_TABLES, WHOLE_FLEET
from pipelines.terms.scope import Scope
from pipelines.terms.seasons import season_of
from pipelines.terms.settings import Settings

CLOCKS = ("hours", "months")
LEVEL = 0.90
BREAKDOWNS = (*FLEET_WIDE, *OWN_HOURS)
FAILURES_HAVE_NONE = ("symptom",)
"""Breakdowns that failures do not have."""
UNDATED = (
    "Rates of failures are not in it, because failures are set against the whole time their positions were watched: "
    "leave --since and --until out."
)
NO_FORECAST = "There is no forecast: no part has been watched for long enough."


@dataclass(frozen=True)
class Asked:
    """What the tables of a package are made from; `remarks` gathers what is left out of them."""

    copy: Published
    source: Source
    scope: Scope
    settings: Settings
    remarks: list[str] = field(default_factory=list)

    def answer(self, verb: str, **choices: Any) -> pl.DataFrame:
        """Rows of an answer of the contract."""
        return getattr(answering, verb)(self.copy, self.scope, self.settings, **choices).rows


def package_of(copy: Published, scope: Scope, settings: Settings) -> Package:
    """Gather the package.

    Raises
    ------
    NoFigure, UnknownWord
        As the answers it is made of.
    """
    with known_source(copy, as_watched(scope), settings) as source:
        matter = Asked(copy, source, scope, settings)
        tables = {name: table for maker in MAKERS for name, table in maker(matter).items()}
        tables |= package_lists.lists_of(copy, tables, settings)
        head, money = _head(matter), _currency(source)
    return Package(head, _in_order(tables), asked(scope), money, tuple(matter.remarks))


def table_of(copy: Published, scope: Scope, settings: Settings, name: str) -> Answer:
    """Give one table of the package with its head; no table is made that it does not need.

    Raises
    ------
    NoFigure, UnknownWord
        As `package_of`.
    """
    with known_source(copy, as_watched(scope), settings) as source:
        matter = Asked(copy, source, scope, settings)
        maker = next((maker for maker, names in MAKERS.items() if name in names), None)
        if maker is None:
            tables = {name: table for each in MAKERS for name, table in each(matter).items()} if name in DESCRIBING else {}
            rows = package_lists.lists_of(copy, tables, settings)[name]
        else:
            rows = maker(matter)[name]
        told = {"query": asked(scope), "currency": _currency(source), "remarks": list(matter.remarks)}
        return Answer(_head(matter), rows.select(PACKAGE_TABLES[name].names), told)


def asked(scope: Scope) -> dict[str, str]:
    """Return the filters that are set, by their names."""
    return {name: str(value) for name, value in vars(scope).items() if value}


def _head(matter: Asked) -> dict[str, Any]:
    counts = matter.copy.frame("select sum(accepted) as accepted, sum(left_out) as left_out from about.reconciliation").row(0)
    known = {"as_of": day_of(matter.source), "ledger_version": matter.copy.version}
    return known | {"records": int(counts[0] or 0), "left_out": int(counts[1] or 0)}


def _currency(source: Source) -> str:
    said = source.frame("select distinct currency from accepted.costs where currency is not null")["currency"].to_list()
    return said[0] if len(said) == 1 else ""


def _in_order(tables: dict[str, pl.DataFrame]) -> dict[str, pl.DataFrame]:
    return {name: tables[name].select(table.names) for name, table in PACKAGE_TABLES.items() if name in tables}


def _rates(matter: Asked) -> dict[str, pl.DataFrame]:
    parts = [
        rate_answer(matter.source, matter.scope, matter.settings, of, by)[0].select(
            pl.lit(of).alias("of"), pl.lit(by).alias("by"), pl.all()
        )
        for of, by in _breakdowns(matter)
    ]
    return {"rates": pl.concat(parts) if parts else pl.DataFrame(schema=dict.fromkeys(PACKAGE_TABLES["rates"].names, pl.String))}


def _calls(matter: Asked) -> dict[str, pl.DataFrame]:
    calls = package_lists.with_codes(calls_of(matter.source, matter.scope), {"symptom": "symptom", "cause": "cause"})
    return {"calls": calls, "watched_hours": months_of(matter.source, matter.scope)}


def _intervals(matter: Asked) -> dict[str, pl.DataFrame]:
    return {"intervals": _named_groups(matter.answer("intervals"))}


def _due(matter: Asked) -> dict[str, pl.DataFrame]:
    return {"due": matter.answer("due").with_columns(_made_id("due_id", "vessel_id", "engine_id", "component", "position", "task"))}


def _stock(matter: Asked) -> dict[str, pl.DataFrame]:
    return {"stock": matter.answer("stock").with_columns(_made_id("stock_id", "part_id", "component", "base"))}


def _breakdowns(matter: Asked) -> Iterator[tuple[str, str]]:
    """Give what can be counted: calls and failures, each by everything they have, where there is anything to count."""
    for of, without in (("calls", ()), ("failures", FAILURES_HAVE_NONE)):
        if of == "failures" and (matter.scope.since or matter.scope.until):
            matter.remarks.append(UNDATED)
            continue
        try:
            rate_answer(matter.source, matter.scope, matter.settings, of, "cause")
        except NoFigure as reason:
            matter.remarks.append(str(reason))
            continue
        yield from ((of, by) for by in BREAKDOWNS if by not in without)


def _lives(matter: Asked) -> dict[str, pl.DataFrame]:
    rows = matter.answer("lives")
    groups = matter.source.frame("select life_id, drive, fuel, vessel_class, water from derived.lives")
    evidence = matter.source.frame("select distinct life_id, row_id, part_played from derived.life_evidence order by 1, 2, 3")
    lives = rows.join(groups, on="life_id", how="left", maintain_order="left")
    return {
        "lives": package_lists.with_codes(lives, {"cause": "cause", "ending": "ending"}),
        "life_evidence": evidence.join(rows.select("life_id"), on="life_id", how="semi"),
    }


def _fits(matter: Asked) -> dict[str, pl.DataFrame]:
    named = _named_groups(pl.concat([matter.answer("fits", clock=clock) for clock in CLOCKS]))
    believed = [pl.col("posterior").struct.field(name).alias(f"posterior_{name}") for name in named["posterior"].struct.fields]
    steps = named.select("component", "group_name", "clock", "curve").with_columns(pl.int_ranges(pl.col("curve").list.len()).alias("step"))
    curves = steps.explode("curve", "step").drop_nulls("curve").unnest("curve")
    return {"fits": named.with_columns(believed), "curves": curves}


def _named_groups(rows: pl.DataFrame) -> pl.DataFrame:
    names = [_group_name(group) for group in rows["group"].to_list()]
    return rows.with_columns(pl.Series("group_name", names, pl.String))


def _group_name(group: dict[str, Any] | str | None) -> str:
    told = own_group(group) if isinstance(group, dict) else None
    return "; ".join(f"{column}: {word if word is not None else 'not known'}" for column, word in told.items()) if told else WHOLE_FLEET


def _made_id(name: str, *columns: str) -> pl.Expr:
    return pl.concat_str([pl.col(column).fill_null("") for column in columns], separator=" | ").alias(name)


def _forecasts(asked: Asked) -> dict[str, pl.DataFrame]:
    """Foretell the season that stock is planned for, from the day after the last that is known."""
    matter = estimating.matter_of(asked.source, as_watched(asked.scope))
    wide, believed = estimating.told_apart(matter, asked.settings)
    rows = _foretold(wide, believed, asked.source, asked.settings)
    if not rows:
        asked.remarks.append(NO_FORECAST)
    schema = {"component": pl.String, "base": pl.String, "counted": pl.String, "expected": pl.Float64, "low": pl.Int64, "high": pl.Int64}
    told = pl.DataFrame(rows, schema=schema, orient="row").with_columns(
        pl.lit(matter.as_of + timedelta(days=1)).alias("begins_on"),
        pl.lit(matter.as_of + timedelta(days=asked.settings.horizon_days)).alias("ends_on"),
        pl.lit(LEVEL).alias("level"),
    )
    return {"forecasts": told}


def _foretold(matter: estimating.Matter, believed: list[Estimate], source: Source, settings: Settings) -> list[tuple[Any, ...]]:
    months = source.frame("select month, days, engine_h from derived.engine_months")
    doubt = use_doubt(months, lambda month: season_of(month, settings.season_starts).name)
    seasons = Seasons(matter.fleet.engine_use, matter.as_of)
    found = foretell(matter.fleet, matter.lives, believed, seasons, float(settings.horizon_days), doubt, settings.condition_fraction)
    told = [(one.component, one.base or "unknown", one.sort, one.demand) for one in found]
    return [
        (part, base, sort, demand.mean, demand.quantile((1 - LEVEL) / 2), demand.quantile((1 + LEVEL) / 2))
        for part, base, sort, demand in told
    ]


MAKERS: dict[Callable[[Asked], dict[str, pl.DataFrame]], tuple[str, ...]] = {
    _rates: ("rates",),
    _calls: ("calls", "watched_hours"),
    _lives: ("lives", "life_evidence"),
    _fits: ("fits", "curves"),
    _intervals: ("intervals",),
    _due: ("due",),
    _stock: ("stock",),
    _forecasts: ("forecasts",),
}
"""What makes which tables; the others describe these or the ledger."""
DESCRIBING = ("components", "boats", "engines")
"""Tables that list what the others name."""
