"""What is believed of an hour meter, and what is made of it. E1 was put to use on 2020-01-01 at 0 hours unless a test says otherwise."""

import pytest

from tests.support.lives_tables import bench_from, hours_from, hours_in, lives_from, set_aside_in

USED_ENGINE = """engine_id | vessel_id | drive    | fuel   | commissioned_on | commissioned_h
                 E1        | V1        | outboard | petrol | 2020-01-01      | 400"""


def test_hours_count_from_commissioning_not_from_zero_on_the_meter():
    readings = """read_on    | meter_h
                  2020-06-01 | 450"""
    assert hours_from(readings, engines=USED_ENGINE) == {"2020-01-01": 0, "2020-06-01": 50}


def test_hours_add_up_across_a_meter_that_was_changed():
    assert hours_from("""read_on    | meter_h | meter_changed | old_meter_h
                         2020-06-01 | 150     |               |
                         2020-07-01 | 0       | yes           | 180
                         2020-08-01 | 31      |               |""") == {
        "2020-01-01": 0,
        "2020-06-01": 150,
        "2020-07-01": 180,
        "2020-08-01": 211,
    }


def test_a_second_hand_meter_starts_where_it_starts():
    assert hours_from("""read_on    | meter_h | meter_changed | old_meter_h
                         2020-07-01 | 1000    | yes           | 180
                         2020-08-01 | 1031    |               |""") == {"2020-01-01": 0, "2020-07-01": 180, "2020-08-01": 211}


def test_a_reading_and_a_change_on_one_day_both_count():
    readings = """read_on    | meter_h | meter_changed | old_meter_h
                  2020-07-01 | 178     |               |
                  2020-07-01 | 0       | yes           | 180
                  2020-08-01 | 31      |               |"""
    with bench_from(hour_readings=readings) as bench:
        assert hours_in(bench) == {"2020-01-01": 0, "2020-07-01": 180, "2020-08-01": 211}
        assert set_aside_in(bench) == {}


def test_a_ticket_on_the_day_of_a_change_is_read_off_the_meter_it_lies_nearer_to():
    readings = """read_on    | meter_h | meter_changed | old_meter_h
                  2020-07-01 | 0       | yes           | 180
                  2020-08-01 | 31      |               |"""
    for meter_h, age in ((179, 179), (2, 182)):
        tickets = f"""done_on    | meter_h   | reason
                      2020-07-01 | {meter_h} | failed"""
        assert lives_from(hour_readings=readings, service_tickets=tickets)[0] == (0, age, age, "failed")


def test_a_change_that_forgot_the_old_meter_is_bridged_at_the_pace_before_and_after():
    hours = hours_from("""read_on    | meter_h | meter_changed
                          2020-06-01 | 152     |
                          2020-06-11 | 162     |
                          2020-06-21 | 0       | yes
                          2020-07-01 | 10      |""")
    assert hours == {"2020-01-01": 0, "2020-06-01": 152, "2020-06-11": 162, "2020-06-21": 172, "2020-07-01": 182}


def test_a_drop_that_later_readings_confirm_is_a_new_meter():
    hours = hours_from("""read_on    | meter_h
                          2020-06-01 | 152
                          2020-06-11 | 162
                          2020-06-21 | 5
                          2020-07-01 | 15
                          2020-07-11 | 25""")
    assert hours == {"2020-01-01": 0, "2020-06-01": 152, "2020-06-11": 162, "2020-06-21": 172, "2020-07-01": 182, "2020-07-11": 192}


def test_a_new_meter_shows_at_least_what_was_run_since():
    hours = hours_from("""read_on    | meter_h
                          2020-06-01 | 152
                          2020-06-11 | 162
                          2020-06-21 | 40
                          2020-07-01 | 50""")
    assert hours["2020-06-21"] == 202


@pytest.mark.parametrize("slip", [1620, 612, 126, 16.2, 999], ids=lambda slip: f"{slip} for 162")
def test_a_slip_is_set_aside_and_told(slip: float):
    readings = f"""read_on    | meter_h
                   2020-06-01 | 152
                   2020-06-11 | {slip}
                   2020-06-21 | 172
                   2020-07-01 | 182"""
    with bench_from(hour_readings=readings) as bench:
        assert hours_in(bench) == {"2020-01-01": 0, "2020-06-01": 152, "2020-06-21": 172, "2020-07-01": 182}
        assert set_aside_in(bench) == {"2020-06-11": slip}


def test_the_same_slip_copied_to_three_readings_is_set_aside_whole():
    readings = """read_on    | meter_h
                  2020-05-12 | 132
                  2020-05-22 | 142
                  2020-06-01 | 152
                  2020-06-11 | 1620
                  2020-06-13 | 1640
                  2020-06-15 | 1660
                  2020-06-21 | 172
                  2020-07-01 | 182
                  2020-07-11 | 192"""
    with bench_from(hour_readings=readings) as bench:
        assert list(set_aside_in(bench)) == ["2020-06-11", "2020-06-13", "2020-06-15"]
        assert hours_in(bench)["2020-07-11"] == 192


def test_two_slips_in_a_row_are_both_set_aside():
    readings = """read_on    | meter_h
                  2020-05-22 | 142
                  2020-06-01 | 152
                  2020-06-11 | 612
                  2020-06-21 | 127
                  2020-07-01 | 182
                  2020-07-11 | 192"""
    with bench_from(hour_readings=readings) as bench:
        assert list(set_aside_in(bench)) == ["2020-06-11", "2020-06-21"]


def test_a_last_reading_that_nothing_confirms_waits():
    for last in (17, 999):
        readings = f"""read_on    | meter_h
                       2020-06-01 | 152
                       2020-06-11 | 162
                       2020-06-21 | {last}"""
        with bench_from(hour_readings=readings) as bench:
            assert set_aside_in(bench) == {"2020-06-21": last}


def test_no_engine_runs_more_than_the_clock():
    readings = """read_on    | meter_h
                  2020-05-01 | 121
                  2020-06-01 | 152
                  2020-06-03 | 170
                  2020-06-04 | 300
                  2020-07-01 | 310
                  2020-08-01 | 341"""
    with bench_from(hour_readings=readings) as bench:
        assert set_aside_in(bench) == {"2020-06-04": 300}


def test_an_engine_that_came_with_hours_nobody_wrote_down_has_unknown_hours_before_its_first_reading():
    readings = """read_on    | meter_h
                  2020-01-11 | 810
                  2020-02-10 | 840
                  2020-12-31 | 1165"""
    with bench_from(hour_readings=readings) as bench:
        assert set_aside_in(bench) == {"2020-01-01": 0}
        assert bench.frame("select low_h from derived.lives")["low_h"].to_list() == [None]


def test_a_ticket_dated_late_is_not_taken_for_a_new_meter():
    hours = hours_from(
        """read_on    | meter_h
           2020-06-01 | 152
           2020-06-21 | 172
           2020-08-01 | 213""",
        service_tickets="""done_on    | meter_h | action
                           2020-06-24 | 165     | clean
                           2020-06-24 | 165     | adjust""",
    )
    assert hours["2020-08-01"] == 213


def test_readings_of_tickets_and_calls_count_too():
    hours = hours_from(
        "read_on\n",
        service_tickets="""done_on    | meter_h | action
                           2020-06-01 | 152     | clean""",
        rescue_calls="""called_at        | meter_h
                        2020-07-01 10:15 | 182""",
    )
    assert hours == {"2020-01-01": 0, "2020-06-01": 152, "2020-07-01": 182}


def test_every_trusted_reading_says_where_it_came_from():
    with bench_from(
        hour_readings="""read_on    | meter_h
                         2020-06-01 | 152""",
        service_tickets="""done_on    | meter_h | action
                           2020-06-11 | 162     | clean""",
    ) as bench:
        sources = bench.frame("select source, row_id from derived.clean_hours order by on_date").rows()
    assert sources == [("commissioned", None), ("reading", 201), ("ticket", 401)]


def test_hours_between_readings_are_interpolated():
    assert lives_from(
        hour_readings="""read_on    | meter_h
                         2020-04-01 | 100
                         2020-04-21 | 140""",
        service_tickets="""done_on    | reason
                           2020-04-11 | failed""",
    )[0] == (0, 120, 120, "failed")


def test_the_tickets_own_meter_outranks_a_reading_of_that_day():
    with bench_from(
        hour_readings="""read_on    | meter_h
                         2020-04-11 | 104
                         2022-12-31 | 1100""",
        service_tickets="""done_on    | reason | meter_h
                           2020-04-11 | failed | 101""",
    ) as bench:
        assert bench.frame("select low_h, hours_source from derived.lives order by began_on").row(0) == (101, "own meter")


@pytest.mark.parametrize(
    ("done_on", "source"),
    [("2020-06-01", "same-day reading"), ("2020-06-11", "interpolated"), ("2020-12-01", "beyond readings")],
)
def test_a_life_says_where_its_hours_came_from(done_on: str, source: str):
    with bench_from(
        hour_readings="""read_on    | meter_h
                         2020-06-01 | 152
                         2020-07-01 | 182""",
        service_tickets=f"""done_on   | reason
                            {done_on} | failed""",
    ) as bench:
        assert bench.frame("select hours_source from derived.lives order by began_on")["hours_source"][0] == source


def test_beyond_the_last_reading_an_engine_goes_on_at_its_own_seasonal_rate():
    summer_only = """read_on    | meter_h
                     2020-05-01 | 0
                     2020-10-01 | 306
                     2021-05-01 | 306
                     2021-10-01 | 612
                     2022-05-01 | 612"""
    with bench_from(hour_readings=summer_only) as bench:
        hours = dict(bench.frame("select on_date, hours from derived.hours_at where engine_id = 'E1'").iter_rows())
        by_day = {day.isoformat(): value for day, value in hours.items()}
    assert by_day["2022-10-01"] == pytest.approx(918, abs=12)
    assert by_day["2022-12-31"] - by_day["2022-10-01"] < 6


def test_an_engine_whose_meter_was_never_read_has_unknown_hours_but_known_months():
    with bench_from(
        hour_readings="read_on\n",
        service_tickets="""done_on    | reason
                           2021-01-01 | failed""",
    ) as bench:
        life = bench.frame("select low_h, high_h, low_months, ending, hours_source from derived.lives order by began_on").row(0)
    assert life == (None, None, pytest.approx(12.02, abs=0.01), "failed", None)


def test_hours_that_the_days_do_not_allow_are_unknown_and_the_dates_stay():
    readings = """read_on    | meter_h
                  2020-02-01 | 31
                  2020-03-01 | 60
                  2020-04-01 | 91
                  2020-05-01 | 121
                  2020-06-01 | 152
                  2020-07-01 | 182
                  2021-07-01 | 5182
                  2021-08-01 | 5213
                  2021-09-01 | 5244"""
    with bench_from(
        hour_readings=readings,
        service_tickets="""done_on    | reason
                           2020-06-01 | planned
                           2021-07-05 | failed""",
    ) as bench:
        lives = bench.frame("select low_h, low_months, ending from derived.lives order by began_on").rows()
    assert lives[0] == (152, pytest.approx(4.99, abs=0.01), "planned")
    assert lives[1] == (None, pytest.approx(13.11, abs=0.01), "failed")


def test_next_seasons_planned_hours_scale_the_use_that_is_expected():
    with bench_from(
        engines="""engine_id | vessel_id | drive    | fuel   | commissioned_on | planned_h_next_season
                   E1        | V1        | outboard | petrol | 2020-01-01      | 730.5"""
    ) as bench:
        use = bench.frame("select hours_per_day from derived.engine_use")["hours_per_day"].to_list()
    assert use == pytest.approx([2.0] * 12)


def test_an_engine_with_no_record_is_used_as_its_base_uses_engines():
    with bench_from(
        engines="""engine_id | vessel_id | drive    | fuel   | commissioned_on
                   E1        | V1        | outboard | petrol | 2020-01-01
                   E2        | V2        | outboard | petrol | 2022-12-01""",
        vessels="""vessel_id | base
                   V1        | North
                   V2        | North""",
    ) as bench:
        use = bench.frame("select hours_per_day from derived.engine_use where engine_id = 'E2'")["hours_per_day"].to_list()
    assert use == pytest.approx([1.0] * 12, abs=0.01)
