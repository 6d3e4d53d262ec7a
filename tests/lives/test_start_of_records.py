"""Lives that were running when the records began: seen only from then on, and only if their fitting day is known.

The engine of these tests is from 2019-01-01, its boat's records from 2020-01-01 (day 365) unless a test says otherwise.
"""

from tests.support.lives_tables import bench_from, left_out_of, lives_from, lives_in

UNKNOWN_START = "it was running when the records of its boat began and its fitting day is not known"
OLD = {
    "engines": """engine_id | vessel_id | drive    | fuel   | engine_model | commissioned_on
                  E1        | V1        | outboard | petrol | M1           | 2019-01-01""",
    "hour_readings": """engine_id | read_on    | meter_h
                        E1        | 2022-12-31 | 1460""",
}


def boats(*lines: str) -> str:
    """The table of boats with these lines of vessel_id, base, tickets_from_on."""
    return "\n".join(("vessel_id | base | tickets_from_on", *lines))


def test_an_original_part_younger_than_its_interval_is_known_to_be_the_original():
    assert lives_from(
        **OLD,
        plan="""component | every_h
                impeller  | 500""",
        service_tickets="""done_on    | reason
                           2020-04-10 | failed""",
    ) == [(365, 465, 465, "failed"), (0, 995, None, "running")]


def test_an_original_part_older_than_its_interval_may_have_been_renewed_before():
    with bench_from(
        **OLD,
        plan="""component | every_h
                impeller  | 300""",
        service_tickets="""done_on    | reason
                           2020-04-10 | failed""",
    ) as bench:
        assert lives_in(bench) == [(0, 995, None, "running")]
        assert left_out_of(bench) == [UNKNOWN_START]


def test_whichever_of_hours_and_months_is_up_first_by_three_quarters_decides():
    for plan in ("every_h | every_months \n impeller | 500 | 6", "every_months \n impeller | 15.9", "every_h \n impeller | 486"):
        with bench_from(**OLD, plan=f"component | {plan}") as bench:
            assert left_out_of(bench) == [UNKNOWN_START]
    for plan in ("every_h | every_months \n impeller | 500 | 17", "every_months \n impeller | 16.1", "every_h \n impeller | 487"):
        assert lives_from(**OLD, plan=f"component | {plan}") == [(365, 1460, None, "running")]


def test_the_makers_limit_speaks_where_there_is_no_plan():
    limits = """component | task  | max_h
                impeller  | renew | 500"""
    assert lives_from(**OLD, limits=limits) == [(365, 1460, None, "running")]
    no_interval = """component | adopted_on
                     impeller  | 2019-12-01"""
    assert lives_from(**OLD, limits=limits, plan=no_interval) == [(365, 1460, None, "running")]


def test_a_limit_for_inspections_says_nothing_about_renewals():
    limits = """component | task    | max_h
                impeller  | inspect | 500"""
    assert lives_from(**OLD, limits=limits) == []


def test_the_plan_of_its_model_and_base_outranks_the_general_one_and_the_later_the_earlier():
    for plan in (
        "component | engine_model | every_h \n impeller | | 300 \n impeller | M1 | 500 \n impeller | M2 | 100",
        "component | base | every_h \n impeller | | 300 \n impeller | North | 500",
        "component | every_h | adopted_on \n impeller | 500 | 2019-06-01 \n impeller | 300 | 2018-06-01",
    ):
        assert lives_from(**OLD, plan=plan) == [(365, 1460, None, "running")]


def test_an_interval_adopted_after_the_records_began_changes_nothing_of_what_was_in_place_then():
    in_force = "component | every_h | adopted_on \n impeller | 500 | "
    before = lives_from(**OLD, plan=in_force)
    for later in ("300 | 2020-01-02", "300 | 2022-06-01", "2000 | 2022-06-01"):
        assert lives_from(**OLD, plan=f"{in_force} \n impeller | {later}") == before == [(365, 1460, None, "running")]
    only_later = "component | every_h | adopted_on \n impeller | 500 | 2022-06-01"
    with bench_from(**OLD, plan=only_later) as bench:
        assert left_out_of(bench) == [UNKNOWN_START]


def test_without_plan_or_limit_a_life_already_running_is_left_out_until_its_first_renewal():
    with bench_from(
        **OLD,
        service_tickets="""done_on    | reason
                           2020-04-10 | planned""",
    ) as bench:
        assert lives_in(bench) == [(0, 995, None, "running")]
        assert left_out_of(bench) == [UNKNOWN_START]


def test_a_line_dated_back_says_when_a_part_was_fitted():
    with bench_from(
        **OLD,
        service_tickets="""done_on    | action | reason
                           2019-09-23 | fit    |
                           2020-04-10 | renew  | failed""",
    ) as bench:
        assert lives_in(bench) == [(100, 200, 200, "failed"), (0, 995, None, "running")]
        assert left_out_of(bench) == ["it ended before the records of its boat began"]


def test_lives_that_ended_before_the_records_are_not_a_fair_sample_and_stay_out():
    with bench_from(
        **OLD,
        service_tickets="""done_on    | reason
                           2019-06-01 | failed
                           2019-09-23 | failed""",
    ) as bench:
        assert lives_in(bench) == [(100, 1195, None, "running")]
        assert left_out_of(bench) == ["it ended before the records of its boat began"] * 2


def test_a_first_fitting_begins_a_life_and_ends_none():
    with bench_from(
        service_tickets="""done_on    | action
                           2020-04-10 | fit"""
    ) as bench:
        assert lives_in(bench) == [(0, 995, None, "running")]
        assert left_out_of(bench) == ["nothing was fitted here before its first fitting"]


def test_records_begin_at_the_first_ticket_of_the_base_never_of_the_boat():
    with bench_from(
        engines="""engine_id | vessel_id | drive    | fuel   | commissioned_on
                   E1        | V1        | outboard | petrol | 2019-01-01
                   E2        | V2        | outboard | petrol | 2019-01-01""",
        vessels=boats("V1 | North |", "V2 | North |"),
        hour_readings="""engine_id | read_on    | meter_h
                         E1        | 2022-12-31 | 1460
                         E2        | 2022-12-31 | 1460""",
        plan="""component | every_h
                impeller  | 900""",
        service_tickets="""engine_id | done_on    | reason
                           E1        | 2020-04-10 | failed
                           E2        | 2021-01-01 | failed""",
    ) as bench:
        lives = bench.frame("select engine_id, entry_h, low_h, ending from derived.lives order by engine_id, began_on").rows()
    assert lives == [("E1", 0, 995, "running"), ("E2", 465, 731, "failed"), ("E2", 0, 729, "running")]


def test_a_base_that_is_one_boat_goes_by_the_first_ticket_of_the_fleet():
    with bench_from(
        engines="""engine_id | vessel_id | drive    | fuel   | commissioned_on
                   E1        | V1        | outboard | petrol | 2019-01-01
                   E2        | V2        | outboard | petrol | 2019-01-01""",
        vessels=boats("V1 | North |", "V2 | South |"),
        service_tickets="""engine_id | done_on    | reason
                           E1        | 2020-04-10 | failed
                           E2        | 2021-01-01 | failed""",
        rescue_calls="""vessel_id | called_at
                        V1        | 2020-03-01
                        V2        | 2020-06-01""",
    ) as bench:
        months = bench.frame("select vessel_id, cast(min(month) as varchar) from derived.engine_months group by 1 order by 1").rows()
    assert months == [("V1", "2020-03-01"), ("V2", "2020-03-01")]


def test_a_line_dated_back_does_not_start_the_records():
    with bench_from(
        **OLD,
        vessels=boats("V1 | North |"),
        service_tickets="""done_on    | action | reason
                           2019-09-23 | fit    |
                           2020-01-01 | clean  |
                           2020-04-10 | renew  | failed""",
    ) as bench:
        assert lives_in(bench)[0] == (100, 200, 200, "failed")


def test_a_boat_newer_than_the_records_is_seen_from_new():
    assert lives_from(
        vessels=boats("V1 | North | 2018-01-01"),
        service_tickets="""done_on    | reason
                           2020-04-10 | failed""",
    )[0] == (0, 100, 100, "failed")


def test_without_any_ticket_no_life_can_be_told():
    with bench_from(**OLD, vessels=boats("V1 | North |")) as bench:
        assert lives_in(bench) == []
        assert left_out_of(bench) == ["there are no service tickets to tell its lives from"]


PUMP = {
    **OLD,
    "fitted": """component
                 bilge pump""",
    "vessels": """vessel_id | base  | in_service_on | tickets_from_on
                  V1        | North | 2019-01-01    | 2020-01-01""",
    "plan": """component  | every_months
               bilge pump | 36""",
}


def test_a_hidden_function_has_delayed_entry_only_with_a_sound_test_there():
    assert lives_from(
        **PUMP,
        service_tickets="""component  | done_on    | action | finding
                           bilge pump | 2020-01-15 | test   | sound
                           bilge pump | 2020-04-10 | test   | sound""",
    ) == [(379, 465, None, "running")]


def test_a_hidden_function_without_one_has_entry_and_low_at_nought():
    assert lives_from(
        **PUMP,
        service_tickets="""component  | done_on    | action | finding
                           bilge pump | 2020-04-10 | test   | failed""",
    ) == [(0, 0, 465, "found failed")]


def test_an_engine_that_comes_to_a_boat_with_records_is_seen_from_then():
    assert lives_from(
        vessels=boats("V1 | North | 2022-01-01", "V2 | North | 2020-01-01"),
        engine_moves="""engine_id | vessel_id | moved_on
                        E1        | V2        | 2020-07-19""",
        plan="""component | every_h
                impeller  | 500""",
    ) == [(200, 1095, None, "running")]
