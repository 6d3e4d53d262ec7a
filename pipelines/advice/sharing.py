"""Bases together: a part held at each base against one shelf that all of them draw on.

In: the question, the shelves. Out: one row a part that several bases hold.
Demand is pooled under each law, because bases share what is not known of the part: doubt does not average out, chance does.
Elsewhere: one shelf (`shelf`), costs of holding and waiting (`holding`, `waiting`).

References
----------
Eppen, G. D. (1979). Effects of centralization on expected costs in a multi-location newsboy problem. Management Science 25(5), 498-501
(from memory).
"""

from collections.abc import Iterator, Sequence
from typing import Any

import polars as pl

from pipelines.advice.holding import DAYS_A_YEAR
from pipelines.advice.shelf import Shelf
from pipelines.advice.stock import Question, wanted_by
from pipelines.advice.words import counted

SHARING = {
    "part_id": pl.String(),
    "component": pl.String(),
    "bases": pl.Int64(),
    "shelf_at": pl.String(),
    "pieces_apart": pl.Int64(),
    "pieces_shared": pl.Int64(),
    "holding_saved": pl.Float64(),
    "transfers": pl.Float64(),
    "waiting_added": pl.Float64(),
    "advice": pl.String(),
    "reason": pl.String(),
}
SHARE, APART = "share one shelf", "hold at each base"


def sharing_rows(question: Question, held: Sequence[Shelf], currency: str = "") -> pl.DataFrame:
    """Compare, for each part that several bases hold, one shelf at each with one for all.

    Returns
    -------
    pl.DataFrame
        part_id, component, bases, shelf_at (the base that uses most), pieces_apart and pieces_shared (to begin the season with at the
        wanted level), holding_saved (money through the season), transfers (failures at the other bases that wait for one), waiting_added
        (money; empty: nobody said what a day costs), advice (`share one shelf` or `hold at each base`; empty: cannot be told), reason.
    """
    rows = [_compared(question, places, held, currency) for places in _several(held)]
    return pl.DataFrame(rows, schema=SHARING, orient="row")


def _several(held: Sequence[Shelf]) -> Iterator[list[int]]:
    """Give the places of the shelves of each part that at least two bases hold and use."""
    by_part: dict[tuple[str, str], list[int]] = {}
    for place, shelf in enumerate(held):
        if shelf.base and shelf.positions:
            by_part.setdefault((shelf.part_id, shelf.component), []).append(place)
    return (places for places in by_part.values() if len(places) > 1)


def _compared(question: Question, places: Sequence[int], held: Sequence[Shelf], currency: str) -> dict[str, Any]:
    level, settings, shelves = question.settings.service_level, question.settings, [held[place] for place in places]
    lead = max(shelf.lead_days for shelf in shelves)
    wanted = wanted_by(question, places, lead)
    quantity, unit_cost = shelves[0].quantity, max(shelf.unit_cost for shelf in shelves)
    pooled = max(wanted.by(day).times(quantity).quantile(level) for day in (lead, shelves[0].horizon_days))
    apart = sum(shelf.order_up_to(level) for shelf in shelves)
    most = max(shelves, key=lambda shelf: shelf.events)
    saved = settings.carrying_rate * unit_cost * (apart - pooled) * most.horizon_days / DAYS_A_YEAR
    transfers = sum(shelf.events * shelf.failing_share for shelf in shelves if shelf is not most)
    a_day = settings.waiting_cost_per_day
    added = transfers * settings.transfer_days * a_day if a_day > 0 else None
    return {
        "part_id": most.part_id,
        "component": most.component,
        "bases": len(shelves),
        "shelf_at": most.base,
        "pieces_apart": apart,
        "pieces_shared": pooled,
        "holding_saved": saved,
        "transfers": transfers,
        "waiting_added": added,
        "advice": _advice(saved, added),
        "reason": _reason(apart - pooled, saved, transfers, added, settings.transfer_days, currency),
    }


def _advice(saved: float, added: float | None) -> str | None:
    if saved <= 0:
        return APART
    return None if added is None else SHARE if saved > added else APART


def _reason(fewer: int, saved: float, transfers: float, added: float | None, days: float, currency: str) -> str:
    unit = f" {currency}" if currency else ""
    if fewer <= 0:
        return "One shelf for all would hold no fewer pieces."
    told = f"One shelf for all holds {counted(fewer, 'piece', 'pieces')} fewer and saves {saved:,.2f}{unit} through the season"
    waits = f"{transfers:,.1f} boats would wait {days:,.1f} days for one to be brought"
    if added is None:
        return f"{told}; {waits}. What a day of waiting costs is not known: set `waiting_cost_per_day`."
    return f"{told}; {waits}, which costs {added:,.2f}{unit}."
