"""What counts as a stoppage, read from small tables, and when spare boats cannot be told."""

from datetime import date

import polars as pl
import pytest

from pipelines.errors import NoFigure
from pipelines.flow.queries import query
from pipelines.flow.spare_boats import WATCHED, _counted, _refuse, worth_a_line
from pipelines.ledger.workbench import Workbench, scratch
from tests.advice.made import derived, records

JULY = date(2025, 7, 1)


def day(number: int) -> date:
    return JULY.replace(day=number)


def call(row: int, on: int, downtime=None, boat="v1") -> dict:
    return {"row_id": row, "vessel_id": boat, "called_on": day(on), "month": JULY, "downtime_h": downtime}


def line(row: int, on: int, downtime=None, reason="failed", boat: str | None = "v1", **said) -> dict:
    return {"row_id": row, "vessel_id": boat, "done_on": day(on), "downtime_h": downtime, "reason": reason, "component": "belt", **said}


def pair(call_row: int, ticket_row: int, certainty="certain") -> dict:
    return {"call_row_id": call_row, "ticket_row_id": ticket_row, "score": 0.9, "certainty": certainty}


def bench_of(calls=(), lines=(), pairs=(), places=(), months=()) -> Workbench:
    bench = scratch()
    bench.put("derived.calls", derived("calls", *calls))
    bench.put("derived.matches", derived("matches", *pairs))
    bench.put("derived.engine_places", derived("engine_places", *places))
    bench.put("derived.engine_months", derived("engine_months", *months))
    tickets = records("service_tickets", *[{name: cell for name, cell in row.items() if name != "row_id"} for row in lines])
    bench.put("accepted.service_tickets", tickets.with_columns(pl.Series("row_id", [row["row_id"] for row in lines], pl.Int64)))
    return bench


def stoppages(**said) -> list[tuple]:
    with bench_of(**said) as bench:
        return bench.frame(query("stoppages")).select("vessel_id", "on_date", "downtime_h", "sort").rows()


def test_a_call_and_the_ticket_of_its_breakdown_are_one_stoppage_of_the_longer_downtime():
    assert stoppages(calls=[call(1, 5, 6.0)], lines=[line(2, 7, 30.0)], pairs=[pair(1, 2)]) == [("v1", day(5), 30.0, "call")]
    assert stoppages(calls=[call(1, 5, 40.0)], lines=[line(2, 7, 30.0)], pairs=[pair(1, 2)]) == [("v1", day(5), 40.0, "call")]


def test_a_doubtful_pair_is_not_counted_twice_either():
    told = stoppages(calls=[call(1, 5, 6.0)], lines=[line(2, 7, 30.0)], pairs=[pair(1, 2, "doubtful")])
    assert told == [("v1", day(5), 30.0, "call")]


def test_a_call_without_a_ticket_is_a_stoppage():
    assert stoppages(calls=[call(1, 5, 6.0), call(2, 9)]) == [("v1", day(5), 6.0, "call"), ("v1", day(9), None, "call")]


def test_a_ticket_without_a_call_is_a_stoppage():
    assert stoppages(lines=[line(2, 7, 30.0)]) == [("v1", day(7), 30.0, "failure")]
    assert stoppages(lines=[line(2, 7, 3.0, reason="planned")]) == [("v1", day(7), 3.0, "planned")]


def test_planned_work_without_downtime_is_no_stoppage():
    assert stoppages(lines=[line(2, 7, reason="planned"), line(3, 9, 0.0, reason="planned")]) == []


def test_papers_of_one_boat_less_than_four_days_apart_are_one_stoppage():
    lines = [line(2, 7, 30.0), line(3, 9, 12.0), line(4, 12, 5.0), line(5, 16, 9.0), line(6, 7, 2.0, boat="v2")]
    assert stoppages(lines=lines) == [("v1", day(7), 30.0, "failure"), ("v1", day(16), 9.0, "failure"), ("v2", day(7), 2.0, "failure")]


def test_a_ticket_that_names_only_the_engine_counts_for_the_boat_it_sat_on_that_day():
    places = [
        {"engine_id": "e1", "vessel_id": "v1", "from_on": date(2020, 1, 1), "to_on": day(6)},
        {"engine_id": "e1", "vessel_id": "v2", "from_on": day(6), "to_on": None},
    ]
    assert stoppages(lines=[line(2, 7, 30.0, boat=None, engine_id="e1")], places=places) == [("v2", day(7), 30.0, "failure")]


def month(boat: str, engine: str, hours: float | None = 40.0) -> dict:
    return {
        "vessel_id": boat,
        "engine_id": engine,
        "month": JULY,
        "days": 31.0,
        "engine_h": hours,
        "base": "north",
        "vessel_class": "launch",
    }


def test_a_boat_with_two_engines_is_watched_once_over_the_hours_of_both():
    with bench_of(months=[month("v1", "e1"), month("v1", "e2", 30.0), month("v2", "e3"), month("v2", "e4", None)]) as bench:
        assert bench.frame(query(WATCHED)).select("vessel_id", "days", "engine_h").rows() == [("v1", 31.0, 70.0), ("v2", 31.0, None)]


def counted(**said):
    with bench_of(months=[month("v1", "e1")], **said) as bench:
        return _counted(bench, bench.frame(query(WATCHED)))


def test_work_without_a_call_counts_only_where_it_says_how_long():
    told = counted(calls=[call(1, 2, None)], lines=[line(2, 9), line(3, 20, 8.0), line(4, 28, 2.0, reason="planned")])
    assert told.stoppages["sort"].to_list() == ["call", "failure", "planned"]
    assert told.told["calls_without_downtime"] == 1
    assert told.told["failures_without_call_or_downtime"] == 1
    assert told.told["planned_work_counted"] == 1
    assert told.told["mean_downtime_h"] == 5.0


def test_a_stoppage_outside_the_watched_time_has_no_use_to_be_counted_against():
    assert counted(calls=[call(1, 2, 5.0, boat="v9")]).stoppages.is_empty()


def test_without_downtimes_spare_boats_are_refused_with_what_is_missing():
    boats = pl.DataFrame({"vessel_id": ["v1"]})
    told = counted(calls=[call(number, number, 5.0 if number < 4 else None) for number in range(1, 10)])
    with pytest.raises(NoFigure, match="of 9 calls and breakdowns only 3 say how long"):
        _refuse(boats, boats, told)
    with pytest.raises(NoFigure, match="no boat in use is watched"):
        _refuse(boats.clear(), boats, told)


def test_a_table_keeps_the_pool_and_of_groups_the_months_that_need_a_spare_boat():
    kind = pl.Struct({"base": pl.String})
    rows = pl.DataFrame({"group": pl.Series([None, None, {"base": "north"}, {"base": "north"}], dtype=kind), "spares_needed": [0, 2, 0, 1]})
    assert worth_a_line(rows)["spares_needed"].to_list() == [0, 2, 1]
    assert worth_a_line(rows.tail(2)).height == 2
