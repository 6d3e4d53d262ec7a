"""What rates are made of: calls within the watched time, and the hours over which they would have been recorded."""

from datetime import date

import pytest

from pipelines.terms.settings import Settings
from tests.support.lives_tables import bench_as, bench_from, left_out_of

WATCHED = {
    "vessels": """vessel_id | base  | calls_from_on | tickets_from_on
                  V1        | North | 2021-03-15    | 2020-01-01"""
}


def test_hours_count_from_the_day_calls_are_watched_to_the_last_day_known():
    with bench_from(**WATCHED) as bench:
        months = bench.frame("select days, engine_h from derived.engine_months order by month")
    assert months["days"][0] == 17
    assert months["engine_h"][0] == pytest.approx(17)
    assert months["days"].sum() == 657
    assert months.height == 22


def test_a_call_before_the_watch_is_in_no_rate_and_counted():
    with bench_from(
        **WATCHED,
        rescue_calls="""called_at  | symptom
                        2021-03-14 | overheats
                        2021-03-15 | overheats""",
    ) as bench:
        assert bench.frame("select called_on from derived.calls").height == 1
        assert left_out_of(bench) == ["the call came on a day when the calls of its boat are not watched, so it is in no rate"]


def test_calls_are_watched_from_the_first_call_at_the_base():
    with bench_from(
        vessels="""vessel_id | base  | tickets_from_on
                   V1        | North | 2020-01-01
                   V2        | North | 2020-01-01""",
        rescue_calls="""vessel_id | called_at
                        V2        | 2021-05-01
                        V1        | 2021-09-01""",
    ) as bench:
        assert str(bench.frame("select min(month) from derived.engine_months").item()) == "2021-05-01"


def test_without_calls_nothing_is_watched():
    with bench_from() as bench:
        assert bench.frame("select * from derived.engine_months").is_empty()


def test_a_boat_that_is_sold_is_watched_no_longer():
    with bench_from(
        vessels="""vessel_id | calls_from_on | tickets_from_on | withdrawn_on
                   V1        | 2020-01-01    | 2020-01-01      | 2020-03-11"""
    ) as bench:
        months = bench.frame("select days, engine_h from derived.engine_months order by month").rows()
    assert months == [(31, pytest.approx(31)), (29, pytest.approx(29)), (10, pytest.approx(10))]


def test_an_engine_that_moves_is_watched_on_each_boat_in_turn():
    with bench_from(
        vessels="""vessel_id | calls_from_on | tickets_from_on
                   V1        | 2020-01-01    | 2020-01-01
                   V2        | 2020-01-01    | 2020-01-01""",
        engine_moves="""engine_id | vessel_id | moved_on
                        E1        | V2        | 2020-01-11""",
    ) as bench:
        days = bench.frame("select vessel_id, days from derived.engine_months where month = date '2020-01-01' order by vessel_id").rows()
    assert days == [("V1", 10), ("V2", 21)]


def test_hours_watched_are_empty_where_the_meter_was_never_read():
    with bench_from(**WATCHED, hour_readings="read_on\n") as bench:
        months = bench.frame("select days, engine_h from derived.engine_months")
    assert months["engine_h"].null_count() == months.height > 0


def test_a_call_has_the_engine_hours_of_its_meter_or_its_day():
    with bench_from(
        rescue_calls="""called_at        | meter_h | symptom
                        2020-04-10 09:00 | 100.4   | overheats
                        2020-07-19 09:00 |         | overheats""",
    ) as bench:
        hours = bench.frame("select engine_h from derived.calls order by called_on")["engine_h"].to_list()
    assert hours == [pytest.approx(100.4), pytest.approx(200, abs=0.5)]


def test_a_call_from_two_engines_alike_has_their_model():
    with bench_from(
        engines="""engine_id | vessel_id | place     | engine_model | commissioned_on
                   E1        | V1        | port      | M1           | 2020-01-01
                   E2        | V1        | starboard | M1           | 2020-01-01""",
        rescue_calls="""called_at
                        2020-04-10""",
    ) as bench:
        assert bench.frame("select engine_id, engine_model from derived.calls").row(0) == (None, "M1")


def test_the_last_day_known_is_that_of_the_last_event():
    tables = {
        "hour_readings": """read_on    | meter_h
                            2020-12-31 | 365""",
        "service_tickets": """done_on    | action
                              2021-02-03 | clean""",
    }
    with bench_as(Settings(), None, tables) as bench:
        assert str(bench.frame("select as_of from derived.parameters").item()) == "2021-02-03"


def test_what_is_dated_after_the_day_asked_for_is_not_seen():
    tables = {
        "engines": """engine_id | vessel_id | commissioned_on | withdrawn_on
                      E1        | V1        | 2020-01-01      | 2021-01-01
                      E2        | V1        | 2021-01-01      |""",
        "service_tickets": """done_on    | reason
                              2020-04-10 | failed
                              2020-10-10 | failed""",
        "rescue_calls": """called_at  | component
                           2020-10-09 | impeller""",
    }
    with bench_as(Settings(), date(2020, 7, 19), tables) as bench:
        lives = bench.frame("select engine_id, cast(ended_on as varchar), ending from derived.lives order by began_on").rows()
        assert lives == [("E1", "2020-04-10", "failed"), ("E1", "2020-07-19", "running")]
        assert bench.frame("select * from derived.calls").is_empty()
