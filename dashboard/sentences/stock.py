"""One part on its shelf, an order by supplier and a budget, in sentences and frames to draw.

In: rows of `stock`, its purchases and lists. Out: Markdown and frames.
Elsewhere: the sentence over the whole order (`work`), the kit (`kit`).
"""

import math
from collections.abc import Iterator
from typing import Any

import polars as pl

from dashboard.sentences.plain import as_day, counted, day, figure, literal, money, percent

Row = dict[str, Any]
NO_SUPPLIER = "no supplier named"
UNLIKELY = 1e-4
SUPPLIER_COLUMNS = (
    "part_id",
    "component",
    "base",
    "order_quantity",
    "packs",
    "unit_cost",
    "order_cost",
    "on_hand",
    "on_order",
    "reorder_point",
)


def by_supplier(rows: pl.DataFrame, currency: str) -> Iterator[tuple[str, pl.DataFrame]]:
    """Give each supplier of whom something is to be ordered: a heading with the sum, and the lines."""
    wanted = rows.filter(pl.col("order_quantity") > 0).with_columns(pl.col("supplier").fill_null(NO_SUPPLIER))
    packs = (pl.col("order_quantity") / pl.col("pack_size").fill_null(1)).ceil().cast(pl.Int64).alias("packs")
    ordered = wanted.with_columns(packs).sort("supplier", "component", "part_id", "base", nulls_last=True)
    for lines in ordered.partition_by("supplier", maintain_order=True):
        total = money(float(lines["order_cost"].sum()), currency)
        yield (
            f"{literal(lines['supplier'][0]).capitalize()}: {counted(lines.height, 'line', 'lines')}, {total}",
            lines.select(SUPPLIER_COLUMNS),
        )


def coming_words(rows: pl.DataFrame) -> str:
    """Say what is on order already; empty: nothing is."""
    coming = rows.filter(pl.col("on_order") > 0)
    if coming.is_empty():
        return ""
    pieces = counted(int(coming["on_order"].sum()), "piece", "pieces")
    return f"{pieces} of {counted(coming.height, 'part', 'parts')} on order already; counted as if here."


def part_line(row: Row) -> str:
    """Name one part on one shelf: number, part, base."""
    return " · ".join(word for word in (row["part_id"], row["component"], row["base"]) if word)


def part_words(row: Row, currency: str, wanted: float) -> str:
    """Say what lies there, what will be asked for, when to order, and when it runs out."""
    here = f"**{row['on_hand'] or 0:,} on the shelf**" + (f", {row['on_order']:,} on order" if row["on_order"] else "")
    if row["mean_demand"] is None:
        return f"{here}. {literal(row['note'] or '')}"
    lead = f"Over the lead time of {figure(row['lead_time_d'])} days {figure(row['lead_demand'])} are used on average"
    season = f"over the season {figure(row['mean_demand'])}, in nine seasons of ten {row['demand_low']:.0f} to {row['demand_high']:.0f}"
    order = (
        f"**order {row['order_quantity']:,} now** for {money(row['order_cost'], currency)}"
        if row["order_quantity"]
        else "nothing to order now"
    )
    point = f"Order when hand and order together fall to {row['reorder_point']:,}, up to {row['order_up_to']:,}: {order}."
    return "  \n".join(word for word in (f"{here}. {lead}; {season}.", point, _runs_out(row, wanted), _year(row)) if word)


def _runs_out(row: Row, wanted: float) -> str:
    if row["runs_out_early_on"] is None:
        return f"If nothing more is ordered, the chance of having run out stays below {percent(1 - wanted)} all season."
    half = f", past one half on {day(row['runs_out_even_on'])}" if row["runs_out_even_on"] else ""
    passes = f"passes {percent(1 - wanted)} on **{day(row['runs_out_early_on'])}**"
    return f"If nothing more is ordered, the chance of having run out {passes}{half}."


def _year(row: Row) -> str:
    used = row["last_year_use"]
    told = "" if used is None else f"The same days of last year took {used:,}."
    return " ".join(word for word in (told, literal(row["hold_reason"] or ""), literal(row["note"] or "")) if word)


def use_frame(use: list[Row] | None, position: int) -> pl.DataFrame:
    """Return the chance of each number of pieces for drawing: pieces, chance, covered, told; empty: it cannot be told.

    Parameters
    ----------
    use
        pieces, chance: that no more than so many are used; rising.
    position
        Pieces on hand and on order.
    """
    rows, before = [], 0.0
    for step in use or []:
        pieces = int(step["pieces"])
        rows.append((pieces, step["chance"] - before, pieces <= position, counted(pieces, "piece", "pieces")))
        before = step["chance"]
    last = max((place for place, row in enumerate(rows) if row[1] > UNLIKELY), default=-1)
    schema = {"pieces": pl.Int64, "chance": pl.Float64, "covered": pl.Boolean, "told": pl.String}
    return pl.DataFrame(rows[: last + 1], schema=schema, orient="row")


def marks_frame(row: Row, *sorts: str) -> pl.DataFrame:
    """Return the strokes over a picture of use: what is here, where to order, up to where."""
    position = (row["on_hand"] or 0) + (row["on_order"] or 0)
    known = {
        "here": (position, f"here and coming: {position:,}"),
        "order at": (row["reorder_point"], f"order at {row['reorder_point']:,}"),
        "order up to": (row["order_up_to"], f"order up to {row['order_up_to']:,}"),
    }
    rows = [(*known[sort], sort) for sort in sorts if known[sort][0] is not None]
    return pl.DataFrame(rows, schema={"pieces": pl.Int64, "words": pl.String, "sort": pl.String}, orient="row")


def months_frame(running_out: list[Row] | None) -> pl.DataFrame:
    """Return the chance of having run out by the end of each month: day, chance."""
    rows = [(as_day(step["on"]), step["chance"]) for step in running_out or []]
    return pl.DataFrame(rows, schema={"day": pl.Date, "chance": pl.Float64}, orient="row")


def budget_words(listed: pl.DataFrame, level: float | None, money_given: float, currency: str) -> str:
    """Say what a budget buys and what it brings."""
    pieces = counted(int(listed["order_quantity"].sum()), "piece", "pieces")
    spent = money(float(listed["order_cost"].sum()), currency)
    brings = "" if level is None else f"; then {percent(level)} of what is asked for over the season is on the shelf"
    return f"**{money(money_given, currency)}** buys {pieces} of {counted(listed.height, 'part', 'parts')} for {spent}{brings}."


def lists_words(lists: pl.DataFrame, currency: str) -> list[str]:
    """Say of each plain rule what it costs and brings, and what the best buys bring for the same money."""
    told = []
    for row in lists.to_dicts():
        less = row["same_service_spend"]
        cheaper = f", or as much for {money(less, currency)}" if less is not None and less < row["spend"] else ""
        told.append(
            f"**{literal(row['list']).capitalize()}**: {money(row['spend'], currency)} brings {percent(row['service_level'])}; "
            f"the best buys bring {percent(row['same_money_level'])} for that money{cheaper}."
        )
    return told


def top_of(purchases: pl.DataFrame) -> float:
    """Return a round sum of money beyond which the curve has nothing left to buy."""
    most = float(purchases["spend"].max() or 0.0)  # pyright: ignore[reportArgumentType]
    step = step_of(most)
    return math.ceil(most / step) * step if most else 0.0


def step_of(most: float) -> float:
    """Return the step of a slider over money: 1, 5, 10, 50 … so that some hundred steps reach the end."""
    rough = max(most / 100, 0.5)
    power = 10 ** math.floor(math.log10(rough))
    return float(max(1, power * (5 if rough / power >= 3 else 1)))
