"""The order list and the shelf list as tables: grouped, summed, whole, and harmless to a spreadsheet."""

import io

import polars as pl

from pipelines.exports.frames import as_file
from pipelines.exports.shelf_tables import ORDER_COLUMNS, SHELF_COLUMNS, order_table, shelf_table

STOCK = pl.DataFrame(
    {
        "part_id": ["=P1", "P2", "P3", "P4"],
        "component": ["drive belt", "anodes", "anodes", "thermostat"],
        "base": ["north", "north", None, "south"],
        "supplier": ["chandler", "chandler", None, "agent"],
        "on_hand": [0, 1, 0, 9],
        "on_order": [2, None, 0, 0],
        "mean_demand": [4.2, 1.0, 1.0, 0.5],
        "demand_low": [1.0, 0.0, 0.0, 0.0],
        "demand_high": [8.0, 3.0, 3.0, 2.0],
        "probability_of_stock_out": [0.3, 0.2, 0.4, 0.0],
        "reorder_point": [3, 1, 1, 1],
        "order_up_to": [8, 3, 3, 2],
        "order_quantity": [6, 10, 2, 0],
        "order_cost": [60.0, 25.0, 5.0, 0.0],
        "unit_cost": [10.0, 2.5, 2.5, 20.0],
        "pack_size": [None, 10, None, None],
        "note": [None, None, "n", None],
    },
    schema_overrides={"pack_size": pl.Int64, "on_order": pl.Int64},
)
LABELS = {"drive belt": "Drive belt"}


def test_the_order_list_is_grouped_by_supplier_with_subtotals_and_a_total():
    told = order_table(STOCK, LABELS, "EUR")
    assert told.select("line", "supplier", "part_id", "order_pieces", "order_packs", "cost").rows() == [
        ("part", "chandler", "P2", 10, 1, 25.0),
        ("part", "chandler", "=P1", 6, 6, 60.0),
        ("subtotal", "chandler", None, 16, None, 85.0),
        ("part", "no supplier named", "P3", 2, 2, 5.0),
        ("subtotal", "no supplier named", None, 2, None, 5.0),
        ("total", None, None, 18, None, 90.0),
    ]
    assert told["on_order"].to_list() == [0, 2, None, 0, None, None]
    assert set(told["currency"]) == {"EUR"}
    assert told["part"][1] == "Drive belt"


def test_with_nothing_to_order_the_table_has_its_headings_and_no_total():
    told = order_table(STOCK.filter(pl.col("order_quantity") == 0), LABELS, "")
    assert (told.height, told.columns) == (0, list(ORDER_COLUMNS))


def test_the_shelf_list_has_every_part_and_an_empty_column_to_count_into():
    told = shelf_table(STOCK, LABELS)
    assert told.columns == list(SHELF_COLUMNS)
    assert told["part_id"].to_list() == ["P2", "=P1", "P4", "P3"]
    assert told["counted"].null_count() == told.height


def test_a_number_that_a_spreadsheet_would_run_leaves_harmless():
    text = as_file(order_table(STOCK, LABELS, "EUR"), "csv").decode()
    assert "'=P1" in text
    assert ",=P1" not in text
    book = pl.read_excel(io.BytesIO(as_file(order_table(STOCK, LABELS, "EUR"), "xlsx", "Order list")), engine="calamine")
    assert book["cost"].to_list()[-1] == 90.0
