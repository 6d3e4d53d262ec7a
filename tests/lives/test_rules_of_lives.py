"""The table of rules, one test a row. In the yard of these tests an age in hours is an age in days from 2020-01-01.

A life reads (age at entry, low, high, ending). Day 100 is 2020-04-10, day 200 is 2020-07-19, day 1095 is the last day known.
"""

from pipelines.terms.settings import Settings
from tests.support.lives_tables import LAST_DAY, bench_as, bench_from, left_out_of, lives_from, lives_in


def test_a_part_that_never_gave_trouble_is_one_long_life():
    assert lives_from() == [(0, 1095, None, "running")]


def test_a_renewal_because_it_failed_is_a_failure_at_that_age():
    assert lives_from(
        service_tickets="""done_on    | reason
                                         2020-04-10 | failed"""
    ) == [
        (0, 100, 100, "failed"),
        (0, 995, None, "running"),
    ]


def test_a_failure_happened_when_the_call_came_and_the_new_part_when_the_ticket_was_done():
    assert lives_from(
        service_tickets="""done_on    | reason
                           2020-04-14 | failed""",
        rescue_calls="""called_at        | cause
                        2020-04-10 14:30 | impeller failed""",
    ) == [(0, 100, 100, "failed"), (0, 991, None, "running")]


def test_a_planned_change_is_a_suspension():
    assert lives_from(
        service_tickets="""done_on    | reason
                                         2020-04-10 | planned"""
    ) == [
        (0, 100, None, "planned"),
        (0, 995, None, "running"),
    ]


def test_a_planned_change_that_finds_the_old_part_sound_or_worn_stays_a_suspension():
    for finding in ("sound", "worn"):
        assert lives_from(
            service_tickets=f"""done_on    | reason  | finding
                                              2020-04-10 | planned | {finding}"""
        )[0] == (0, 100, None, "planned")


def test_an_opportunistic_change_is_a_suspension():
    assert lives_from(
        service_tickets="""done_on    | reason
                                         2020-04-10 | opportunistic"""
    )[0] == (0, 100, None, "opportunistic")


def test_a_planned_change_whose_call_names_the_part_is_a_failure():
    assert lives_from(
        service_tickets="""done_on    | reason
                           2020-04-12 | planned""",
        rescue_calls="""called_at  | component | outcome
                        2020-04-10 | impeller  | towed""",
    )[0] == (0, 100, 100, "failed")


def test_a_part_found_failed_with_no_call_failed_between_entry_and_now():
    for reason in ("planned", "condition", "opportunistic", ""):
        assert lives_from(
            service_tickets=f"""done_on    | reason   | finding
                                              2020-04-10 | {reason} | failed"""
        )[0] == (0, 0, 100, "found failed")


def test_a_part_found_failed_had_not_failed_at_its_last_sound_finding():
    assert lives_from(
        service_tickets="""done_on    | action  | reason  | finding
                                         2020-03-01 | inspect |         | sound
                                         2020-04-10 | renew   | planned | failed"""
    )[0] == (0, 60, 100, "found failed")


def test_a_part_renewed_on_condition_would_have_failed_soon():
    assert lives_from(
        service_tickets="""done_on    | reason
                                         2020-04-10 | condition"""
    )[0] == (0, 100, 117.6, "condition")


def test_how_soon_it_would_have_failed_is_a_setting():
    tickets = """done_on    | reason
                 2020-04-10 | condition"""
    with bench_as(Settings(condition_fraction=0.5), LAST_DAY, {"service_tickets": tickets}) as bench:
        assert lives_in(bench)[0] == (0, 100, 200, "condition")


def test_outside_damage_is_a_suspension_for_wear_whatever_the_reason_says():
    for reason in ("failed", "planned", ""):
        assert lives_from(
            service_tickets=f"""done_on    | reason   | finding
                                              2020-04-10 | {reason} | outside damage"""
        )[0] == (0, 100, None, "outside damage")


def test_a_cause_from_outside_is_outside_damage():
    assert lives_from(
        service_tickets="""done_on    | reason | cause
                                         2020-04-10 | failed | impeller burnt, run dry"""
    )[0] == (0, 100, None, "outside damage")


def test_a_renewal_with_no_reason_and_no_finding_is_a_doubtful_suspension():
    with bench_from(
        service_tickets="""done_on
                                       2020-04-10"""
    ) as bench:
        assert lives_in(bench)[0] == (0, 100, None, "planned")
        assert bench.frame("select doubtful from derived.lives order by began_on")["doubtful"].to_list() == [True, False]


def test_a_tow_for_a_failed_part_with_no_ticket_is_a_doubtful_failure_and_a_new_part_from_then():
    calls = """called_at  | component | outcome
               2020-04-10 | impeller  | towed"""
    with bench_from(rescue_calls=calls) as bench:
        assert lives_in(bench) == [(0, 100, 100, "failed"), (0, 995, None, "running")]
        assert bench.frame("select doubtful from derived.lives order by began_on")["doubtful"].to_list() == [True, True]


def test_a_part_put_right_aboard_goes_on():
    assert lives_from(
        rescue_calls="""called_at  | component | outcome
                                      2020-04-10 | impeller  | fixed aboard"""
    ) == [(0, 1095, None, "running")]


def test_small_work_leaves_the_life_going_on():
    for action in ("clean", "adjust", "repair", "top up"):
        assert lives_from(
            service_tickets=f"""done_on    | action   | reason
                                              2020-04-10 | {action} | failed"""
        ) == [(0, 1095, None, "running")]


def test_a_sound_inspection_ends_nothing():
    assert lives_from(
        service_tickets="""done_on    | action  | finding
                                         2020-04-10 | inspect | sound"""
    ) == [(0, 1095, None, "running")]


def test_a_part_found_failed_at_an_inspection_is_down_until_it_is_renewed():
    assert lives_from(
        service_tickets="""done_on    | action  | finding | reason
                                         2020-03-01 | inspect | sound   |
                                         2020-04-10 | test    | failed  |
                                         2020-07-19 | renew   |         | planned"""
    ) == [
        (0, 60, 100, "found failed"),
        (0, 895, None, "running"),
    ]


def test_a_part_found_failed_and_never_renewed_has_no_further_life():
    assert lives_from(
        service_tickets="""done_on    | action  | finding
                                         2020-04-10 | inspect | failed"""
    ) == [(0, 0, 100, "found failed")]


def test_an_inspection_and_a_renewal_of_one_day_are_one_find():
    assert lives_from(
        service_tickets="""done_on    | action  | finding | reason
                                         2020-04-10 | inspect | failed  |
                                         2020-04-10 | renew   |         | planned"""
    ) == [
        (0, 0, 100, "found failed"),
        (0, 995, None, "running"),
    ]


def test_a_withdrawn_engine_ends_the_lives_on_it():
    assert lives_from(
        engines="""engine_id | vessel_id | drive    | fuel   | commissioned_on | withdrawn_on
                   E1        | V1        | outboard | petrol | 2020-01-01      | 2020-07-19"""
    ) == [(0, 200, None, "withdrawn")]


def test_a_sold_boat_ends_the_lives_on_it():
    assert lives_from(
        vessels="""vessel_id | in_service_on | tickets_from_on | withdrawn_on
                   V1        | 2020-01-01    | 2020-01-01      | 2020-07-19"""
    ) == [(0, 200, None, "withdrawn")]


PUMP = {
    "fitted": """component
                 bilge pump"""
}


def test_a_hidden_function_is_known_to_work_only_at_its_last_sound_test():
    assert lives_from(
        **PUMP,
        service_tickets="""engine_id | vessel_id | component  | done_on    | action | finding
                           E1        | V1        | bilge pump | 2020-04-10 | test   | sound""",
    ) == [(0, 100, None, "running")]


def test_a_hidden_function_that_was_never_tested_tells_nothing():
    with bench_from(**PUMP) as bench:
        assert lives_in(bench) == []
        assert left_out_of(bench) == ["it ended the day it came under observation"]


def test_a_hidden_function_found_dead_failed_since_its_last_sound_test():
    assert lives_from(
        **PUMP,
        service_tickets="""component  | done_on    | action | finding | reason
                           bilge pump | 2020-04-10 | test   | sound   |
                           bilge pump | 2020-07-19 | renew  | failed  | failed""",
    ) == [(0, 100, 200, "found failed")]


def test_lives_with_no_time_under_observation_are_dropped_and_counted():
    with bench_from(
        service_tickets="""done_on    | reason  | meter_h
                                       2020-04-10 | planned | 100
                                       2022-12-31 | planned | 1095"""
    ) as bench:
        assert lives_in(bench) == [(0, 100, None, "planned"), (0, 995, None, "planned")]
        assert left_out_of(bench) == ["it ended the day it came under observation"]
