"""What the next unit of money buys: packs bought one by one, each time where it saves the most shortfall for its price.

In: shelves with their demand over the season. Out: the budget curve, money spent against the share of pieces asked for that are at hand.
Elsewhere: the demand (`demand`), what to order at a wanted service level (`stock`).

References
----------
Sherbrooke, C. C. (1968). METRIC: a multi-echelon technique for recoverable item control. Operations Research 16(1), 122-141.
"""

import heapq
from collections.abc import Iterator, Sequence
from itertools import islice

import polars as pl

from pipelines.advice.stock import Shelf

ENOUGH = 0.9995
_MOST_PACKS = 20_000


def budget_curve(held: Sequence[Shelf]) -> pl.DataFrame:
    """Spend money where it buys most, from what is on hand and on order.

    Returns
    -------
    pl.DataFrame
        Columns spend (money) and service_level: expected share of the pieces asked for over the season that are at hand. Rising; ends where
        hardly any shortfall is left. A part without a price costs nothing and is held at once. Empty where nothing will be asked for.
    """
    wanted = sum(shelf.season.mean for shelf in held)
    if wanted <= 0:
        return pl.DataFrame(schema={"spend": pl.Float64, "service_level": pl.Float64})
    missing = sum(shelf.season.shortfall(shelf.position) for shelf in held)
    steps = [(0.0, 1 - missing / wanted)]
    spend = 0.0
    for _, price, gain in _purchases(held):
        spend, missing = spend + price, missing - gain
        steps.append((spend, 1 - missing / wanted))
        if steps[-1][1] >= ENOUGH or len(steps) > _MOST_PACKS:
            break
    return pl.DataFrame(steps, schema=["spend", "service_level"], orient="row")


def order_within(held: Sequence[Shelf], rows: pl.DataFrame, budget: float) -> pl.DataFrame:
    """Put into the rows of the answer `stock` the order that a budget buys instead of the one that the service level asks for.

    Parameters
    ----------
    held, rows
        Shelves and their rows, in one order.
    budget
        Money; packs are bought best buy first until the next best one would pass it.
    """
    packs = [0] * len(held)
    spent = 0.0
    for place, price, _ in islice(_purchases(held), _MOST_PACKS):
        spent += price
        if spent > budget:
            break
        packs[place] += 1
    pieces = [count * shelf.pack for count, shelf in zip(packs, held, strict=True)]
    costs = [count * shelf.unit_cost for count, shelf in zip(pieces, held, strict=True)]
    return rows.with_columns(pl.Series("order_quantity", pieces, pl.Int64), pl.Series("order_cost", costs, pl.Float64))


def _purchases(held: Sequence[Shelf]) -> Iterator[tuple[int, float, float]]:
    """Give (place of the shelf, price, shortfall saved) of one pack after another, the best buy first."""
    queue = []
    for place, shelf in enumerate(held):
        _offer(queue, place, shelf, shelf.position)
    while queue:
        _, place, pieces, price, gain = heapq.heappop(queue)
        yield place, price, gain
        _offer(queue, place, held[place], pieces + held[place].pack)


def _offer(queue: list, place: int, shelf: Shelf, pieces: int) -> None:
    price = shelf.pack * shelf.unit_cost
    gain = shelf.season.shortfall(pieces) - shelf.season.shortfall(pieces + shelf.pack)
    if gain > 0:
        heapq.heappush(queue, (-gain / max(price, 1e-9), place, pieces, price, gain))
