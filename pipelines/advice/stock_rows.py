"""Shelves as rows of the answer `stock`.

In: shelves, settings, today. Out: the rows, with the columns of `terms.answers.STOCK`.
Elsewhere: each figure (`shelf`, `holding`), what an order looks like within a budget (`budget`).
"""

from collections.abc import Sequence
from datetime import date
from typing import Any

import polars as pl

from pipelines.advice.counts import Demand
from pipelines.advice.holding import holding_cost, slow_mover, waiting_cost
from pipelines.advice.shelf import Shelf
from pipelines.terms.answers import STOCK, Kind
from pipelines.terms.settings import Settings

DEMAND_LEVELS = (0.05, 0.95)
EVEN = 0.5
_TYPES = {
    Kind.WORD: pl.String(),
    Kind.FIGURE: pl.Float64(),
    Kind.COUNT: pl.Int64(),
    Kind.DAY: pl.Date(),
    Kind.YES_NO: pl.Boolean(),
}
_USE = pl.List(pl.Struct({"pieces": pl.Int64(), "chance": pl.Float64()}))
_LISTS = {
    "season_use": _USE,
    "lead_use": _USE,
    "running_out": pl.List(pl.Struct({"on": pl.Date(), "chance": pl.Float64()})),
}
MOST_TOLD = 40
_TAIL = 0.001


def stock_rows(held: Sequence[Shelf], settings: Settings, as_of: date, currency: str = "") -> pl.DataFrame:
    """Turn shelves into rows of the answer `stock`, at the service level of the settings."""
    rows = [_asked(shelf, settings.service_level) | _beside(shelf, settings, as_of, currency) for shelf in held]
    schema = {told.name: _LISTS.get(told.name) or _TYPES[told.kind] for told in STOCK}
    return pl.DataFrame(rows, schema=schema, orient="row")


def _asked(shelf: Shelf, level: float) -> dict[str, Any]:
    """Give the figures that the contract names."""
    return {
        "part_id": shelf.part_id,
        "component": shelf.component,
        "base": shelf.base,
        "on_hand": shelf.on_hand,
        "mean_demand": shelf.season.mean,
        "demand_low": float(shelf.season.quantile(DEMAND_LEVELS[0])),
        "demand_high": float(shelf.season.quantile(DEMAND_LEVELS[1])),
        "probability_of_stock_out": 1 - shelf.lead.chance_up_to(shelf.position),
        "reorder_point": shelf.reorder_point(level),
        "order_up_to": shelf.order_up_to(level),
        "order_quantity": shelf.order_quantity(level),
        "order_cost": shelf.order_quantity(level) * shelf.unit_cost,
        "note": shelf.note or None,
    }


def _beside(shelf: Shelf, settings: Settings, as_of: date, currency: str) -> dict[str, Any]:
    """Give what stands beside them: how use is spread, when it runs out, what it costs."""
    level = settings.service_level
    ordered = shelf.position + shelf.order_quantity(level)
    hold, why = slow_mover(shelf, settings, currency)
    return {
        "supplier": shelf.supplier,
        "on_order": shelf.on_order,
        "lead_time_d": shelf.lead_days,
        "pack_size": shelf.pack,
        "unit_cost": shelf.unit_cost,
        "positions": shelf.positions,
        **shelf.mean_by_sort,
        "season_use": use_told(shelf.season),
        "lead_demand": shelf.lead.mean,
        "lead_use": use_told(shelf.lead),
        "last_year_use": shelf.last_year,
        "running_out": [{"on": day, "chance": chance} for day, chance in shelf.out_by_month(as_of)],
        "runs_out_early_on": shelf.out_on(as_of, 1 - level),
        "runs_out_even_on": shelf.out_on(as_of, EVEN),
        "surplus": shelf.surplus(level),
        "stock_value": shelf.on_hand * shelf.unit_cost,
        "holding_cost": holding_cost(shelf, ordered, settings),
        "renewals_missed": shelf.missing(ordered),
        "waiting_cost": waiting_cost(shelf, ordered),
        "waiting_cost_unordered": waiting_cost(shelf, shelf.position),
        "hold": hold,
        "hold_reason": why,
        "obsolete": bool(shelf.obsolete),
        "order_by": shelf.order_by(as_of, level),
    }


def use_told(demand: Demand) -> list[dict[str, Any]]:
    """Chance that no more than so many pieces are used, from the least to the most that matter; wide ranges are told in steps."""
    low, high = demand.quantile(_TAIL), demand.quantile(1 - _TAIL)
    step = max(1, -(-(high - low) // MOST_TOLD))
    told = [*range(low, high, step), high]
    return [{"pieces": pieces, "chance": demand.chance_up_to(pieces)} for pieces in told]
