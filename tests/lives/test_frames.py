"""Lives as a frame: filtered, with the rows they rest on, with any column of boats and engines as a group."""

from datetime import date

import polars as pl
import pytest

from pipelines.errors import UnknownWord
from pipelines.lives.frames import in_scope, lives_frame, with_groups
from pipelines.terms.scope import Scope
from tests.support.lives_tables import bench_from

TWO_BOATS = {
    "vessels": """vessel_id | base  | vessel_class | bottom | tickets_from_on | extra
                  V1        | North | launch       | silty  | 2020-01-01      | {"mooring": "buoy"}
                  V2        | South | cruiser      | clear  | 2020-01-01      | {"mooring": "pontoon", "crew": "2"}""",
    "engines": """engine_id | vessel_id | engine_model | power_kw | commissioned_on | extra
                  E1        | V1        | M1           | 15       | 2020-01-01      | {"fuel source": "cans"}
                  E2        | V2        | M2           | 40       | 2020-01-01      |""",
    "hour_readings": """engine_id | read_on    | meter_h
                        E1        | 2022-12-31 | 1095
                        E2        | 2022-12-31 | 1095""",
    "service_tickets": """engine_id | done_on    | reason
                          E1        | 2021-01-01 | failed""",
}


def frame_of(scope: Scope | None = None) -> pl.DataFrame:
    with bench_from(**TWO_BOATS) as bench:
        return lives_frame(bench, scope)


def test_each_life_points_to_the_rows_it_came_from():
    lives = frame_of()
    assert lives["evidence"].to_list() == [[101, 401], [401], [102]]
    assert lives.columns[-1] == "evidence"


@pytest.mark.parametrize(
    ("scope", "engines"),
    [
        (Scope(base="South"), ["E2"]),
        (Scope(vessel_class="launch"), ["E1", "E1"]),
        (Scope(model="M2"), ["E2"]),
        (Scope(component="impeller"), ["E1", "E1", "E2"]),
        (Scope(component="belt"), []),
        (Scope(until=date(2020, 12, 31)), ["E1", "E2"]),
        (Scope(since=date(2021, 1, 2)), ["E1", "E2"]),
    ],
    ids=["base", "class", "model", "component", "another component", "until", "since"],
)
def test_a_filter_keeps_its_lives(scope: Scope, engines: list[str]):
    assert frame_of(scope)["engine_id"].to_list() == engines


def test_a_filter_on_a_column_that_is_not_there_is_passed_over():
    months = pl.DataFrame({"base": ["North", "South"]})
    assert in_scope(months, Scope(base="North", component="impeller"))["base"].to_list() == ["North"]


def test_any_column_of_boats_and_engines_can_be_a_group():
    with bench_from(**TWO_BOATS) as bench:
        vessels, engines = bench.frame("select * from accepted.vessels"), bench.frame("select * from accepted.engines")
        grouped = with_groups(lives_frame(bench), vessels, engines, ["base", "bottom", "mooring", "crew", "power_kw", "fuel source"])
    assert grouped.select("base", "bottom", "mooring", "crew", "power_kw", "fuel source").rows() == [
        ("North", "silty", "buoy", None, 15, "cans"),
        ("North", "silty", "buoy", None, 15, "cans"),
        ("South", "clear", "pontoon", "2", 40, None),
    ]


def test_a_group_that_nobody_has_is_refused_with_those_there_are():
    with bench_from(**TWO_BOATS) as bench:
        vessels, engines = bench.frame("select * from accepted.vessels"), bench.frame("select * from accepted.engines")
        with pytest.raises(UnknownWord, match=r"'colour' is no column of the boats or engines.*bottom.*crew.*mooring"):
            with_groups(lives_frame(bench), vessels, engines, ["colour"])


def test_a_frame_with_no_rows_has_its_columns():
    with bench_from(fitted="component\n") as bench:
        lives = lives_frame(bench)
    assert lives.is_empty()
    assert lives.schema["evidence"] == pl.List(pl.Int64)
