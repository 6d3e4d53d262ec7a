"""What to hold and order of each part, and what more money would buy.

In: the accepted records `parts`, the fleet's tables, lives, estimates, settings. Out: rows of the answer `stock` and its budget curve.
Elsewhere: how many events will ask for a part (`demand`), distributions (`counts`), the greedy curve (`budget`).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

import polars as pl

from pipelines.advice.case import Estimate, Fleet
from pipelines.advice.counts import Demand
from pipelines.advice.current_plan import with_interval
from pipelines.advice.demand import event_demand
from pipelines.advice.present import UNKNOWN, present_parts
from pipelines.advice.seasons import Seasons
from pipelines.advice.words import counted
from pipelines.terms.answers import STOCK, Kind
from pipelines.terms.settings import Settings

DEMAND_LEVELS = (0.05, 0.95)
_SERVES = ("component", "engine_model", "base")
_TYPES = {Kind.WORD: pl.String(), Kind.FIGURE: pl.Float64(), Kind.COUNT: pl.Int64()}


@dataclass(frozen=True, eq=False)
class Shelf:
    """One part on one shelf: what is there, what will be asked for, and what to know about it.

    Attributes
    ----------
    on_order, pack, quantity
        Pieces on order, pieces a pack, pieces used at one renewal.
    lead, season
        Pieces asked for over the lead time and over the season.
    """

    part_id: str
    component: str
    base: str | None
    on_hand: int
    on_order: int
    pack: int
    unit_cost: float
    lead: Demand
    season: Demand
    note: str

    @property
    def position(self) -> int:
        """Pieces on hand and on order together."""
        return self.on_hand + self.on_order

    def reorder_point(self, level: float) -> int:
        """Smallest number that lasts over the lead time with probability `level`."""
        return self.lead.quantile(level)

    def order_up_to(self, level: float) -> int:
        """Smallest number that lasts over the season, and over the lead time, with probability `level`."""
        return max(self.season.quantile(level), self.reorder_point(level))

    def order_quantity(self, level: float) -> int:
        """Pieces to order now in whole packs: none while hand and order together stand above the reorder point."""
        if self.position > self.reorder_point(level):
            return 0
        return self.pack * -(-max(0, self.order_up_to(level) - self.position) // self.pack)


def shelves(
    parts: pl.DataFrame, fleet: Fleet, lives: pl.DataFrame, estimates: Sequence[Estimate], as_of: date, horizon_days: float
) -> list[Shelf]:
    """Work out what will be asked of every stocked part.

    Parameters
    ----------
    parts
        Accepted records of that kind.
    fleet
        Positions, use, plan and limits.
    lives
        Rows of `derived.lives`.
    estimates
        Laws of the components.
    as_of
        Today.
    horizon_days
        Length of the season.
    """
    seasons = Seasons(fleet.engine_use, as_of)
    present = with_interval(present_parts(fleet.positions, lives, fleet.engine_use, fleet.fitted_now), fleet.plan, fleet.limits)
    return [_shelf(part, served, beside, lives, estimates, seasons, horizon_days) for part, served, beside in _served(parts, present)]


def stock_rows(held: Sequence[Shelf], settings: Settings) -> pl.DataFrame:
    """Turn shelves into rows of the answer `stock`, at the service level of the settings."""
    level = settings.service_level
    rows = [
        {
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
        for shelf in held
    ]
    return pl.DataFrame(rows, schema={told.name: _TYPES[told.kind] for told in STOCK}, orient="row")


def _served(parts: pl.DataFrame, present: pl.DataFrame) -> Iterator[tuple[dict, pl.DataFrame, list[str]]]:
    """Give each part with the positions it serves and the parts that serve the same ones.

    A shelf of a base, or a part for a model, comes before one for any.
    """
    rules = parts.to_dicts()
    for part in rules:
        here = present.filter(_fits(part))
        for other in rules:
            if other["component"] == part["component"] and _is_finer(other, part):
                here = here.filter(~_fits(other))
        beside = [other["part_id"] for other in rules if other is not part and all(other[name] == part[name] for name in _SERVES)]
        yield part, here, beside


def _fits(part: dict) -> pl.Expr:
    conditions = [pl.col(name) == part[name] for name in ("engine_model", "base") if part[name]]
    return pl.all_horizontal(pl.col("component") == part["component"], *conditions).fill_null(value=False)


def _is_finer(other: dict, part: dict) -> bool:
    """Whether another row serves some of the same positions with more conditions."""
    return all(other[name] == part[name] or not part[name] for name in ("engine_model", "base")) and any(
        other[name] and not part[name] for name in ("engine_model", "base")
    )


def _shelf(
    part: dict,
    served: pl.DataFrame,
    beside: list[str],
    lives: pl.DataFrame,
    estimates: Sequence[Estimate],
    seasons: Seasons,
    horizon: float,
) -> Shelf:
    component = part["component"]
    its_lives = lives.filter(pl.col("component") == component)
    its_estimates = [one for one in estimates if one.component == component]
    lead_days, quantity = part["lead_time_d"] or 0.0, part["quantity_per_fit"] or 1.0
    lead, season = (event_demand(served, its_estimates, seasons, its_lives, days).times(quantity) for days in (lead_days, horizon))
    return Shelf(
        part["part_id"],
        component,
        part["base"] or None,
        part["on_hand"] or 0,
        part["on_order"] or 0,
        max(1, part["pack_size"] or 1),
        part["unit_cost"],
        lead,
        season,
        _note(served, beside, its_lives, lead_days),
    )


def _note(served: pl.DataFrame, beside: list[str], lives: pl.DataFrame, lead_days: float) -> str:
    if served.is_empty():
        return "No engine or boat here takes it, so nothing will ask for it."
    notes = []
    if lives.is_empty():
        notes.append("No life of it is known: planned renewals only, failures are not counted.")
    if served.select("every_h", "every_months").null_count().sum_horizontal().item() == 2 * served.height:
        notes.append("No interval is in force: failures only.")
    unknown = served.filter(pl.col("state") == UNKNOWN).height
    if unknown:
        notes.append(f"The age of {counted(unknown, 'part', 'parts')} of {served.height} is not known; taken at half the interval.")
    if beside:
        notes.append(f"Serves the same places as {', '.join(beside)}: taken as used together, so the whole demand is counted for each.")
    if lead_days <= 0:
        notes.append("With no lead time nothing need be held: order when it is asked for.")
    return " ".join(notes)
