"""What each type of boat should carry so that its crew gets home alone: spares a crew can fit, the tools for them, a few aids.

In: tows by type and fault (`kit_tows`), what is fitted, the catalogue, weights, stocked parts with their prices. Out: a `Kit` a type.
A part that a crew may not fit afloat is left out with its reason; what has no price cannot be bought within a budget; what has no weight
is carried and told, never guessed at. Every tow that an item could stop counts as stopped: what a crew makes of it is not known.
Elsewhere: the exact choice (`kit_choice`), what no kit covers (`kit_gaps`), form and tools of each item (`terms.kit`).
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import polars as pl

from pipelines.advice.kit_choice import Choice, Thing, best_choices
from pipelines.advice.kit_tows import CAUSE, PART
from pipelines.terms.cautions import CAUTIONS, GENERAL, caution_for
from pipelines.terms.kit import AIDS, CLEANED_NOT_RENEWED, SPARES, Aid, Spare

NO_PRICE = "price not recorded, so no budget can buy it: add it to `parts`"
NO_TOW = "no tow of the records would have been stopped by it"
DEARER = "other things stop more tows within these limits"
TOO_HEAVY = "heavier than the limit by itself"
NOT_FOR_CREW = "a crew may not fit it afloat: `crew_can_fit` says no"
CLEARED = "a crew clears it: no spare is needed"


@dataclass(frozen=True, eq=False)
class Stores:
    """What can be put aboard: `catalogue`, accepted `components` (for weights) and `parts` (for prices), as published."""

    catalogue: pl.DataFrame
    components: pl.DataFrame
    parts: pl.DataFrame

    def weight(self, name: str) -> float | None:
        """Kilograms of one piece; `None`: not recorded."""
        said = self.components.filter(pl.col("component") == name)["weight_kg"].drop_nulls()
        return float(said[-1]) if said.len() else None

    def price(self, name: str, models: list[str]) -> tuple[float | None, int]:
        """Money of what one fitting takes on these models, and its pieces; the dearest where shelves differ, `None`: not recorded."""
        of_name = self.parts.filter(pl.col("component") == name, pl.col("engine_model").is_null() | pl.col("engine_model").is_in(models))
        of_model = of_name.filter(pl.col("engine_model").is_not_null())
        rows = of_model if of_model.height else of_name
        if rows.is_empty():
            return None, 1
        pieces = math.ceil(float(rows["quantity_per_fit"].cast(pl.Float64).fill_null(1.0).to_numpy().max()) - 1e-9)
        each = rows["unit_cost"].drop_nulls().cast(pl.Float64)
        return (float(each.to_numpy().max()) * max(1, pieces) if each.len() else None), max(1, pieces)

    def crew_can_fit(self, name: str) -> bool | None:
        """Whether a crew may fit it afloat; `None`: neither catalogue nor fleet knows it."""
        said = self.catalogue.filter(pl.col("component") == name)["crew_can_fit"]
        return bool(said[0]) if said.len() else None

    def is_safety(self, name: str) -> bool:
        """Whether its failure can hurt someone."""
        return bool(self.catalogue.filter(pl.col("component") == name)["safety"].fill_null(value=False).any())


@dataclass(frozen=True)
class BoatType:
    """A class of boat with an engine model: how many are in service, its models one by one, and the parts it has."""

    name: str
    vessel_class: str | None
    engine_model: str | None
    models: tuple[str, ...]
    boats: int
    parts: tuple[str, ...]


@dataclass(frozen=True)
class Item:
    """One thing that may be carried.

    Attributes
    ----------
    faults
        Those it mends: (sort, fault) of `kit_tows`.
    pieces, price, weight
        Of one fitting; price in money and weight in kilograms, `None`: not recorded.
    only
        When it may be fitted at all.
    tows, low, high
        Tows a boat and season that it could stop, with limits.
    aboard, note
        Whether it is chosen, and why not.
    """

    name: str
    form: str
    faults: tuple[tuple[str, str], ...]
    pieces: int
    price: float | None
    weight: float | None
    tools: tuple[str, ...]
    only: str
    caution: str
    safety: bool
    tows: float = 0.0
    low: float = 0.0
    high: float = 0.0
    aboard: bool = False
    note: str = ""


@dataclass(frozen=True, eq=False)
class Kit:
    """What a type of boat should carry.

    Attributes
    ----------
    items, barred
        What may be carried, those aboard first; parts it has that a crew may not fit.
    curve, choice
        The best choices of things that have a price for every sum of money; the one that is made.
    tows
        Its tows by fault, as in `kit_tows`.
    """

    of: BoatType
    items: tuple[Item, ...]
    barred: tuple[str, ...]
    curve: tuple[Choice, ...]
    choice: Choice
    tows: pl.DataFrame

    @property
    def aboard(self) -> list[Item]:
        """The items that are chosen."""
        return [item for item in self.items if item.aboard]

    @property
    def stopped(self) -> float:
        """Tows a boat and season that the kit could stop."""
        return sum(item.tows for item in self.aboard)

    @property
    def expected(self) -> float:
        """Tows a boat and season of every cause."""
        return float(self.tows["rate"].sum())


@dataclass(frozen=True)
class Limits:
    """Money and kilograms that the kit of one boat may take; infinite: no limit."""

    money: float = math.inf
    weight: float = math.inf


def kit_of(boat_type: BoatType, tows: pl.DataFrame, stores: Stores, limits: Limits) -> Kit:
    """Choose the kit of one type of boat.

    Parameters
    ----------
    boat_type
        The type.
    tows
        Rows of `kit_tows.tows_by_type`.
    stores
        What can be put aboard.
    limits
        Of one boat.
    """
    own = tows.filter(pl.col("boat_type") == boat_type.name)
    known = [_with_tows(item, own) for item in _offered(boat_type, stores)]
    priced = [item for item in known if item.tows > 0 and item.price is not None]
    curve = _choices(priced, stores, boat_type, limits)
    # Without a budget a price that is not known stands in nobody's way; it only cannot be told of on the curve.
    open_to = priced if math.isfinite(limits.money) else [item for item in known if item.tows > 0]
    best = curve[-1] if open_to == priced else _choices(open_to, stores, boat_type, limits)[-1]
    chosen = {open_to[place].name for place in best.things}
    items = [replace(item, aboard=item.name in chosen, note="" if item.name in chosen else _why_not(item, limits)) for item in known]
    barred = tuple(part for part in boat_type.parts if not stores.crew_can_fit(part))
    return Kit(boat_type, tuple(sorted(items, key=_order)), barred, tuple(curve), best, own)


def _choices(items: list[Item], stores: Stores, boat_type: BoatType, limits: Limits) -> list[Choice]:
    bought = {tool: told for item in items for tool in item.tools if (told := _tool(tool, stores, boat_type))}
    things = [Thing(item.tows, item.price or 0.0, item.weight or 0.0, frozenset(item.tools)) for item in items]
    return best_choices(things, bought, limits.money, limits.weight)


def _offered(boat_type: BoatType, stores: Stores) -> Iterator[Item]:
    """Spares of the parts it has that a crew may fit, and the aids that the fleet does not bar."""
    for part in boat_type.parts:
        if stores.crew_can_fit(part) and part not in CLEANED_NOT_RENEWED:
            yield _spare(part, boat_type, stores)
    for aid in AIDS:
        if stores.crew_can_fit(aid.name) is not False:
            yield _aid(aid, boat_type, stores)


def _spare(part: str, boat_type: BoatType, stores: Stores) -> Item:
    told = SPARES.get(part, Spare("one piece"))
    price, pieces = stores.price(part, list(boat_type.models))
    weight = stores.weight(part)
    return Item(
        part,
        told.form,
        ((PART, part),),
        pieces,
        price,
        None if weight is None else weight * pieces,
        told.tools,
        told.only,
        " ".join(dict.fromkeys((caution_for(part), GENERAL))),
        stores.is_safety(part),
    )


def _aid(aid: Aid, boat_type: BoatType, stores: Stores) -> Item:
    price, pieces = stores.price(aid.name, list(boat_type.models))
    caution = " ".join((*(CAUTIONS[key] for key in aid.cautions), GENERAL))
    faults = tuple((CAUSE, cause) for cause in aid.causes)
    return Item(aid.name, "one", faults, pieces, price, stores.weight(aid.name), aid.tools, aid.only, caution, safety=False)


def _with_tows(item: Item, own: pl.DataFrame) -> Item:
    mended = own.filter(pl.struct("sort", "fault").is_in([{"sort": sort, "fault": fault} for sort, fault in item.faults]))
    rate, low, high = (float(mended[name].sum()) for name in ("rate", "low", "high"))
    return replace(item, tows=rate, low=low, high=high)


def _tool(tool: str, stores: Stores, boat_type: BoatType) -> tuple[float, float] | None:
    """Price and weight of a tool that the fleet buys like a part; `None`: it is in no list, so nothing is known against it."""
    price, _ = stores.price(tool, list(boat_type.models))
    return None if price is None else (price, stores.weight(tool) or 0.0)


def _why_not(item: Item, limits: Limits) -> str:
    if item.tows <= 0:
        return NO_TOW
    if item.weight is not None and item.weight > limits.weight:
        return TOO_HEAVY
    return NO_PRICE if item.price is None else DEARER


def _order(item: Item) -> tuple[bool, float, str]:
    return (not item.aboard, -item.tows, item.name)
