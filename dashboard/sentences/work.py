"""What is due and what to order, in sentences.

In: the rows of `due` and `stock`. Out: Markdown.
Elsewhere: the lists (`advice`).
"""

from typing import Any

import polars as pl

from dashboard.sentences.plain import counted, literal, money


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
    """Return each caution once with the parts it is for, as Markdown, in the order of the list."""
    parts = rows.group_by("caution", maintain_order=True).agg(pl.col("component").unique(maintain_order=True))
    return [f"**{literal(', '.join(row['component']))}.** {literal(row['caution'])}" for row in parts.to_dicts()]


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
    """Return the rows of `stock` with `line` (the part and its base) and `order` (what to do), for drawing; those to order first."""
    told = rows.sort("order_quantity", descending=True, nulls_last=True, maintain_order=True)
    names = [" · ".join(word for word in (row["component"], row["base"]) if word) for row in told.to_dicts()]
    return told.with_columns(pl.Series("line", names, pl.String), pl.Series("order", [order_of(row) for row in told.to_dicts()], pl.String))
