import json
from datetime import date

from pipelines.intake.by_hand import made_by_hand
from pipelines.intake.taking import LEFT_OUT_SCHEMA

ROW = {"component": "anodes", "task": "renew", "every_h": 100.0, "adopted_on": date(2025, 3, 1), "adopted_by": "yard meeting"}


def test_rows_made_by_hand_are_like_rows_from_a_file(yard):
    by_hand = made_by_hand("plan", [ROW], "adopted by hand")
    from_file = yard.take("component,task,every_h,adopted_on,adopted_by\nanodes,renew,100,2025-03-01,yard meeting\n")
    assert by_hand.rows.schema == from_file.rows.schema
    assert by_hand.rows.drop("line", "raw").equals(from_file.rows.drop("line", "raw"))


def test_what_was_filled_in_is_kept_as_it_came():
    (raw,) = made_by_hand("plan", [ROW], "adopted by hand").rows["raw"]
    assert json.loads(raw) == ROW | {"adopted_on": "2025-03-01"}


def test_nothing_is_left_out_and_ids_are_made_from_where_it_was_made():
    taken = made_by_hand("rescue_calls", [{"vessel_id": "B1"}, {"vessel_id": "B2"}], "call form")
    assert dict(taken.left_out.schema) == LEFT_OUT_SCHEMA
    assert taken.rows["call_id"].to_list() == ["call form#1", "call form#2"]
    assert (taken.rows_in, taken.sha256) == (2, "")
