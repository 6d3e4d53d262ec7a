"""Everything the data package holds, gathered from one published copy.

In: a copy, filters, settings. Out: `Package`, its tables with the columns of `terms.package_tables`.
Elsewhere: the answers (`answering`), tables that describe others (`package_lists`), the files (`exports.package`).
"""

from collections.abc import Iterator
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
from pipelines.flow.sources import Source, known_source
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


def package_of(copy: Published, scope: Scope, settings: Settings) -> Package:
    """Gather the package.

    Raises
    ------
    NoFigure, UnknownWord
        As the answers it is made of.
    """
    remarks: list[str] = []
    answers = {verb: getattr(answering, verb)(copy, scope, settings) for verb in ("lives", "fits", "intervals", "due", "stock")}
    by_months = answering.fits(copy, scope, settings, clock="months")
    with known_source(copy, as_watched(scope), settings) as source:
        tables = {
            "rates": _rates(source, scope, settings, remarks),
            "calls": package_lists.with_codes(calls_of(source, scope), {"symptom": "symptom", "cause": "cause"}),
            "watched_hours": months_of(source, scope),
            **_of_lives(source, answers["lives"].rows),
            **_of_fits(pl.concat([answers["fits"].rows, by_months.rows])),
            "intervals": _named_groups(answers["intervals"].rows),
            "due": answers["due"].rows.with_columns(_made_id("due_id", "vessel_id", "engine_id", "component", "position", "task")),
            "stock": answers["stock"].rows.with_columns(_made_id("stock_id", "part_id", "component", "base")),
            "forecasts": _forecasts(source, scope, settings, remarks),
        }
    tables |= package_lists.lists_of(copy, tables, settings)
    money = answers["intervals"].extra.get("currency") or ""
    return Package(_head(answers["lives"], copy), _in_order(tables), asked(scope), money, tuple(remarks))


def asked(scope: Scope) -> dict[str, str]:
    """Return the filters that are set, by their names."""
    return {name: str(value) for name, value in vars(scope).items() if value}


def _head(lives: Answer, copy: Published) -> dict[str, Any]:
    counts = copy.frame("select sum(accepted) as accepted, sum(left_out) as left_out from about.reconciliation").row(0)
    return {**lives.head, "records": int(counts[0] or 0), "left_out": int(counts[1] or 0)}


def _in_order(tables: dict[str, pl.DataFrame]) -> dict[str, pl.DataFrame]:
    return {name: tables[name].select(table.names) for name, table in PACKAGE_TABLES.items() if name in tables}


def _rates(source: Source, scope: Scope, settings: Settings, remarks: list[str]) -> pl.DataFrame:
    parts = [
        rate_answer(source, scope, settings, of, by)[0].select(pl.lit(of).alias("of"), pl.lit(by).alias("by"), pl.all())
        for of, by in _breakdowns(source, scope, settings, remarks)
    ]
    return pl.concat(parts) if parts else pl.DataFrame(schema=dict.fromkeys(PACKAGE_TABLES["rates"].names, pl.String))


def _breakdowns(source: Source, scope: Scope, settings: Settings, remarks: list[str]) -> Iterator[tuple[str, str]]:
    """Give what can be counted: calls and failures, each by everything they have, where there is anything to count."""
    for of, without in (("calls", ()), ("failures", FAILURES_HAVE_NONE)):
        if of == "failures" and (scope.since or scope.until):
            remarks.append(UNDATED)
            continue
        try:
            rate_answer(source, scope, settings, of, "cause")
        except NoFigure as reason:
            remarks.append(str(reason))
            continue
        yield from ((of, by) for by in BREAKDOWNS if by not in without)


def _of_lives(source: Source, rows: pl.DataFrame) -> dict[str, pl.DataFrame]:
    groups = source.frame("select life_id, drive, fuel, vessel_class, water from derived.lives")
    evidence = source.frame("select distinct life_id, row_id, part_played from derived.life_evidence order by 1, 2, 3")
    lives = rows.join(groups, on="life_id", how="left", maintain_order="left")
    return {
        "lives": package_lists.with_codes(lives, {"cause": "cause", "ending": "ending"}),
        "life_evidence": evidence.join(rows.select("life_id"), on="life_id", how="semi"),
    }


def _of_fits(rows: pl.DataFrame) -> dict[str, pl.DataFrame]:
    named = _named_groups(rows)
    believed = [pl.col("posterior").struct.field(name).alias(f"posterior_{name}") for name in rows["posterior"].struct.fields]
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


def _forecasts(source: Source, scope: Scope, settings: Settings, remarks: list[str]) -> pl.DataFrame:
    """Foretell the season that stock is planned for, from the day after the last that is known."""
    matter = estimating.matter_of(source, as_watched(scope))
    wide, believed = estimating.told_apart(matter, settings)
    rows = _foretold(wide, believed, source, settings)
    if not rows:
        remarks.append(NO_FORECAST)
    begins = matter.as_of + timedelta(days=1)
    schema = {"component": pl.String, "base": pl.String, "counted": pl.String, "expected": pl.Float64, "low": pl.Int64, "high": pl.Int64}
    return pl.DataFrame(rows, schema=schema, orient="row").with_columns(
        pl.lit(begins).alias("begins_on"),
        pl.lit(matter.as_of + timedelta(days=settings.horizon_days)).alias("ends_on"),
        pl.lit(LEVEL).alias("level"),
    )


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
