"""Which parts the due renewals take off the shelf."""

import polars as pl

from pipelines.advice.picking import pick_list, picked

PLACE = {"engine_id": pl.String, "vessel_id": pl.String, "component": pl.String, "position": pl.String}


def due(*rows):
    return pl.DataFrame(rows, schema={**PLACE, "task": pl.String}, orient="row")


def positions(*rows):
    return pl.DataFrame(rows, schema={**PLACE, "engine_model": pl.String, "base": pl.String}, orient="row")


def parts(*rows):
    schema = {"part_id": pl.String, "component": pl.String, "engine_model": pl.String, "base": pl.String, "supplier": pl.String}
    return pl.DataFrame(rows, schema={**schema, "on_hand": pl.Int64, "quantity_per_fit": pl.Float64}, orient="row")


ENGINE = ("E1", "V1", "impeller", None)
FLEET = positions((*ENGINE, "Hesk 20", "North"), ("E2", "V2", "impeller", None, "Dorrat 3D", "South"))


def test_a_part_for_the_model_at_the_base_comes_before_all_others():
    held = parts(("P1", "impeller", None, None, None, 9, None), ("P2", "impeller", "Hesk 20", "North", "agent", 1, None))
    assert picked(due((*ENGINE, "renew")), FLEET, held)["part_id"].to_list() == ["P2"]


def test_a_shelf_of_another_base_is_not_touched():
    held = parts(("P2", "impeller", "Hesk 20", "South", None, 1, None))
    assert picked(due((*ENGINE, "renew")), FLEET, held)["part_id"].to_list() == [None]


def test_inspections_and_tests_take_no_part():
    held = parts(("P1", "impeller", None, None, None, 9, None))
    assert picked(due((*ENGINE, "inspect"), (*ENGINE, "test")), FLEET, held).is_empty()


def test_a_set_of_plugs_counts_each_plug():
    held = parts(("P1", "impeller", None, None, None, 9, 4.0))
    assert picked(due((*ENGINE, "renew")), FLEET, held)["pieces"].to_list() == [4.0]


def test_a_position_without_an_engine_is_found_too():
    fleet = positions((None, "V1", "bilge pump", "fore", None, "North"))
    held = parts(("P9", "bilge pump", None, "North", None, 2, None))
    assert picked(due((None, "V1", "bilge pump", "fore", "renew")), fleet, held)["part_id"].to_list() == ["P9"]


def test_the_list_adds_up_pieces_and_says_what_the_shelf_lacks():
    held = parts(("P1", "impeller", None, None, None, 1, None))
    fleet = positions((*ENGINE, "Hesk 20", "North"), ("E3", "V3", "impeller", None, "Hesk 20", "North"))
    listed = pick_list(picked(due((*ENGINE, "renew"), ("E3", "V3", "impeller", None, "renew")), fleet, held))
    assert listed.select("base", "part_id", "pieces", "on_hand", "short", "boats").row(0) == ("North", "P1", 2.0, 1, 1.0, ["V1", "V3"])
