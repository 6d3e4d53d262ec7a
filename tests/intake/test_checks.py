"""Each fault shows the file, the line, the column, the value and the way out."""

import pytest

HEADER = "ticket_id;engine_id;vessel_id;done_on;meter_h;component;action;warranty;parts_cost\n"


def reasons(taken) -> list[str]:
    return taken.left_out["reason"].to_list()


def test_a_clock_in_place_of_hours(yard):
    taken = yard.take("call_id,vessel_id,called_at,meter_h\nC1,B1,2024-07-14,12:40\n", "rescue_calls.csv")
    assert reasons(taken) == [
        "rescue_calls.csv, line 2, meter_h: '12:40'. Hours are a number such as 1240.5; leave it empty if it was not read."
    ]


@pytest.mark.parametrize(
    ("row", "reason"),
    [
        ("T1;E1;;2024-07-14;-5;anodes;renew;;", "meter_h: '-5'. Hours cannot be below 0; leave it empty if it was not read."),
        (
            "T1;E1;;31/02/2024;;anodes;renew;;",
            "done_on: '31/02/2024'. There is no such day or time; put it right.",
        ),
        ("T1;E1;;14/07/2199;;anodes;renew;;", "done_on: '14/07/2199'. It is after 2025-07-01, the last day it can be; put it right."),
        (
            "T1;E1;;1899-12-30 17:00;;anodes;renew;;",
            "done_on: '1899-12-30 17:00'. It is before 1950, so it is a slip or an empty date; put it right.",
        ),
        ("T1;E1;;summer;;anodes;renew;;", "done_on: 'summer'. A date is written as 2024-07-14; it must be filled."),
        ("T1;E1;;2024-07-14;;;renew;;", "component: empty. It must be filled: the part, as a trade word."),
        ("T1;E1;;2024-07-14;;anodes;n/a;;", "action: empty. It must be filled: what was done."),
        (
            "T1;;;2024-07-14;;anodes;renew;;",
            "engine_id: empty. One of engine_id and vessel_id must be filled, to say where the work was done.",
        ),
        ("T1;E1;;2024-07-14;;anodes;renew;perhaps;", "warranty: 'perhaps'. Write yes or no; leave it empty if it is not known."),
        (
            "T1;E1;;2024-07-14;;anodes;renew;;dear",
            "parts_cost: 'dear'. Money is a number such as 45.50; leave it empty if it is not known.",
        ),
        (
            "T1;E1;;2024-07-14;;anodes;renew;;1.243",
            'parts_cost: \'1.243\'. It can be read with a decimal or a thousands mark; set decimal = "," or decimal = "." in a mapping.',
        ),
        (
            "T1;E1;;2024-07-14;x;anodes;renew;y;z",
            "meter_h: 'x'. Hours are a number such as 1240.5; leave it empty if it was not read. "
            "parts_cost: 'z'. Money is a number such as 45.50; leave it empty if it is not known.",
        ),
    ],
)
def test_a_fault_shows_value_place_and_way_out(yard, row, reason):
    taken = yard.take(f"{HEADER}{row}\n")
    assert reasons(taken) == [f"tickets.csv, line 2, {reason}"]
    assert taken.rows.height == 0


def test_an_ambiguous_date_asks_for_the_order(yard):
    taken = yard.reading("03/04/2024")
    assert reasons(taken) == [
        "hours.csv, line 2, read_on: '03/04/2024'. No date of this file shows whether the day or the month comes first; "
        'set date_order = "day first" or "month first" in a mapping.'
    ]
    assert yard.reading("03/04/2024", mapping='date_order = "day first"').left_out.height == 0


def test_a_pack_of_none_is_below_the_lowest(yard):
    taken = yard.take("part_id;component;on_hand;lead_time_d;unit_cost;pack_size\nP1;anodes;3.5;7;9,50;0\n")
    assert reasons(taken) == [
        "tickets.csv, line 2, on_hand: '3.5'. Pieces are a whole number such as 3; it must be filled. "
        "pack_size: '0'. Pieces cannot be below 1; leave it empty if it is not known."
    ]


def test_a_trip_that_comes_back_before_it_left_is_a_fault(yard):
    taken = yard.take("vessel_id,out_at,back_at,engine_h\nB1,2024-07-14 10:00,2024-07-14 09:00,1\nB1,2024-07-14 10:00,,1\n")
    assert reasons(taken) == [
        "tickets.csv, line 2, back_at: '2024-07-14 09:00'. It is before out_at of the same row; one of the two is wrong."
    ]


def test_an_engine_withdrawn_before_it_was_commissioned_is_a_fault(yard):
    taken = yard.take("engine_id,vessel_id,commissioned_on,withdrawn_on\nE1,B1,2020-04-01,2019-04-01\nE2,B1,2020-04-01,2020-04-01\n")
    assert taken.left_out["column"].to_list() == ["withdrawn_on"]
    assert taken.rows["engine_id"].to_list() == ["E2"]


def test_a_future_day_can_be_planned_but_cannot_have_happened(yard):
    engines = yard.take("engine_id,vessel_id,commissioned_on,withdrawn_on\nE1,B1,2026-04-01,2031-10-01\n")
    assert engines.rows.height == 1
    assert yard.reading("2025-07-01").rows.height == 1
    assert yard.reading("2025-07-02").rows.height == 0


def test_a_long_value_is_cut_in_the_message_and_kept_whole_beside_it(yard):
    taken = yard.reading("2024-07-14", "much " * 100)
    assert "much ...'" in reasons(taken)[0]
    assert taken.left_out["value"].to_list() == [("much " * 100).strip()]


def test_a_line_end_in_a_value_does_not_break_the_message(yard):
    assert "'x y'" in reasons(yard.reading("2024-07-14", '"x\ny"'))[0]
