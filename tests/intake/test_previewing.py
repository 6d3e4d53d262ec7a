"""What a person sees of a file before anything of it is taken in."""

import polars as pl
import pytest

from pipelines.errors import UnreadableFile
from pipelines.intake.mapping import Mapping, mapping_from
from pipelines.intake.previewing import LOOKED_AT_BYTES, Preview, preview_file
from tests.intake.conftest import TODAY

CALLS = "Job No;When;Boat;Part\nJ1;03/04/2024;B1;imp.\nJ2;23/04/2024;B1;xyzzy\nJ3;24/04/2024;B1;xyzzy\n"
MAPPING = '[columns]\n"Job No" = "call_id"\n"When" = "called_at"\n"Boat" = "vessel_id"\n"Part" = "component"\n'


def one(yard, content: str | bytes, mapping: str = "", known=None, name: str = "calls.csv") -> Preview:
    path = yard.write(content, name)
    (found,) = preview_file(path, mapping_from(mapping) if mapping else Mapping(), "", known, TODAY)
    return found


def test_each_column_is_shown_with_the_one_it_is_taken_for_and_how_it_is_read(yard):
    shown = one(yard, CALLS, MAPPING)
    assert shown.kind == "rescue_calls"
    assert shown.columns.select("yours", "ours", "settled", "example").rows() == [
        ("Job No", "call_id", "", "J1"),
        ("When", "called_at", "day first", "03/04/2024"),
        ("Boat", "vessel_id", "", "B1"),
        ("Part", "component", "", "imp."),
    ]


def test_a_constant_is_a_column_of_ours_without_one_of_yours(yard):
    shown = one(yard, "vessel_id;Mooring\nB1;north\n", '[constants]\nbase = "North Quay"', name="boats.csv")
    assert shown.columns.select("yours", "ours", "example").rows() == [
        ("vessel_id", "vessel_id", "B1"),
        ("Mooring", "", "north"),
        ("", "base", "North Quay"),
    ]


def test_numbers_are_shown_with_their_unit_and_mark(yard):
    shown = one(yard, "engine_id;read_on;meter_h\nE1;2024-07-14;12,5\n", name="hours.csv")
    assert shown.columns.filter(pl.col("ours") == "meter_h").select("unit", "settled").row(0) == ("engine hours", "decimal comma")


def test_words_that_would_be_uncoded_are_counted_and_known_ones_are_not(yard):
    assert one(yard, CALLS, MAPPING).words.rows() == [("component", "xyzzy", "uncoded", 2)]
    assert one(yard, CALLS, MAPPING, {"component": {"xyzzy"}}).words.is_empty()
    assert one(yard, CALLS, f'{MAPPING}[words.component]\n"xyzzy" = "drive belt"').words.is_empty()


def test_a_file_that_would_be_refused_says_why_and_suggests_a_mapping(yard):
    shown = one(yard, CALLS)
    assert "none of its columns is known" in shown.refusal
    assert '"Boat" = "vessel_id"' in shown.suggestion
    assert shown.kind == ""


def test_rows_that_would_be_left_out_are_counted_and_shown(yard):
    shown = one(yard, "engine_id;read_on;meter_h\nE1;2024-07-14;12\nE1;2024-07-15;full\n", name="hours.csv")
    assert (shown.rows_in, shown.rows_left_out) == (2, 1)
    assert shown.rows["meter_h"].to_list() == [12.0]
    assert "line 3, meter_h: 'full'" in shown.left_out["reason"][0]


def test_only_the_first_whole_lines_of_a_large_file_are_looked_at(yard):
    line = "E1;2024-07-14;12\n"
    shown = one(yard, "engine_id;read_on;meter_h\n" + line * (LOOKED_AT_BYTES // len(line) + 10), name="hours.csv")
    assert not shown.whole
    assert shown.rows_left_out == 0


def test_a_file_that_is_no_table_is_refused_by_name(yard):
    with pytest.raises(UnreadableFile, match=r"calls\.csv"):
        preview_file(yard.write(b"%PDF-1.4", "calls.csv"), Mapping())
