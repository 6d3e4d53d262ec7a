"""The kit list: for each type of boat what belongs aboard, with boxes, and what no kit covers.

In: the answer `kit`. Out: sheets. Elsewhere: how the kit is chosen (`advice.kit`), the crew's briefing (`briefing`).
"""

from typing import Any

import polars as pl

from pipelines.exports.papers.blocks import BOX, Block, Cautions, Column, Facts, Fields, Heading, Sheet, Words, table
from pipelines.exports.papers.written import counted, figure, share
from pipelines.terms.cautions import CAUTIONS
from pipelines.terms.kit import SAFETY_GEAR

MOST_GAPS = 6
_ABOARD = (
    Column(""),
    Column("carry", share=1.2),
    Column("pieces", "right"),
    Column("cost", "right"),
    Column("kg", "right"),
    Column("tools", share=1.2),
    Column("only when", share=1.6),
)
_GAPS = (Column("fault", share=1.2), Column("of all tows", "right"), Column("what covers it instead", share=3))
COUNTED = (
    "Tows a boat and season of twelve months, from all calls of the fleet; types of few calls borrow from the others. A tow counts as "
    "spared if the crew has the item and fits it: not every crew will."
)


def kit_sheets(told: list[dict[str, Any]], currency: str) -> list[Sheet]:
    """Make one sheet a type of boat; `told` as in the contract's `kits`."""
    return [_sheet(kit, currency) for kit in told]


def _sheet(kit: dict[str, Any], currency: str) -> Sheet:
    aboard = [item for item in kit["items"] if item["aboard"]]
    blocks: list[Block] = [Facts(_facts(kit, currency)), Words(COUNTED, faint=True), Heading("Aboard")]
    blocks += [table(_ABOARD, [_line(item) for item in aboard])] if aboard else [Words("Nothing: no item within the limits spares a tow.")]
    blocks += [Cautions(_cautions(aboard)), Words(SAFETY_GEAR), Heading("What no kit covers"), _gaps(kit["gaps"])]
    return Sheet("Kit list", kit["boat_type"], (*blocks, Fields(("Put aboard by", "Boat", "Date"))))


def _facts(kit: dict[str, Any], currency: str) -> tuple[tuple[str, str], ...]:
    unknown = len(kit["weight_not_recorded"])
    weight = figure(kit["weight_kg"], 1, "kg") + (f" and {counted(unknown, 'item', 'items')} not weighed" if unknown else "")
    unpriced = len(kit["price_not_recorded"])
    price = f"{figure(kit['spend'], 2)} {currency}".rstrip() + (
        f" and {counted(unpriced, 'item', 'items')} without a price" if unpriced else ""
    )
    return (
        ("Boats of this type", figure(kit["boats"])),
        ("Tows a boat and season", figure(kit["tows"], 2)),
        ("Spared by the kit", f"{figure(kit['tows_stopped'], 2)} ({share(kit['share_stopped'])})"),
        ("Price of one kit", price),
        ("Weight", weight),
    )


def _line(item: dict[str, Any]) -> list[str | None]:
    name = f"{item['item']}: {item['form']}" if item["form"] != "one" else item["item"]
    weight = figure(item["weight_kg"], 1) if item["weight_kg"] is not None else "not recorded"
    price = figure(item["price"], 2) if item["price"] is not None else "not recorded"
    return [BOX, name, figure(item["pieces"]), price, weight, item["tools"], item["only"]]


def _cautions(aboard: list[dict[str, Any]]) -> tuple[str, ...]:
    said = " ".join(item["caution"] for item in aboard)
    return tuple(caution for caution in CAUTIONS.values() if caution in said)


def _gaps(gaps: pl.DataFrame) -> Block:
    rows = gaps.filter(~pl.col("covered"))
    first = rows.head(MOST_GAPS)
    unknown = rows.filter(pl.col("sort") == "unknown")
    shown = first if unknown.is_empty() or "unknown" in first["sort"] else pl.concat([first.head(MOST_GAPS - 1), unknown])
    return table(_GAPS, [[row["fault"], share(row["share"]), row["covered_by"]] for row in shown.iter_rows(named=True)])
