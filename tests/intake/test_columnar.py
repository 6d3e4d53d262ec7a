import io
import json
from datetime import date, datetime, timedelta, timezone

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.errors import UnreadableFile
from pipelines.intake.columnar import read_json_lines


def parquet(frame: pl.DataFrame) -> bytes:
    written = io.BytesIO()
    frame.write_parquet(written)
    return written.getvalue()


READINGS = pl.DataFrame(
    {
        "Engine ID": [14.0, 15.0, None],
        "read_on": [date(2024, 7, 14), None, date(2024, 7, 16)],
        "meter_h": [1240.5, 1.243, 5.0],
        "meter_changed": [True, False, None],
        "tags": [["a", "b"], None, []],
    }
)


def test_a_parquet_file_is_read_by_its_types(yard):
    taken = yard.take(parquet(READINGS), "hours.parquet")
    assert taken.rows.select("engine_id", "read_on", "meter_h", "meter_changed").rows() == [("14", date(2024, 7, 14), 1240.5, True)]
    assert json.loads(taken.rows["extra"][0]) == {"tags": '["a","b"]'}
    assert taken.left_out["line"].to_list() == [2, 3]


def test_a_zone_of_a_parquet_moment_is_left_off(yard):
    when = datetime(2024, 7, 14, 9, 30, tzinfo=timezone(timedelta(hours=2)))
    frame = pl.DataFrame({"vessel_id": ["B1"], "called_at": [when]}).with_columns(pl.col("called_at").dt.convert_time_zone("Europe/Berlin"))
    assert yard.take(parquet(frame), "calls.parquet").rows["called_at"].to_list() == [datetime(2024, 7, 14, 9, 30)]


def test_categories_decimals_and_whole_numbers_of_any_width_are_read(yard):
    frame = pl.DataFrame({"component": ["anodes"], "planned_cost": [12], "failure_cost": [1]}).with_columns(
        pl.col("component").cast(pl.Categorical), pl.col("planned_cost").cast(pl.Decimal(10, 2)), pl.col("failure_cost").cast(pl.UInt8)
    )
    assert yard.take(parquet(frame), "costs.parquet").rows.row(0)[:3] == ("anodes", 12.0, 1.0)


@pytest.mark.parametrize("kept", [4, 10, 0.5, 0.95])
def test_a_truncated_parquet_file_is_refused(yard, kept):
    data = parquet(READINGS)
    with pytest.raises(UnreadableFile, match="is not a sound Parquet file"):
        yard.tables(data[: int(kept if kept > 1 else len(data) * kept)], "a.parquet")


def test_a_parquet_file_of_runs_that_no_memory_holds_is_refused(yard, monkeypatch):
    monkeypatch.setattr("pipelines.intake.columnar.MOST_VALUES", 10)
    with pytest.raises(UnreadableFile, match="unpacks to 3 rows of 5 columns"):
        yard.tables(parquet(READINGS), "a.parquet")


def test_json_lines_are_read_with_their_lines(yard):
    first = '{"engine_id": "E1", "read_on": "2024-07-14", "meter_h": 1240.5}'
    third = '{"meter_h": 12, "engine_id": 14, "read_on": 45487, "new": null}'
    taken = yard.take(f"{first}\n\n{third}\n", "hours.jsonl")
    assert taken.rows.select("line", "engine_id", "read_on", "meter_h").rows() == [
        (1, "E1", date(2024, 7, 14), 1240.5),
        (3, "14", date(2024, 7, 14), 12),
    ]
    assert taken.rows["raw"].to_list() == [first, third]


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("nonsense", "Not JSON"),
        ("[1, 2]", "A line is one JSON object"),
        ('{"a": 1', "Not JSON"),
        ("[" * 100_000, "Nested too deep"),
        ('{"engine_id": "\\ud800"}', "stands alone"),
    ],
)
def test_a_line_that_is_no_object_costs_one_row_only(yard, line, why):
    sound = '{"engine_id": "E1", "read_on": "2024-07-14", "meter_h": 1}'
    taken = yard.take(f"{sound}\n{line}\n{sound}\n", "hours.jsonl")
    assert taken.rows["line"].to_list() == [1, 3]
    assert why in taken.left_out["reason"][0]
    assert taken.left_out["raw"].to_list() == [line]


def test_a_nested_value_stands_as_json(yard):
    taken = yard.take('{"vessel_id": "B1", "name": "Tern", "sizes": {"l": [1.50]}}\n', "boats.jsonl")
    assert json.loads(taken.rows["extra"][0]) == {"sizes": '{"l": ["1.50"]}'}


def test_one_json_list_is_refused_with_the_way_out(yard):
    with pytest.raises(UnreadableFile, match="is one JSON list"):
        yard.tables('[{"vessel_id": "B1"}]', "boats.json")


def test_json_with_no_object_on_any_line_is_refused(yard):
    with pytest.raises(UnreadableFile, match="no line is a JSON object"):
        yard.tables('{\n  "vessel_id": "B1"\n}', "boats.json")


VALUES = st.one_of(
    st.none(), st.text(max_size=5), st.integers(), st.floats(allow_nan=False), st.booleans(), st.lists(st.integers(), max_size=2)
)


@given(st.lists(st.dictionaries(st.sampled_from(["vessel_id", "name", "x"]), VALUES, min_size=1), min_size=1, max_size=10))
def test_every_object_comes_back_as_one_row(objects):
    grid = read_json_lines("a.jsonl", "\n".join(json.dumps(each) for each in objects))
    assert grid.rows.height == len(objects)
    assert set(grid.header) == {name for each in objects for name in each}
