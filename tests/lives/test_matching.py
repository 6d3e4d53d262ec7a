"""Which call and which ticket tell of one breakdown, and what is the same job or call written twice."""

import pytest

from pipelines.terms.settings import Settings
from tests.support.lives_tables import LAST_DAY, bench_as, bench_from, left_out_of, lives_from, lives_in

TWIN = {
    "engines": """engine_id | vessel_id | place     | drive    | fuel   | commissioned_on
                  E1        | V1        | port      | outboard | petrol | 2020-01-01
                  E2        | V1        | starboard | outboard | petrol | 2020-01-01""",
    "hour_readings": """engine_id | read_on    | meter_h
                        E1        | 2022-12-31 | 1095
                        E2        | 2022-12-31 | 1095""",
}


def certainty_of(**tables: str) -> str:
    """What is said of the one call of a test."""
    with bench_from(**tables) as bench:
        return bench.frame("select certainty from derived.matches")["certainty"].item()


def test_a_call_that_names_the_part_belongs_to_its_ticket():
    for named in ("cause     \n 2020-04-10 | impeller failed", "component \n 2020-04-10 | impeller"):
        calls = "called_at | " + named
        tickets = """done_on    | reason
                     2020-04-12 | failed"""
        assert certainty_of(rescue_calls=calls, service_tickets=tickets) == "certain"


def test_a_ticket_of_the_same_day_counts():
    assert (
        certainty_of(
            rescue_calls="""called_at        | component
                            2020-04-10 16:00 | impeller""",
            service_tickets="""done_on    | reason
                               2020-04-10 | failed""",
        )
        == "certain"
    )


@pytest.mark.parametrize(("done_on", "certainty"), [("2020-04-24", "certain"), ("2020-04-25", "none"), ("2020-04-09", "none")])
def test_a_ticket_comes_within_two_weeks_after_the_call(done_on: str, certainty: str):
    assert (
        certainty_of(
            rescue_calls="""called_at  | component
                            2020-04-10 | impeller""",
            service_tickets=f"""done_on   | reason
                                {done_on} | failed""",
        )
        == certainty
    )


def test_how_many_days_is_a_setting():
    tables = {
        "rescue_calls": """called_at  | component
                           2020-04-10 | impeller""",
        "service_tickets": """done_on    | reason
                              2020-04-30 | failed""",
    }
    with bench_as(Settings(match_days=20), LAST_DAY, tables) as bench:
        assert bench.frame("select certainty from derived.matches")["certainty"].item() == "certain"


def test_a_symptom_that_the_part_can_show_and_a_job_that_says_failed_belong_together():
    assert (
        certainty_of(
            rescue_calls="""called_at  | symptom
                            2020-04-10 | overheats""",
            service_tickets="""done_on    | reason
                               2020-04-11 | failed""",
        )
        == "certain"
    )


def test_a_symptom_that_the_part_cannot_show_belongs_to_another_story():
    assert (
        certainty_of(
            rescue_calls="""called_at  | symptom
                            2020-04-10 | no steering""",
            service_tickets="""done_on    | reason
                               2020-04-11 | failed""",
        )
        == "none"
    )


def test_a_call_about_another_part_is_not_this_tickets_call():
    assert (
        certainty_of(
            rescue_calls="""called_at  | symptom   | component  | outcome
                            2020-04-10 | overheats | thermostat | fixed aboard""",
            service_tickets="""done_on    | reason
                               2020-04-11 | failed""",
        )
        == "none"
    )


def test_the_fleets_own_calls_teach_what_a_part_shows_as():
    taught = """called_at  | symptom     | component | outcome
                2021-04-10 | no steering | impeller  | towed"""
    calls = taught + "\n 2020-04-10 | no steering | | towed"
    with bench_from(
        rescue_calls=calls,
        service_tickets="""done_on    | reason
                           2020-04-11 | failed
                           2021-04-10 | failed""",
    ) as bench:
        assert bench.frame("select certainty from derived.matches")["certainty"].to_list() == ["certain", "certain"]


SERVICE = """done_on    | component     | reason
             2020-04-12 | impeller      | planned
             2020-04-12 | start battery | planned"""
ALONE = """done_on    | component | reason
           2020-04-11 | impeller  | planned"""
OVERHEATS = """called_at  | symptom
               2020-04-10 | overheats"""


def test_a_planned_renewal_that_stands_alone_after_a_call_which_the_part_explains_is_its_repair():
    with bench_from(rescue_calls=OVERHEATS, service_tickets=ALONE) as bench:
        assert bench.frame("select certainty from derived.matches")["certainty"].item() == "certain"
        assert lives_in(bench)[0] == (0, 100, 100, "failed")


def test_a_planned_renewal_among_others_at_a_service_is_for_a_person_to_judge():
    with bench_from(rescue_calls=OVERHEATS, service_tickets=SERVICE) as bench:
        assert bench.frame("select certainty, doubt from derived.matches left join derived.doubtful_pairs using (call_row_id)").row(0) == (
            "doubtful",
            "it was renewed at a service with other parts, not by itself",
        )
        impeller = bench.frame("select ending, doubtful from derived.lives where component = 'impeller' order by began_on")
        assert impeller.rows() == [("planned", True), ("running", False)]


def test_a_trouble_put_right_aboard_is_not_surely_the_job_of_next_week():
    assert (
        certainty_of(
            rescue_calls="""called_at  | symptom   | outcome
                            2020-04-10 | overheats | fixed aboard""",
            service_tickets="""done_on    | reason
                               2020-04-15 | failed""",
        )
        == "doubtful"
    )


def test_each_ticket_has_one_call_and_the_nearer_one():
    with bench_from(
        rescue_calls="""called_at  | component | outcome
                        2020-04-06 | impeller  | fixed aboard
                        2020-04-10 | impeller  | towed""",
        service_tickets="""done_on    | reason
                           2020-04-11 | failed""",
    ) as bench:
        assert bench.frame("select certainty from derived.matches order by call_row_id")["certainty"].to_list() == ["none", "certain"]
        assert lives_in(bench)[0] == (0, 100, 100, "failed")


def test_two_breakdowns_days_apart_keep_their_own_tickets():
    assert lives_from(
        rescue_calls="""called_at  | component
                        2020-04-10 | impeller
                        2020-04-14 | impeller""",
        service_tickets="""done_on    | reason | meter_h
                           2020-04-11 | failed | 101
                           2020-04-15 | failed | 105""",
    ) == [(0, 100, 100, "failed"), (0, 3, 3, "failed"), (0, 990, None, "running")]


def test_a_named_engine_is_not_matched_with_the_other_ones_ticket():
    with bench_from(
        **TWIN,
        rescue_calls="""called_at  | engine_id | component | outcome
                        2020-04-10 | E1        | impeller  | fixed aboard""",
        service_tickets="""done_on    | engine_id | reason
                           2020-04-11 | E2        | failed""",
    ) as bench:
        assert bench.frame("select certainty from derived.matches")["certainty"].item() == "none"


def test_a_call_from_a_twin_that_names_no_engine_is_settled_by_the_ticket():
    with bench_from(
        **TWIN,
        rescue_calls="""called_at  | component
                        2020-04-10 | impeller""",
        service_tickets="""done_on    | engine_id | reason
                           2020-04-12 | E2        | failed""",
    ) as bench:
        assert lives_in(bench) == [(0, 1095, None, "running"), (0, 100, 100, "failed"), (0, 993, None, "running")]


def test_a_ticket_of_a_twin_that_names_no_engine_is_of_the_engine_that_called():
    with bench_from(
        **TWIN,
        rescue_calls="""called_at  | engine_id | symptom
                        2020-04-10 | E2        | overheats""",
        service_tickets="""done_on    | vessel_id | reason
                           2020-04-12 | V1        | failed""",
    ) as bench:
        assert bench.frame("select certainty from derived.matches")["certainty"].item() == "certain"
        assert lives_in(bench) == [(0, 1095, None, "running"), (0, 100, 100, "failed"), (0, 993, None, "running")]


def test_a_ticket_of_a_twin_that_two_calls_could_mean_names_no_engine():
    with bench_from(
        **TWIN,
        rescue_calls="""called_at  | engine_id | symptom
                        2020-04-10 | E2        | overheats
                        2020-04-11 | E1        | loses power""",
        service_tickets="""done_on    | vessel_id | reason
                           2020-04-12 | V1        | failed""",
    ) as bench:
        assert "the boat has several engines and the ticket does not say which" in left_out_of(bench)


def test_a_late_ticket_that_names_no_engine_leaves_the_failure_with_the_engine_that_called():
    with bench_from(
        **TWIN,
        rescue_calls="""called_at  | engine_id | component
                        2020-04-10 | E2        | impeller""",
        service_tickets="""done_on    | vessel_id | reason
                           2020-04-16 | V1        | failed""",
    ) as bench:
        assert lives_in(bench) == [(0, 1095, None, "running"), (0, 100, 100, "failed"), (0, 995, None, "running")]
        assert bench.frame("select count(*) as n from derived.lives where doubtful")["n"].item() > 0


@pytest.mark.parametrize(("says", "more"), [(100, True), (108, False)])
def test_a_ticket_days_later_that_shows_the_hours_of_the_call_is_likelier_its_ticket(says: int, more: bool):
    def score(meter_h: str) -> float:
        calls = """called_at  | symptom   | meter_h
                   2020-04-10 | overheats | 100"""
        tickets = f"""done_on    | reason | meter_h
                      2020-04-18 | failed | {meter_h}"""
        with bench_from(rescue_calls=calls, service_tickets=tickets) as bench:
            return bench.frame("select score from derived.matches")["score"].item()

    assert (score(str(says)) > score("")) is more


def test_a_tow_of_a_twin_whose_engine_nobody_named_cannot_end_a_life():
    with bench_from(
        **TWIN,
        rescue_calls="""called_at  | component | outcome
                        2020-04-10 | impeller  | towed""",
    ) as bench:
        assert lives_in(bench) == [(0, 1095, None, "running"), (0, 1095, None, "running")]
        assert left_out_of(bench) == [
            "the call names a part that failed and no ticket follows, but which engine or position it was cannot be told"
        ]


def test_a_call_logged_twice_is_one_breakdown():
    calls = """called_at        | symptom   | cause           | outcome
               2020-04-10 10:00 | overheats |                 | towed
               2020-04-10 10:20 |           | impeller failed | towed"""
    with bench_from(rescue_calls=calls) as bench:
        assert lives_in(bench)[0] == (0, 100, 100, "failed")
        told = bench.frame("select symptom, cause, component from derived.calls").rows()
        assert told == [("overheats", "impeller failed", "impeller")]
        assert left_out_of(bench) == ["the same call is logged on another row and counted there"]


def test_two_symptoms_on_one_day_are_two_calls():
    with bench_from(
        rescue_calls="""called_at        | symptom
                        2020-04-10 10:00 | overheats
                        2020-04-10 15:00 | no steering"""
    ) as bench:
        assert bench.frame("select * from derived.calls").height == 2


def test_a_ticket_written_late_after_a_tow_is_still_one_failure():
    assert lives_from(
        rescue_calls="""called_at  | component | outcome
                        2020-04-10 | impeller  | towed""",
        service_tickets="""done_on    | reason
                           2020-05-05 | failed""",
    ) == [(0, 100, 100, "failed"), (0, 970, None, "running")]


def test_a_failure_a_month_after_a_lost_ticket_is_another_failure():
    assert lives_from(
        rescue_calls="""called_at  | component | outcome
                        2020-04-10 | impeller  | towed""",
        service_tickets="""done_on    | reason
                           2020-06-10 | failed""",
    ) == [(0, 100, 100, "failed"), (0, 61, 61, "failed"), (0, 934, None, "running")]


def test_one_job_on_two_tickets_is_one_job():
    with bench_from(
        service_tickets="""ticket_id | done_on    | reason  | meter_h
                           A         | 2020-04-10 | planned | 100
                           B         | 2020-04-12 |         | """
    ) as bench:
        assert lives_in(bench) == [(0, 100, None, "planned"), (0, 995, None, "running")]
        assert left_out_of(bench) == ["the same job is written on another line and counted there"]
        rows = bench.frame("select row_id from derived.life_evidence where part_played = 'ended' order by row_id")["row_id"].to_list()
        assert rows == [401, 402]


def test_the_graver_word_of_two_lines_counts():
    assert lives_from(
        service_tickets="""done_on    | reason  | finding
                           2020-04-10 | planned |
                           2020-04-10 | failed  | failed"""
    )[0] == (0, 100, 100, "failed")


def test_a_part_that_fails_again_days_after_fitting_is_a_finding():
    assert lives_from(
        service_tickets="""done_on    | reason | meter_h
                           2020-04-10 | failed | 100
                           2020-04-12 | failed | 102"""
    ) == [(0, 100, 100, "failed"), (0, 2, 2, "failed"), (0, 993, None, "running")]


def test_a_call_between_two_lines_makes_them_two_jobs():
    assert lives_from(
        rescue_calls="""called_at  | component
                        2020-04-12 | impeller""",
        service_tickets="""done_on    | reason
                           2020-04-10 | planned
                           2020-04-12 | failed""",
    ) == [(0, 100, None, "planned"), (0, 2, 2, "failed"), (0, 993, None, "running")]


def test_lines_four_days_apart_are_two_jobs():
    assert lives_from(
        service_tickets="""done_on    | reason
                           2020-04-10 | planned
                           2020-04-14 | planned"""
    ) == [(0, 100, None, "planned"), (0, 4, None, "planned"), (0, 991, None, "running")]


def test_unknown_causes_and_symptoms_stay_unknown():
    with bench_from(
        rescue_calls="""called_at  | symptom | cause
                        2020-04-10 |         |
                        2020-05-10 | uncoded | uncoded
                        2020-06-10 | unknown | mechanical, not further stated"""
    ) as bench:
        told = bench.frame("select symptom, cause, system, remedy from derived.calls order by called_on").rows()
    assert told == [
        ("unknown", "unknown", "unknown", "unknown"),
        ("uncoded", "uncoded", "unknown", "unknown"),
        ("unknown", "mechanical, not further stated", "unknown", "unknown"),
    ]


def test_a_call_gets_the_part_of_its_certain_ticket_but_never_its_cause():
    with bench_from(
        rescue_calls="""called_at  | symptom
                        2020-04-10 | overheats""",
        service_tickets="""done_on    | reason | cause
                           2020-04-11 | failed | impeller failed""",
    ) as bench:
        assert bench.frame("select component, cause from derived.calls").row(0) == ("impeller", "unknown")
