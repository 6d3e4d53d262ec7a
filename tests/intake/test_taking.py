import csv
import io
import json
from datetime import date, datetime

import polars as pl
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from pipelines.errors import TowlessError, UnreadableFile
from pipelines.intake.taking import LEFT_OUT_SCHEMA, read_file
from pipelines.terms.tables import RECORD_KINDS
from tests.intake.conftest import TODAY

MINIMAL = {
    "vessels": {"vessel_id": "B1", "name": "Tern"},
    "engines": {"engine_id": "E1", "vessel_id": "B1", "commissioned_on": "2020-04-01"},
    "engine_moves": {"engine_id": "E1", "vessel_id": "B1", "moved_on": "2020-04-01"},
    "components": {"component": "hub kit", "label": "Hub kit"},
    "fitted": {"component": "hub kit", "drive": "outboard"},
    "hour_readings": {"engine_id": "E1", "read_on": "2020-04-01", "meter_h": "10"},
    "service_tickets": {"engine_id": "E1", "done_on": "2020-04-01", "component": "anodes", "action": "renew"},
    "rescue_calls": {"vessel_id": "B1", "called_at": "2020-04-01 10:00", "symptom": "overheats"},
    "trips": {"vessel_id": "B1", "out_at": "2020-04-01 10:00", "engine_h": "2"},
    "parts": {"part_id": "P1", "component": "anodes", "on_hand": "2", "lead_time_d": "7", "unit_cost": "9.50"},
    "costs": {"component": "anodes", "planned_cost": "20", "failure_cost": "200"},
    "limits": {"component": "anodes", "task": "renew", "max_h": "100"},
    "plan": {"component": "anodes", "every_h": "100"},
}


@pytest.mark.parametrize("kind", RECORD_KINDS)
def test_every_kind_comes_out_with_all_its_columns_typed(yard, kind):
    row = MINIMAL[kind]
    taken = yard.take(f"{','.join(row)}\n{','.join(row.values())}\n")
    assert taken.kind == kind
    declared = {column.name: column.polars_type for column in RECORD_KINDS[kind].columns}
    around = {"line": pl.Int64, "extra": pl.String, "made": pl.String, "raw": pl.String}
    assert dict(taken.rows.schema) == declared | around
    assert dict(taken.left_out.schema) == LEFT_OUT_SCHEMA
    assert taken.rows.height == 1


def test_coded_words_stay_as_they_were_written(yard):
    taken = yard.take("engine_id,done_on,component,action,reason\nE1,2024-07-14, IMP. ,R/R,Sunday\n")
    assert taken.rows.select("component", "action", "reason").row(0) == ("IMP.", "R/R", "Sunday")


def test_columns_of_the_fleets_own_are_kept_as_an_object(yard):
    taken = yard.take('vessel_id,name,Fuel Source,Fuel Source,,Mooring\nB1,Tern,"dock ""A""",x,y,\nB2,Gull,,,,\n')
    assert json.loads(taken.rows["extra"][0]) == {"fuel_source": 'dock "A"', "fuel_source_4": "x", "column_5": "y"}
    assert taken.rows["extra"][1] is None


def test_rows_that_repeat_the_header_are_no_rows(yard):
    taken = yard.take("vessel_id,name\nB1,Tern\nvessel_id,name\nB2,Gull\n")
    assert taken.rows["line"].to_list() == [2, 4]
    assert taken.rows_in == 2


def test_constants_fill_columns_that_the_file_does_not_have(yard):
    mapping = '[constants]\nbase = "North Quay"\ncurrency = "EUR"'
    assert yard.take("vessel_id,name\nB1,Tern\n", mapping=mapping).rows["base"].to_list() == ["North Quay"]
    assert yard.take("vessel_id,name,base\nB1,Tern,\n", mapping=mapping).rows["base"].to_list() == [None]


def test_a_date_and_a_clock_in_two_columns_make_one_moment(yard):
    mapping = '[kind.rescue_calls.columns]\n"Date" = "called_at"\n"Time" = "called_at"'
    taken = yard.take("vessel_id;Date;Time;symptom\nB1;14/07/2024;9:30;hot\nB1;15/07/2024;;hot\n", mapping=mapping)
    assert taken.rows["called_at"].to_list() == [datetime(2024, 7, 14, 9, 30), datetime(2024, 7, 15)]


def test_words_of_the_mapping_rename_boats(yard):
    mapping = '[words.vessel_id]\n"No. 14" = "B14"\n"Old Tern" = "B14"'
    taken = yard.take("vessel_id,called_at\nno 14,2024-07-14\nOLD TERN,2024-07-15\nB15,2024-07-15\n", mapping=mapping)
    assert taken.rows["vessel_id"].to_list() == ["B14", "B14", "B15"]


def test_what_was_settled_by_looking_is_told(yard):
    assert yard.reading("14/07/2024", "12,5").remarks == (
        "hours.csv: dates are read with the day first, as 1 of its dates show.",
        "hours.csv: numbers are read with a decimal comma, as 1 of its numbers show.",
    )


def test_a_file_of_one_header_is_a_table_of_no_rows(yard):
    taken = yard.take("engine_id,read_on,meter_h")
    assert (taken.kind, taken.rows_in) == ("hour_readings", 0)


def test_rows_are_counted_whether_they_are_taken_or_torn(yard):
    taken = yard.take('engine_id,read_on,meter_h\nE1,2024-07-14,1\nE1,2024-07-14,"1\nE1,2024-07-14,x\nE1,2024-07-14,1,2\n')
    assert (taken.rows_in, taken.rows.height, taken.left_out["line"].to_list()) == (4, 1, [3, 4, 5])


def test_todays_rows_can_be_taken_in_today(tmp_path):
    (tmp_path / "a.csv").write_text(f"engine_id,read_on,meter_h\nE1,{date.today().isoformat()},1\n")
    assert read_file(tmp_path / "a.csv")[0].rows.height == 1


def test_a_comma_that_is_first_quoted_on_row_74_000_moves_no_cell(yard):
    rows = "".join(f"E1,2024-07-14,{index}.5,\n" for index in range(74_000))
    taken = yard.take(f'engine_id,read_on,meter_h,remark\n{rows}E1,2024-07-14,"74,000.5","late, but right"\n')
    assert taken.left_out.height == 0
    assert taken.rows["meter_h"].to_list()[-1] == 74_000.5


CELLS = st.one_of(
    st.text(st.characters(exclude_categories=["Cs"]), max_size=8),
    st.sampled_from(["2024-07-14", "03/04/2024", "12,5", "1.243", "", "yes", "E1", "31/02/2024", "-4", '"', "\n", "\x00", "1899-12-30"]),
)


@given(
    st.lists(st.tuples(CELLS, CELLS, CELLS, CELLS), max_size=15), st.sampled_from([",", ";", "\t", "|"]), st.sampled_from(["\n", "\r\n"])
)
def test_every_row_that_holds_anything_is_taken_or_left_out(tmp_path_factory, rows, delimiter, end):
    """For any careful CSV: rows in are rows and left out, each of them once, in order of line."""
    written = io.StringIO()
    writer = csv.writer(written, delimiter=delimiter, lineterminator=end)
    writer.writerow(["engine_id", "read_on", "meter_h", "remark"])
    lines = []
    for row in rows:
        kept = tuple(cell.replace("\n", " ").replace("\r", " ") for cell in row)
        lines.append(written.getvalue().count("\n") + 1)
        writer.writerow(kept)
    path = tmp_path_factory.mktemp("any") / "hours.csv"
    path.write_bytes(written.getvalue().encode("utf-8"))
    assume(sum(byte < 32 and byte not in b"\n\r\t" for byte in path.read_bytes()) <= 8)
    (taken,) = read_file(path, None, "hour_readings", TODAY)
    held = [line for line, row in zip(lines, rows, strict=True) if any(cell.strip(' \t\r\n"' + delimiter) for cell in row)]
    found = sorted([*taken.rows["line"], *taken.left_out["line"]])
    assert set(held) <= set(found)
    assert len(found) == len(set(found)) == taken.rows_in
    assert set(found) <= set(lines)


@given(st.binary(max_size=300))
def test_no_bytes_whatever_give_a_traceback(tmp_path_factory, data):
    path = tmp_path_factory.mktemp("bytes") / "hours.csv"
    path.write_bytes(data)
    with pytest.raises(TowlessError):
        read_file(path)


@given(
    st.binary(max_size=120),
    st.sampled_from([b"PK\x03\x04", b"PAR1", b'{"a":', b"engine_id,read_on,meter_h\n", b"\xff\xfe", b"\xef\xbb\xbf"]),
)
def test_no_bytes_after_a_familiar_beginning_give_a_traceback(tmp_path_factory, data, beginning):
    path = tmp_path_factory.mktemp("bytes") / "hours.csv"
    path.write_bytes(beginning + data)
    try:
        (taken,) = read_file(path)
    except TowlessError:
        return
    assert taken.kind == "hour_readings"


READINGS = st.lists(st.decimals(0, 99_999, places=1), min_size=1, max_size=20)


@given(READINGS, st.sampled_from([(",", "."), (".", ","), ("", "."), ("", ","), (" ", ",")]))
def test_a_column_of_written_hours_is_read_back_with_point_or_comma(tmp_path_factory, hours, marks):
    thousands, decimal = marks
    texts = [f"{hour:,.1f}".replace(",", "T").replace(".", decimal).replace("T", thousands) for hour in hours]
    path = tmp_path_factory.mktemp("hours") / "hours.csv"
    path.write_text("engine_id;read_on;meter_h\n" + "".join(f"E1;2024-07-14;{text}\n" for text in texts))
    (taken,) = read_file(path, None, "", TODAY)
    assert taken.rows["meter_h"].to_list() == [float(hour) for hour in hours]


DAYS = st.lists(st.dates(date(2000, 1, 1), date(2025, 6, 1)), min_size=1, max_size=20)


@given(DAYS, st.sampled_from(["%d/%m/%Y", "%m/%d/%Y", "%d-%m-%y", "%d.%m.%Y", "%Y-%m-%d", "%d %b %Y"]))
def test_a_column_of_written_days_is_never_read_as_other_days(tmp_path_factory, days, form):
    """A day is read back as itself, or its row is left out because the file does not show the order; never as another day."""
    path = tmp_path_factory.mktemp("days") / "hours.csv"
    path.write_text("engine_id;read_on;meter_h\n" + "".join(f"E{index};{day.strftime(form)};1\n" for index, day in enumerate(days)))
    (taken,) = read_file(path, None, "", TODAY)
    assert all(days[int(engine[1:])] == day for engine, day in taken.rows.select("engine_id", "read_on").iter_rows())
    if any(day.day > 12 for day in days):
        assert taken.left_out.height == 0


def test_an_unreadable_file_is_named(tmp_path):
    with pytest.raises(UnreadableFile, match=r"none\.csv: cannot be opened"):
        read_file(tmp_path / "none.csv")
