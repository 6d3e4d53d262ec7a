"""Hours that the trip log tells: between readings, beyond the last, and against a meter that stood still.

The engine of these tests is E1 of the boat V1, whose meter is read on the days given.
"""

from datetime import date, timedelta

import pytest

from tests.support.lives_tables import bench_from, lives_in, set_aside_in

READ_TWICE = """read_on    | meter_h
                2020-01-01 | 0
                2020-12-31 | 100"""


def trips(first: str, days: int, hours: float, vessel: str = "V1") -> str:
    """One trip a day of so many hours."""
    start = date.fromisoformat(first)
    lines = [f"{vessel} | {start + timedelta(days=day)} | {hours}" for day in range(days)]
    return "\n".join(["vessel_id | out_at | engine_h", *lines])


def hours_on(day: str, **tables: str) -> tuple[float, str]:
    """Hours of E1 at a call of that day, and what they rest on."""
    with bench_from(rescue_calls=f"called_at \n {day}", **tables) as bench:
        return bench.frame("select round(hours, 1), source from derived.hours_at where engine_id = 'E1' and on_date = ?", [day]).row(0)


def test_between_readings_the_trips_say_which_days_the_hours_were_run():
    ten_days_of_ten = trips("2020-07-01", 10, 10.0)
    assert hours_on("2020-06-30", hour_readings=READ_TWICE, trips=ten_days_of_ten)[0] < 10
    assert hours_on("2020-07-05", hour_readings=READ_TWICE, trips=ten_days_of_ten) == (50, "trips")
    assert hours_on("2020-07-10", hour_readings=READ_TWICE, trips=ten_days_of_ten) == (100, "trips")


def test_what_the_log_counts_too_much_or_too_little_is_put_right_by_the_meter():
    assert hours_on("2020-07-05", hour_readings=READ_TWICE, trips=trips("2020-07-01", 10, 11.0)) == (50, "trips")


@pytest.mark.parametrize("hours", [7.0, 14.0])
def test_a_log_that_does_not_come_to_what_the_meter_shows_is_not_used(hours: float):
    assert hours_on("2020-07-05", hour_readings=READ_TWICE, trips=trips("2020-07-01", 10, hours))[1] == "interpolated"


READ_OFTEN = """read_on    | meter_h
                2020-01-01 | 0
                2020-02-01 | 31
                2020-03-01 | 60
                2020-04-01 | 91"""


def test_beyond_the_last_reading_a_log_that_agreed_with_the_meter_goes_on():
    log = trips("2020-01-02", 90, 1.0) + trips("2020-04-02", 10, 8.0).removeprefix("vessel_id | out_at | engine_h")
    hours, source = hours_on("2020-04-11", hour_readings=READ_OFTEN, trips=log)
    assert source == "trips"
    assert hours == pytest.approx(171, abs=1.5)


def test_beyond_the_last_reading_a_log_with_gaps_is_not_used():
    log = trips("2020-01-02", 10, 1.0) + trips("2020-04-02", 10, 8.0).removeprefix("vessel_id | out_at | engine_h")
    assert hours_on("2020-04-11", hour_readings=READ_OFTEN, trips=log)[1] == "beyond readings"


def test_the_trips_of_a_boat_with_two_engines_speak_for_neither():
    twin = """engine_id | vessel_id | place     | drive    | fuel   | commissioned_on
              E1        | V1        | port      | outboard | petrol | 2020-01-01
              E2        | V1        | starboard | outboard | petrol | 2020-01-01"""
    assert hours_on("2020-07-05", hour_readings=READ_TWICE, trips=trips("2020-07-01", 10, 10.0), engines=twin)[1] == "interpolated"


STOOD_STILL = """read_on    | meter_h
                 2020-01-01 | 0
                 2020-04-01 | 90
                 2020-05-01 | 120
                 2020-06-01 | 120
                 2020-07-01 | 120"""


def test_a_meter_that_stands_still_while_trips_are_run_is_set_aside_and_told():
    with bench_from(hour_readings=STOOD_STILL, trips=trips("2020-05-02", 50, 2.0)) as bench:
        assert set_aside_in(bench) == {"2020-06-01": 120, "2020-07-01": 120}
        reasons = bench.frame("select distinct reason from derived.hours_set_aside")["reason"].to_list()
        assert reasons == ["the meter stood still while the trip log shows use"]


def test_a_meter_that_stands_still_while_the_boat_is_laid_up_is_believed():
    with bench_from(hour_readings=STOOD_STILL) as bench:
        assert set_aside_in(bench) == {}


def test_the_hours_of_a_life_may_rest_on_trips():
    tickets = """done_on    | reason
                 2020-07-05 | planned"""
    with bench_from(hour_readings=READ_TWICE, trips=trips("2020-07-01", 10, 10.0), service_tickets=tickets) as bench:
        assert lives_in(bench)[0] == (0, 50, None, "planned")
        assert bench.frame("select hours_source from derived.lives order by began_on")["hours_source"][0] == "trips"


def test_what_is_set_aside_is_told_beside_its_neighbours_and_what_would_have_been_believed():
    readings = """read_on    | meter_h
                  2020-01-01 | 0
                  2020-04-10 | 100
                  2020-04-20 | 1100
                  2020-04-30 | 120
                  2020-05-30 | 150"""
    with bench_from(hour_readings=readings) as bench:
        told = bench.frame("select * from derived.hours_set_aside").row(0, named=True)
    assert (told["meter_h"], told["before_h"], told["after_h"], told["believed_meter_h"]) == (1100, 100, 120, 110)
    assert (str(told["before_on"]), str(told["after_on"])) == ("2020-04-10", "2020-04-30")
    assert (told["source"], told["looks_like"]) == ("reading", "a lost decimal point")


def test_swapped_digits_are_set_aside_without_a_guess_at_the_slip():
    readings = """read_on    | meter_h
                  2020-01-01 | 0
                  2020-07-10 | 191
                  2020-07-20 | 102
                  2020-07-30 | 211
                  2020-08-30 | 242"""
    with bench_from(hour_readings=readings) as bench:
        assert set_aside_in(bench) == {"2020-07-20": 102}
        assert bench.frame("select looks_like from derived.hours_set_aside")["looks_like"].to_list() == [None]
