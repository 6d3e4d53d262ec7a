"""The papers of the shelf: what to order now, by supplier; what stands where, to count against.

In: rows of the answer `stock` with supplier, pack and unit cost. Out: sheets.
Elsewhere: how much to hold and order (`advice.stock`).
"""

import math
from collections.abc import Mapping
from typing import Any

import polars as pl

from pipelines.exports.papers.blocks import BOX, Block, Column, Fields, Heading, Sheet, Words, table
from pipelines.exports.papers.written import counted, figure, share, span
from pipelines.exports.shelf_tables import NO_SUPPLIER

_TO_READ = "Order when hand and order together fall to the reorder point. Runs out: chance over the lead time with what is here."
_TO_COUNT = (
    Column("number"),
    Column("part", share=2),
    Column("on hand", "right"),
    Column("on order", "right"),
    Column("reorder at", "right"),
    Column("up to", "right"),
    Column("use, 90 % range", "right"),
    Column("runs out", "right"),
    Column("counted", share=0.7),
)
_TO_ORDER = (
    Column(""),
    Column("number"),
    Column("part", share=2),
    Column("base", share=1),
    Column("here", "right"),
    Column("coming", "right"),
    Column("pieces", "right"),
    Column("packs", "right"),
    Column("each", "right"),
    Column("cost", "right"),
)
_COMING = (Column("number"), Column("part", share=2), Column("base", share=1), Column("pieces", "right"))


def order_sheets(stock: pl.DataFrame, labels: Mapping[str, str], currency: str) -> list[Sheet]:
    """Make one sheet a supplier with what to order now; `stock` carries supplier, on_order, pack_size and unit_cost."""
    wanted = stock.filter(pl.col("order_quantity") > 0).with_columns(pl.col("supplier").fill_null(NO_SUPPLIER))
    if wanted.is_empty():
        return [Sheet("Order list", "", (Words("Nothing has to be ordered now: every shelf stands above its reorder point."),))]
    coming = stock.filter(pl.col("on_order") > 0).with_columns(pl.col("supplier").fill_null(NO_SUPPLIER))
    suppliers = wanted["supplier"].unique().sort().to_list()
    whole = f" All suppliers together: {_money(wanted, currency)}." if len(suppliers) > 1 else ""
    return [
        _order(name, wanted.filter(pl.col("supplier") == name), coming.filter(pl.col("supplier") == name), labels, currency, whole)
        for name in suppliers
    ]


def shelf_sheets(stock: pl.DataFrame, labels: Mapping[str, str]) -> list[Sheet]:
    """Make one sheet a base with every part on its shelf and a column to count into."""
    if stock.is_empty():
        return [Sheet("Shelf list", "", (Words("No part is on any list. Take in the parts on your shelves: towless intake parts.csv"),))]
    bases = stock["base"].unique().sort(nulls_last=True).to_list()
    return [_shelf(base, stock.filter(pl.col("base").eq_missing(pl.lit(base, pl.String))), labels) for base in bases]


def _order(supplier: str, wanted: pl.DataFrame, coming: pl.DataFrame, labels: Mapping[str, str], currency: str, whole: str) -> Sheet:
    rows = [
        [
            BOX,
            row["part_id"],
            _part(row, labels),
            row["base"],
            figure(row["on_hand"]),
            figure(row["on_order"] or 0),
            figure(row["order_quantity"]),
            figure(math.ceil(row["order_quantity"] / (row["pack_size"] or 1))),
            figure(row["unit_cost"], 2),
            figure(row["order_cost"], 2),
        ]
        for row in wanted.sort("component", "part_id", "base", nulls_last=True).iter_rows(named=True)
    ]
    total = f"{counted(len(rows), 'line', 'lines')}, {_money(wanted, currency)} in all.{whole}"
    blocks = (Words(total), table(_TO_ORDER, rows), *_still_coming(coming, labels))
    return Sheet("Order list", supplier, (*blocks, Fields(("Ordered by", "Date", "Order number"))))


def _still_coming(coming: pl.DataFrame, labels: Mapping[str, str]) -> tuple[Block, ...]:
    """Tell what this supplier has been asked for already; it is counted as if it were here."""
    if coming.is_empty():
        return ()
    rows = [
        [row["part_id"], _part(row, labels), row["base"], figure(row["on_order"])]
        for row in coming.sort("component", "part_id", "base", nulls_last=True).iter_rows(named=True)
    ]
    return Heading("On order already"), Words("Counted as if it were here; not to be ordered again.", faint=True), table(_COMING, rows)


def _part(row: Mapping[str, Any], labels: Mapping[str, str]) -> str:
    """Say which part it is, with the engine model where the shelf has it for one model alone."""
    label, model = labels.get(row["component"], row["component"]), row.get("engine_model")
    return f"{label}, {model}" if model else label


def _money(wanted: pl.DataFrame, currency: str) -> str:
    return f"{figure(float(wanted['order_cost'].sum()), 2)} {currency}".rstrip()


def _shelf(base: str | None, held: pl.DataFrame, labels: Mapping[str, str]) -> Sheet:
    rows = [
        [
            row["part_id"],
            _part(row, labels),
            figure(row["on_hand"]),
            figure(row["on_order"] or 0),
            figure(row["reorder_point"]),
            figure(row["order_up_to"]),
            span(row["demand_low"], row["demand_high"]),
            share(row["probability_of_stock_out"]),
            " ",
        ]
        for row in held.sort("component", "part_id").iter_rows(named=True)
    ]
    return Sheet("Shelf list", base or "no base", (Words(_TO_READ, faint=True), table(_TO_COUNT, rows), Fields(("Counted by", "Date"))))
