"""Keys and contents: which rows are the same row, and which are the same throughout; from files to what the ledger compares."""

import duckdb
import pytest

from pipelines.ledger.identity import hashed, values_of
from pipelines.terms.tables import RECORD_KINDS

TICKETS = "ticket_id;line_no;engine_id;done_on;meter_h;component;position;action\n"


def known_by(taken) -> list[tuple[int, list[str], list[str]]]:
    """The hash of the key, the key and the content of each row."""
    kind = RECORD_KINDS[taken.kind]
    with duckdb.connect() as connection:
        connection.register("incoming", taken.rows)
        return connection.execute(f"select {', '.join([hashed(kind), *values_of(kind)])} from incoming order by line").fetchall()


def keys(taken) -> list[int]:
    told = known_by(taken)
    assert len({key for key, _, _ in told}) == len({str(values) for _, values, _ in told})
    return [key for key, _, _ in told]


def contents(taken) -> list[str]:
    return [str(content) for _, _, content in known_by(taken)]


def test_the_way_a_value_is_written_does_not_matter(yard):
    one = yard.take("engine_id;read_on;meter_h;meter_changed\nE1;14/07/2024;1.240,5;ja\n", "a.csv")
    other = yard.take('{"engine_id": "E1", "read_on": "2024-07-14", "meter_h": 1240.50, "meter_changed": true}\n', "b.jsonl")
    assert (keys(one), contents(one)) == (keys(other), contents(other))


def test_the_same_key_with_other_content_differs_in_content_only(yard):
    taken = yard.take(
        f"{TICKETS}T1;1;E1;2024-07-14;10;anodes;;renew\nT1;1;E1;2024-07-14;11;anodes;;renew\nT1;2;E1;2024-07-14;11;anodes;;renew\n"
    )
    assert keys(taken)[0] == keys(taken)[1] != keys(taken)[2]
    assert len(set(contents(taken))) == 3


def test_a_row_without_an_id_is_its_whole_self(yard):
    calls = "vessel_id;called_at;symptom;notes\nB1;2024-07-14;hot;a\nB1;2024-07-14;hot;b\nB1;2024-07-14;hot;a\n"
    taken = yard.take(calls)
    assert keys(taken)[0] == keys(taken)[2] != keys(taken)[1]


def test_an_absent_id_is_made_from_file_and_line(yard):
    taken = yard.take("call_id;vessel_id;called_at\n;B1;2024-07-14\nC2;B1;2024-07-15\n;B1;2024-07-16\n", "2024.csv")
    assert taken.rows["call_id"].to_list() == ["2024.csv#2", "C2", "2024.csv#4"]


def test_a_made_id_does_not_make_the_same_row_of_another_file_another_row(yard):
    one = yard.take("vessel_id;called_at;symptom\nB1;2024-07-14;hot\n", "a.csv")
    other = yard.take("vessel_id;called_at;symptom\nB2;2024-07-14;hot\nB1;2024-07-14;hot\n", "b.csv")
    assert keys(one)[0] == keys(other)[1]
    assert contents(one)[0] == contents(other)[1]


def test_a_column_of_the_fleets_own_is_content_but_not_key(yard):
    one = yard.take("vessel_id;name;Mooring\nB1;Tern;north\n")
    other = yard.take("vessel_id;name;Mooring\nB1;Tern;south\n")
    assert keys(one) == keys(other)
    assert contents(one) != contents(other)


def test_jobs_of_a_ticket_without_line_numbers_are_told_apart(yard):
    """Three jobs on one ticket are three rows, not two corrections of the first."""
    jobs = ("10;anodes;;renew", "10;belt;;renew", "10;belt;;inspect", "11;Belt;;renew")
    taken = yard.take(TICKETS + "".join(f"T1;;E1;2024-07-14;{job}\n" for job in jobs))
    assert len(set(keys(taken))) == 3
    assert keys(taken)[1] == keys(taken)[3]


def test_a_corrected_ticket_of_one_job_keeps_its_key(yard):
    before = yard.take(f"{TICKETS}T1;;E1;2024-07-14;10;anodes;;renew\n")
    after = yard.take("ticket_id;engine_id;done_on;meter_h;component;action\nT1;E1;2024-07-14;11;belt;renew\n")
    assert keys(before) == keys(after)


def test_a_job_left_out_does_not_move_the_keys_of_the_others(yard):
    """So that a mended file supersedes nothing it should not when it is taken again."""
    broken = yard.take(f"{TICKETS}T1;;E1;2024-07-14;x;anodes;;renew\nT1;;E1;2024-07-14;10;belt;;renew\n")
    mended = yard.take(f"{TICKETS}T1;;E1;2024-07-14;9;anodes;;renew\nT1;;E1;2024-07-14;10;belt;;renew\n")
    assert keys(broken) == keys(mended)[1:]


def test_an_empty_part_of_a_key_is_a_value_of_its_own(yard):
    header = "part_id;component;base;on_hand;lead_time_d;unit_cost\n"
    taken = yard.take(f"{header}P1;anodes;;1;7;9\nP1;anodes;North;1;7;9\nP1;anodes;;2;7;9\n")
    assert keys(taken)[0] == keys(taken)[2] != keys(taken)[1]


@pytest.mark.parametrize(("one", "other"), [("-0", "0"), ("1e3", "1000"), ("3", "3.0")])
def test_numbers_that_are_equal_have_one_hash(yard, one, other):
    written = [yard.take(f"component;planned_cost;failure_cost\nanodes;{number};2000\nbelt;7;\n") for number in (one, other)]
    assert contents(written[0]) == contents(written[1])
