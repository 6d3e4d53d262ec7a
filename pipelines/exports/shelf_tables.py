"""The order list, the shelf list and the kit list as tables for a spreadsheet: one line a part, grouped, with subtotals told apart.

In: rows of the answers `stock` and `kit`. Out: frames. `line` says what a row is (part, subtotal, total), so that whoever adds up a column
can leave the sums out; figures are whole, nothing is rounded.
Elsewhere: the same lists on paper (`papers.shelf`, `papers.kit`), a frame as a file (`frames`).
"""

from collections.abc import Mapping

import polars as pl

PART, SUBTOTAL, TOTAL = "part", "subtotal", "total"
NO_SUPPLIER = "no supplier named"
ORDER_COLUMNS = {
    "line": pl.String(),
    "supplier": pl.String(),
    "part_id": pl.String(),
    "part": pl.String(),
    "base": pl.String(),
    "order_pieces": pl.Int64(),
    "order_packs": pl.Int64(),
    "pack_size": pl.Int64(),
    "unit_cost": pl.Float64(),
    "cost": pl.Float64(),
    "currency": pl.String(),
    "on_hand": pl.Int64(),
    "on_order": pl.Int64(),
    "reorder_point": pl.Int64(),
    "note": pl.String(),
}
SHELF_COLUMNS = {
    "base": pl.String(),
    "part_id": pl.String(),
    "part": pl.String(),
    "supplier": pl.String(),
    "on_hand": pl.Int64(),
    "on_order": pl.Int64(),
    "reorder_point": pl.Int64(),
    "order_up_to": pl.Int64(),
    "expected_use": pl.Float64(),
    "use_low": pl.Float64(),
    "use_high": pl.Float64(),
    "chance_of_running_out": pl.Float64(),
    "counted": pl.Int64(),
    "note": pl.String(),
}


def order_table(stock: pl.DataFrame, labels: Mapping[str, str], currency: str) -> pl.DataFrame:
    """Return what to order now, supplier by supplier, with a subtotal below each and the total at the end.

    Parameters
    ----------
    stock
        Rows of `stock` with supplier, on_order, pack_size and unit_cost.
    labels
        {component: how it is written}.
    currency
        ISO 4217 code; empty: not said.
    """
    wanted = stock.filter(pl.col("order_quantity") > 0).with_columns(pl.col("supplier").fill_null(NO_SUPPLIER))
    lines = wanted.sort("supplier", "component", "part_id", "base", nulls_last=True).select(
        pl.lit(PART).alias("line"),
        "supplier",
        "part_id",
        _label(labels),
        "base",
        pl.col("order_quantity").alias("order_pieces"),
        (pl.col("order_quantity") / pl.col("pack_size").fill_null(1)).ceil().cast(pl.Int64).alias("order_packs"),
        pl.col("pack_size").fill_null(1),
        "unit_cost",
        pl.col("order_cost").alias("cost"),
        pl.lit(currency or None, pl.String).alias("currency"),
        "on_hand",
        pl.col("on_order").fill_null(0),
        "reorder_point",
        "note",
    )
    by_supplier = lines.partition_by("supplier", maintain_order=True)
    told = [part for rows in by_supplier for part in (rows, _sum(rows, SUBTOTAL, currency))]
    return pl.concat([_empty(ORDER_COLUMNS), *told, *([_sum(lines, TOTAL, currency)] if lines.height else [])], how="diagonal_relaxed")


def shelf_table(stock: pl.DataFrame, labels: Mapping[str, str]) -> pl.DataFrame:
    """Return every part on every shelf, base by base, with an empty column to count into."""
    rows = stock.sort("base", "component", "part_id", nulls_last=True).select(
        "base",
        "part_id",
        _label(labels),
        "supplier",
        "on_hand",
        pl.col("on_order").fill_null(0),
        "reorder_point",
        "order_up_to",
        pl.col("mean_demand").alias("expected_use"),
        pl.col("demand_low").alias("use_low"),
        pl.col("demand_high").alias("use_high"),
        pl.col("probability_of_stock_out").alias("chance_of_running_out"),
        pl.lit(None, pl.Int64).alias("counted"),
        "note",
    )
    return pl.concat([_empty(SHELF_COLUMNS), rows], how="diagonal_relaxed")


def _sum(rows: pl.DataFrame, line: str, currency: str) -> pl.DataFrame:
    supplier = rows["supplier"][0] if line == SUBTOTAL else None
    sums = {"order_pieces": int(rows["order_pieces"].sum()), "cost": float(rows["cost"].sum())}
    return pl.DataFrame([{"line": line, "supplier": supplier, "currency": currency or None, **sums}], schema_overrides=ORDER_COLUMNS)


def _label(labels: Mapping[str, str]) -> pl.Expr:
    return pl.col("component").replace_strict(list(labels), list(labels.values()), default=pl.col("component")).alias("part")


def _empty(columns: Mapping[str, pl.DataType]) -> pl.DataFrame:
    return pl.DataFrame(schema=dict(columns))
