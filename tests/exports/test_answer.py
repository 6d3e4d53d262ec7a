"""An answer leaves unchanged: as JSON, as CSV, as a calendar."""

import csv
import io
import json
from datetime import date

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.errors import WrongInput
from pipelines.exports.answer import Answer, as_csv, as_json, harmless
from pipelines.exports.calendar import calendar, write_calendar
from pipelines.exports.text_table import aligned, as_table

HEAD = {"as_of": date(2026, 10, 31), "ledger_version": 3, "records": 1204, "left_out": 2}


def rates_answer() -> Answer:
    rows = pl.DataFrame(
        {
            "group": ["fuel exhausted", "unknown"],
            "events": [3, 0],
            "share": [1.0, 0.0],
            "exposure_h": [1234.5, 1234.5],
            "rate": [2.4301336573511543, 0.0],
            "low": [0.5, 0.0],
            "high": [7.1, float("inf")],
            "note": [None, "=1+1"],
        }
    )
    return Answer(HEAD, rows, {"exposure_h": 1234.5})


def due_answer() -> Answer:
    row = {
        "vessel_id": "Reed 4",
        "engine_id": "E7",
        "component": "drive belt",
        "position": "",
        "task": "renew",
        "due_on": date(2026, 7, 14),
        "caution": "Engine stopped, key out; " * 6 + "mind the belt, and the hose",
    }
    return Answer(HEAD, pl.DataFrame([row]), {})


def test_json_is_one_object_that_begins_with_its_head_and_keeps_every_digit():
    told = json.loads(as_json(rates_answer()))
    assert list(told)[:4] == ["as_of", "ledger_version", "records", "left_out"]
    assert told["rows"][0]["rate"] == 2.4301336573511543
    assert told["as_of"] == "2026-10-31"


def test_json_writes_a_figure_that_is_not_finite_as_null():
    assert json.loads(as_json(rates_answer()))["rows"][1]["high"] is None


def test_csv_makes_a_formula_harmless_and_leaves_numbers_alone():
    rows = list(csv.DictReader(io.StringIO(as_csv(rates_answer().rows))))
    assert rows[1]["note"] == "'=1+1"
    assert float(rows[0]["rate"]) == 2.4301336573511543


@given(st.text(max_size=8))
def test_taking_one_apostrophe_away_gives_back_what_a_spreadsheet_would_have_run(word: str):
    told = harmless(pl.Series("word", [word], pl.String))[0]
    assert told == word or told == f"'{word}"
    assert not told or told[0] not in "=+-@\t\r"


def test_csv_writes_groups_and_lists_as_json():
    frame = pl.DataFrame({"group": [{"water": "salt"}], "range_h": [[100.0, 150.0]]})
    row = next(csv.DictReader(io.StringIO(as_csv(frame))))
    assert json.loads(row["group"]) == {"water": "salt"}
    assert json.loads(row["range_h"]) == [100.0, 150.0]


def test_a_table_has_headings_units_and_the_head():
    table = as_table(rates_answer(), "rates")
    assert "as of 2026-10-31, ledger version 3, from 1,204 records, 2 left out" in table
    assert "per 1,000 h" in table
    assert "hours watched" in table
    assert "2.430" in table


def test_figures_stand_to_the_right_and_words_to_the_left():
    assert aligned([["word", "12"], ["longer word", "3"]]) == ["word         12", "longer word   3"]


def test_the_calendar_follows_the_standard_line_by_line():
    lines = calendar(due_answer()).split("\r\n")
    assert lines[0] == "BEGIN:VCALENDAR"
    assert "DTSTART;VALUE=DATE:20260714" in lines
    assert "SUMMARY:Reed 4 E7: renew drive belt" in lines
    assert all(len(line.encode()) <= 75 for line in lines)  # RFC 5545, section 3.1
    unfolded = calendar(due_answer()).replace("\r\n ", "")
    assert "mind the belt\\, and the hose" in unfolded


def test_a_calendar_that_cannot_be_written_says_so(tmp_path):
    with pytest.raises(WrongInput, match="cannot be written"):
        write_calendar(due_answer(), tmp_path / "nowhere" / "due.ics")


def test_a_group_names_only_the_columns_it_is_grouped_by():
    frame = pl.DataFrame({"group": [{"water": "salt", "engine_model": None}, {"water": None, "engine_model": "M40"}, None]})
    told = json.loads(as_json(Answer({}, frame)))["rows"]
    assert [row["group"] for row in told] == [{"water": "salt"}, {"engine_model": "M40"}, None]
    assert [json.loads(cell) for cell in pl.read_csv(as_csv(frame).encode())["group"].drop_nulls()] == [
        {"water": "salt"},
        {"engine_model": "M40"},
    ]


def test_a_group_of_places_without_the_word_says_so():
    frame = pl.DataFrame({"group": [{"water": None}]}, schema={"group": pl.Struct({"water": pl.String})})
    assert json.loads(as_json(Answer({}, frame)))["rows"] == [{"group": {"water": None}}]
