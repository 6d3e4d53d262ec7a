"""The kit that each type of boat should carry, asked of a published copy.

In: a copy, filters, settings, the limits of one boat's kit. Out: `Answer`, one row a type and item; `kits` tells each type whole.
Tows are counted over the whole fleet, so that a type or base of few calls borrows from the others; filters choose which types are told.
Elsewhere: tows by fault (`advice.kit_tows`), the choice (`advice.kit`), what no kit covers (`advice.kit_gaps`).
"""

import math
from typing import Any

import polars as pl

from pipelines.advice.kit import BoatType, Item, Kit, Limits, Stores, kit_of
from pipelines.advice.kit_gaps import gaps
from pipelines.advice.kit_tows import TOWED, tows_by_type
from pipelines.errors import NoFigure, WrongInput
from pipelines.exports.answer import Answer
from pipelines.flow.account import CALLS, head_of
from pipelines.flow.queries import query
from pipelines.flow.scoping import dated_within, of_scope
from pipelines.flow.sources import Source, known_day, known_source
from pipelines.ledger.reading import Published
from pipelines.terms.answers import names_of
from pipelines.terms.kit import SAFETY_GEAR
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings

NO_CLASS, NO_MODEL = "class not recorded", "engine not recorded"
AND = ", "


def kits(copy: Published, scope: Scope, settings: Settings, budget: float | None = None, most_weight: float | None = None) -> Answer:
    """Say what each type of boat should carry.

    Parameters
    ----------
    budget, most_weight
        Money and kilograms for the kit of one boat; `None`: no limit.

    Raises
    ------
    NoFigure
        If no call, or no boat in service, is on record.
    WrongInput
        If a limit is below 0.
    """
    limits = _limits(budget, most_weight)
    with known_source(copy, scope, settings) as source:
        calls = dated_within(source.frame("select * from derived.calls order by row_id"), "called_on", scope)
        months = dated_within(_months(source), "month", scope)
        if calls.is_empty() or months.is_empty():
            raise NoFigure("No rescue call stands in the watched time of a boat, so no kit can be weighed. Take in `rescue_calls`.")
        types, fitted = _types(source, scope, months)
        tows = tows_by_type(calls, months, fitted, settings.posterior_level)
        stores = Stores(*(source.frame(f"select * from accepted.{kind}") for kind in ("catalogue", "components", "parts")))
        told = [kit_of(one, tows, stores, limits) for one in types]
        cost = calls.filter(pl.col("outcome") == TOWED)["cost"].mean()
        tow_cost = float(cost) if isinstance(cost, int | float) else None
        whole = [_told(kit, tow_cost) for kit in told]
        extra = {"kits": whole, "tow_cost": tow_cost, "safety_gear": SAFETY_GEAR, "currency": currency_of(source)}
        extra |= {"of_types": _of_types(whole), "uncovered": _uncovered(whole)}
        return Answer(head_of(copy, source, calls.height, scope, CALLS), _rows(told, tow_cost), extra)


def currency_of(source: Source) -> str:
    """Return the currency of the costs; empty: not said, or more than one."""
    said = source.frame("select distinct currency from accepted.costs where currency is not null")["currency"].to_list()
    return said[0] if len(said) == 1 else ""


def _of_types(whole: list[dict[str, Any]]) -> pl.DataFrame:
    """One row a type of boat: tows, how many its kit could stop, what that costs and weighs."""
    names = ("boat_type", "boats", "calls", "tows", "tows_stopped", "share_stopped", "spend", "weight_kg")
    return pl.DataFrame([{name: kit[name] for name in names} for kit in whole])


def _uncovered(whole: list[dict[str, Any]]) -> pl.DataFrame:
    """Tell what the kits leave uncovered, type by type, most tows first."""
    told = [kit["gaps"].select(pl.lit(kit["boat_type"]).alias("boat_type"), pl.all()) for kit in whole]
    return pl.concat(told).filter(~pl.col("covered"))


def _limits(budget: float | None, most_weight: float | None) -> Limits:
    for name, value in (("budget", budget), ("weight", most_weight)):
        if value is not None and value < 0:
            raise WrongInput(f"{name} of a kit: {value:g}. Give 0 or more, or leave it out for no limit.")
    return Limits(math.inf if budget is None else budget, math.inf if most_weight is None else most_weight)


def _months(source: Source) -> pl.DataFrame:
    """One row a boat and month that was watched: vessel_id, month, days, boat_type."""
    rows = source.frame("select vessel_id, month, days, vessel_class, engine_model from derived.engine_months where days > 0")
    models = pl.col("engine_model").drop_nulls().unique().sort().str.join(AND)
    by_boat = rows.group_by("vessel_id", "month").agg(pl.col("days").max(), pl.col("vessel_class").first(), models.alias("models"))
    return by_boat.sort("vessel_id", "month").select("vessel_id", "month", "days", _type_name())


def _type_name() -> pl.Expr:
    vessel_class = pl.col("vessel_class").fill_null(NO_CLASS)
    models = pl.when(pl.col("models") == "").then(None).otherwise(pl.col("models")).fill_null(NO_MODEL)
    return pl.concat_str([vessel_class, models], separator=" · ").alias("boat_type")


def _types(source: Source, scope: Scope, months: pl.DataFrame) -> tuple[list[BoatType], pl.DataFrame]:
    """Types of the boats in service that the filters keep, and the parts of every type: boat_type, component."""
    boats = source.frame(query("boat_types"), {"day": known_day(source)}).with_columns(_type_name())
    every = pl.concat([months.select("vessel_id", "boat_type"), boats.select("vessel_id", "boat_type")]).unique()
    places = source.frame("select distinct vessel_id, component from derived.positions")
    fitted = every.join(places, on="vessel_id").select("boat_type", "component").unique().sort("boat_type", "component")
    kept = of_scope(boats, scope, ("base", "vessel_class"))
    kept = kept.filter(pl.col("models").str.split(AND).list.contains(scope.model)) if scope.model else kept
    if kept.is_empty():
        raise NoFigure("No boat in service is of these filters, so there is no kit to weigh. Widen them.")
    return [_type(rows, fitted) for rows in kept.sort("boat_type").partition_by("boat_type", maintain_order=True)], fitted


def _type(rows: pl.DataFrame, fitted: pl.DataFrame) -> BoatType:
    first = rows.row(0, named=True)
    parts = fitted.filter(pl.col("boat_type") == first["boat_type"])["component"].to_list()
    models = tuple(first["models"].split(AND)) if first["models"] else ()
    return BoatType(first["boat_type"], first["vessel_class"], first["models"], models, rows.height, tuple(parts))


def _told(kit: Kit, tow_cost: float | None) -> dict[str, Any]:
    """Tell one type whole, as in the contract's `kits`."""
    of, aboard = kit.of, kit.aboard
    return {
        "boat_type": of.name,
        "vessel_class": of.vessel_class,
        "engine_model": of.engine_model,
        "boats": of.boats,
        "boat_years": _watched(kit),
        "calls": int(kit.tows["calls"].sum()),
        "tows": kit.expected,
        "tows_stopped": kit.stopped,
        "share_stopped": kit.stopped / kit.expected if kit.expected else 0.0,
        "spend": kit.choice.price,
        "weight_kg": kit.choice.weight,
        "price_not_recorded": [item.name for item in aboard if item.price is None],
        "weight_not_recorded": [item.name for item in aboard if item.weight is None],
        "items": [_row(kit, item, tow_cost) for item in kit.items],
        "curve": pl.DataFrame(
            [(one.price, one.weight, one.gain) for one in kit.curve], schema=["spend", "weight_kg", "tows_stopped"], orient="row"
        ).cast(pl.Float64),
        "gaps": gaps(kit),
    }


def _watched(kit: Kit) -> float:
    years = kit.tows["boat_years"].max()
    return float(years) if isinstance(years, float) else 0.0


def _rows(told: list[Kit], tow_cost: float | None) -> pl.DataFrame:
    rows = [_row(kit, item, tow_cost) for kit in told for item in kit.items]
    whole, figures, flags = ("boats", "pieces"), ("price", "weight_kg", "tows_stopped", "low", "high", "saved"), ("aboard", "safety")
    kinds = dict.fromkeys(whole, pl.Int64()) | dict.fromkeys(figures, pl.Float64()) | dict.fromkeys(flags, pl.Boolean())
    return pl.DataFrame(rows, schema={name: kinds.get(name, pl.String()) for name in names_of("kit")}, orient="row")


def _row(kit: Kit, item: Item, tow_cost: float | None) -> dict[str, Any]:
    return {
        "boat_type": kit.of.name,
        "boats": kit.of.boats,
        "item": item.name,
        "form": item.form,
        "aboard": item.aboard,
        "pieces": item.pieces,
        "price": item.price,
        "weight_kg": item.weight,
        "tows_stopped": item.tows,
        "low": item.low,
        "high": item.high,
        "saved": None if tow_cost is None else item.tows * tow_cost,
        "tools": ", ".join(item.tools) or None,
        "only": item.only or None,
        "note": item.note or None,
        "safety": item.safety,
        "caution": item.caution,
    }
