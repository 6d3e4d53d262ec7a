"""What is due and what to order, in sentences.

In: the rows of `due` and `stock`. Out: Markdown.
Elsewhere: the lists (`advice`).
"""

from typing import Any

import polars as pl

from dashboard.sentences.plain import counted, literal, money
from pipelines.terms.cautions import CAUTIONS


def due_words(rows: pl.DataFrame, within_days: int) -> str:
    """Say how many jobs are overdue and how many fall due, on how many boats."""
    late = int(rows["overdue"].sum())
    boats = rows.filter(pl.col("overdue"))["vessel_id"].n_unique()
    coming = counted(rows.height - late, "job falls", "jobs fall")
    overdue = (
        f"**{counted(late, 'job is', 'jobs are')} overdue** on {counted(boats, 'boat', 'boats')}" if late else "**Nothing is overdue**"
    )
    return f"{overdue}; {coming} due in the next {within_days} days."


def cautions(rows: pl.DataFrame) -> list[str]:
    """Return each caution of the list once with the parts it is for, as Markdown; what is said of single jobs comes last."""
    parts: dict[str, list[str]] = {}
    for row in rows.select("component", "caution").unique(maintain_order=True).to_dicts():
        for told in _single(row["caution"]):
            named = parts.setdefault(told, [])
            named += [row["component"]] if row["component"] not in named else []
    ordered = sorted(parts, key=lambda told: told not in CAUTIONS.values())
    return [f"{literal(told)} **{literal(', '.join(parts[told]))}**" for told in ordered]


def _single(caution: str) -> list[str]:
    """Take a caution apart into the ones it was put together from; what is left over is one of its own."""
    found = [told for told in CAUTIONS.values() if told in caution]
    rest = caution
    for told in found:
        rest = rest.replace(told, " ")
    return [*found, *([" ".join(rest.split())] if rest.strip() else [])]


def order_words(rows: pl.DataFrame, currency: str) -> str:
    """Say how many parts to order now and what that costs."""
    short = rows.filter(pl.col("order_quantity") > 0)
    if short.is_empty():
        return "**Nothing to order now:** every part on the shelf covers its lead time."
    pieces, cost = int(short["order_quantity"].sum()), float(short["order_cost"].sum())
    return f"**Order {counted(pieces, 'piece', 'pieces')} of {counted(short.height, 'part', 'parts')}** for {money(cost, currency)}."


def order_of(row: dict[str, Any]) -> str:
    """Say in a few words what to do about one part on the shelf."""
    if row["order_quantity"] is None:
        return "cannot say"
    return f"order {row['order_quantity']:,}" if row["order_quantity"] else "enough"


def shelf_lines(rows: pl.DataFrame) -> pl.DataFrame:
    """Return the rows of `stock` for drawing, those to order first, with `line` (part, number, base) and `order` (what to do)."""
    ordered = rows.sort("order_quantity", descending=True, nulls_last=True, maintain_order=True)
    told = ordered.to_dicts()
    names = [" · ".join(word for word in (f"{row['component']} {row['part_id']}", row["base"]) if word) for row in told]
    return ordered.with_columns(pl.Series("line", names, pl.String), pl.Series("order", [order_of(row) for row in told], pl.String))
