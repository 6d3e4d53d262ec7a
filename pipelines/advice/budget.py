"""What the next unit of money buys: packs bought one by one, each time where it saves the most renewals without their part for its price.

In: shelves with their demand over the season. Out: the purchases in their order, the budget curve, the list at any budget, how the plain
rules "two of everything", "what last year took" and "the wanted level of each part" compare.
Elsewhere: the demand (`demand`), what to order at a wanted service level (`shelf`).

References
----------
Sherbrooke, C. C. (1968). METRIC: a multi-echelon technique for recoverable item control. Operations Research 16(1), 122-141.
"""

import heapq
from collections.abc import Iterator, Sequence
from math import inf

import polars as pl

from pipelines.advice.shelf import Shelf

ENOUGH = 0.9995
_MOST_PACKS = 20_000
PART = ("part_id", "component", "base")
PURCHASES = {
    "step": pl.Int64(),
    **dict.fromkeys(PART, pl.String()),
    "pieces": pl.Int64(),
    "price": pl.Float64(),
    "spend": pl.Float64(),
    "service_level": pl.Float64(),
    "missed": pl.Float64(),
}
LISTS = {
    "list": pl.String(),
    "spend": pl.Float64(),
    "service_level": pl.Float64(),
    "same_money_level": pl.Float64(),
    "same_service_spend": pl.Float64(),
}
TWO = 2


def purchases(held: Sequence[Shelf]) -> pl.DataFrame:
    """Spend money where it buys most, from what is on hand and on order.

    Returns
    -------
    pl.DataFrame
        One row a pack, in the order in which to buy: step (from 1), part_id, component, base, pieces (of the pack), price (of the pack),
        spend (all money so far), service_level (expected share of the season's renewals that find their part), missed (expected renewals
        that do not). A first row, step 0, has no part and says where things stand with nothing bought. Ends where hardly any is missed; a
        part without a price is held at once. Empty where nothing will be asked for.
    """
    wanted = sum(shelf.events for shelf in held)
    if wanted <= 0:
        return pl.DataFrame(schema=PURCHASES)
    missed, spend = sum(shelf.missing(shelf.position) for shelf in held), 0.0
    rows: list[tuple] = [(0, None, None, None, 0, 0.0, 0.0, 1 - missed / wanted, missed)]
    for place, price, gain in _best_first(held):
        spend, missed = spend + price, max(0.0, missed - gain)
        one = held[place]
        rows.append((len(rows), one.part_id, one.component, one.base, one.pack, price, spend, 1 - missed / wanted, missed))
        if rows[-1][7] >= ENOUGH or len(rows) > _MOST_PACKS:
            break
    return pl.DataFrame(rows, schema=PURCHASES, orient="row")


def curve_of(bought: pl.DataFrame) -> pl.DataFrame:
    """Return the budget curve of some purchases: spend, service_level; rising."""
    return bought.select("spend", "service_level")


def budget_curve(held: Sequence[Shelf]) -> pl.DataFrame:
    """Return the budget curve of some shelves: spend (money), service_level (expected share of renewals that find their part)."""
    return curve_of(purchases(held))


def list_at(bought: pl.DataFrame, budget: float) -> pl.DataFrame:
    """Return what a sum of money buys: packs are bought best buy first until the next one would pass it.

    Parameters
    ----------
    bought
        From `purchases`, or the key `purchases` of the answer `stock`.
    budget
        Money, 0 or more.

    Returns
    -------
    pl.DataFrame
        part_id, component, base, order_quantity (pieces), order_cost (money); parts of which nothing is bought are not listed. More money
        never lists less of a part.
    """
    chosen = bought.filter(pl.col("part_id").is_not_null(), pl.col("spend") <= budget + 1e-9)
    sums = (pl.col("pieces").sum().alias("order_quantity"), pl.col("price").sum().alias("order_cost"))
    return chosen.group_by(PART, maintain_order=True).agg(sums).sort("component", "part_id", "base", nulls_last=False)


def level_at(bought: pl.DataFrame, budget: float) -> float | None:
    """Return the expected share of renewals that find their part when so much is spent; `None`: nothing will be asked for."""
    return bought.filter(pl.col("spend") <= budget + 1e-9)["service_level"].max()  # type: ignore[return-value]


def order_within(rows: pl.DataFrame, bought: pl.DataFrame, budget: float) -> pl.DataFrame:
    """Put into the rows of the answer `stock` the order that a budget buys instead of the one that the service level asks for."""
    listed = list_at(bought, budget)
    joined = rows.drop("order_quantity", "order_cost").join(listed, on=PART, how="left", nulls_equal=True, maintain_order="left")
    filled = joined.with_columns(pl.col("order_quantity").fill_null(0), pl.col("order_cost").fill_null(0.0))
    return filled.select(rows.columns)


def lists_compared(held: Sequence[Shelf], bought: pl.DataFrame, level: float) -> pl.DataFrame:
    """Hold plain rules against the best buys, at the same money and at the same service.

    Returns
    -------
    pl.DataFrame
        list (two of everything; what last year took; wanted level of each part), spend and service_level of that rule,
        same_money_level (what the best buys reach for that money; the rule's own where packs make it as good), same_service_spend (what
        the best buys need for that service; empty: more than the curve holds). A rule that cannot be told is left out.
    """
    wanted = sum(shelf.events for shelf in held)
    if wanted <= 0 or bought.is_empty():
        return pl.DataFrame(schema=LISTS)
    last_year = [shelf.last_year for shelf in held]
    rules = {"two of everything": [_up_to(shelf, TWO) for shelf in held]}
    if all(used is not None for used in last_year):
        rules["what last year took"] = [_up_to(shelf, used or 0) for shelf, used in zip(held, last_year, strict=True)]
    rules["wanted level of each part"] = [shelf.order_quantity(level) for shelf in held]
    return pl.DataFrame([_compared(name, pieces, held, bought, wanted) for name, pieces in rules.items()], schema=LISTS, orient="row")


def _compared(name: str, pieces: Sequence[int], held: Sequence[Shelf], bought: pl.DataFrame, wanted: float) -> tuple:
    spend = float(sum(count * shelf.unit_cost for count, shelf in zip(pieces, held, strict=True)))
    missed = sum(shelf.missing(shelf.position + count) for count, shelf in zip(pieces, held, strict=True))
    reached = 1 - missed / wanted
    enough = bought.filter(pl.col("service_level") >= reached - 1e-9)["spend"]
    best = max(reached, _level_with(held, spend, wanted))
    return name, spend, reached, best, enough[0] if enough.len() else None


def _level_with(held: Sequence[Shelf], money: float, wanted: float) -> float:
    """Return the service that the best buys reach when all of some money is spent: what no longer fits is passed over for what does."""
    missed, left = sum(shelf.missing(shelf.position) for shelf in held), money + 1e-9
    for _, price, gain in _best_first(held, left):
        left, missed = left - price, missed - gain
    return 1 - missed / wanted


def _up_to(shelf: Shelf, pieces: int) -> int:
    """Pieces to buy, in whole packs, to hold so many."""
    return shelf.pack * -(-max(0, pieces - shelf.position) // shelf.pack)


def _best_first(held: Sequence[Shelf], money: float = inf) -> Iterator[tuple[int, float, float]]:
    """Give (place of the shelf, price, renewals saved) of one pack after another, the best buy first; of what fits in the money left."""
    queue: list[tuple[float, int, int, float, float]] = []
    for place, shelf in enumerate(held):
        _offer(queue, place, shelf, shelf.position)
    while queue:
        _, place, pieces, price, gain = heapq.heappop(queue)
        if price > money:
            continue
        money -= price
        yield place, price, gain
        _offer(queue, place, held[place], pieces + held[place].pack)


def _offer(queue: list[tuple[float, int, int, float, float]], place: int, shelf: Shelf, pieces: int) -> None:
    price = shelf.pack * shelf.unit_cost
    gain = shelf.missing(pieces) - shelf.missing(pieces + shelf.pack)
    if gain > 0:
        heapq.heappush(queue, (-gain / max(price, 1e-9), place, pieces, price, gain))
