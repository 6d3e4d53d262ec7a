"""Where parts are, whether or not a ticket names them, what they live on, and which engine or boat a record is about."""

from tests.support.lives_tables import CATALOGUE, bench_from, left_out_of, lives_from, lives_in

TWO_BOATS = {
    "vessels": """vessel_id | base  | vessel_class | in_service_on | tickets_from_on
                  V1        | North | launch       | 2020-01-01    | 2020-01-01
                  V2        | North | cruiser      | 2020-01-01    | 2020-01-01""",
    "engines": """engine_id | vessel_id | drive    | fuel   | engine_model | commissioned_on
                  E1        | V1        | outboard | petrol | M1           | 2020-01-01
                  E2        | V2        | inboard  | diesel | M2           | 2020-01-01""",
    "hour_readings": """engine_id | read_on    | meter_h
                        E1        | 2022-12-31 | 1095
                        E2        | 2022-12-31 | 1095""",
}
TWIN = {
    "engines": """engine_id | vessel_id | place     | drive    | fuel   | commissioned_on
                  E1        | V1        | port      | outboard | petrol | 2020-01-01
                  E2        | V1        | starboard | outboard | petrol | 2020-01-01""",
    "hour_readings": """engine_id | read_on    | meter_h
                        E1        | 2022-12-31 | 1095
                        E2        | 2022-12-31 | 1095""",
}
NAMED = CATALOGUE.replace("inboard; sterndrive | no", "inboard; sterndrive | yes")


def positions_from(**tables: str) -> list[tuple]:
    """Positions as (engine, boat, component, position, source)."""
    with bench_from(**tables) as bench:
        columns = "engine_id, vessel_id, component, position, source"
        return bench.frame(f"select {columns} from derived.positions order by vessel_id, component, position").rows()


def test_a_rule_puts_a_part_on_every_engine_that_meets_all_its_conditions():
    for condition in (
        "fuel | drive \n belt | diesel | inboard",
        "engine_model \n belt | M2",
        "engine_id \n belt | E2",
        "vessel_id \n belt | V2",
    ):
        fitted = f"component | {condition}"
        assert positions_from(**TWO_BOATS, fitted=fitted) == [("E2", "V2", "belt", None, "fitted")]


def test_a_rule_can_go_by_the_class_of_the_boat():
    fitted = """component | vessel_class
                belt      | cruiser"""
    assert positions_from(**TWO_BOATS, fitted=fitted) == [("E2", "V2", "belt", None, "fitted")]


def test_several_like_parts_have_a_position_each():
    fitted = """component | engine_id | positions
                belt      | E2        | alternator; pump"""
    assert positions_from(**TWO_BOATS, fitted=fitted) == [
        ("E2", "V2", "belt", "alternator", "fitted"),
        ("E2", "V2", "belt", "pump", "fitted"),
    ]


def test_without_a_rule_the_catalogue_says_where_a_part_is_if_the_records_name_it():
    assert positions_from(**TWO_BOATS, catalogue=NAMED, fitted="component\n") == [("E2", "V2", "belt", None, "catalogue")]


def test_what_the_catalogue_says_is_told_as_an_assumption():
    with bench_from(**TWO_BOATS, catalogue=NAMED) as bench:
        assert bench.frame("select component, assumed from derived.positions order by component, engine_id").rows() == [
            ("belt", True),
            ("impeller", False),
            ("impeller", False),
        ]


def test_an_engine_whose_drive_is_not_known_is_not_assumed_to_have_what_only_some_drives_have():
    engines = """engine_id | vessel_id | fuel   | commissioned_on
                 E1        | V1        | diesel | 2020-01-01"""
    assert positions_from(engines=engines, catalogue=NAMED, fitted="component\n") == []


def test_a_ticket_adds_a_position_that_no_rule_knows_and_lives_begin_with_it():
    with bench_from(
        service_tickets="""component | done_on    | reason
                           belt      | 2020-04-10 | planned"""
    ) as bench:
        assert bench.frame("select component, source from derived.positions order by component").rows() == [
            ("belt", "ticket"),
            ("impeller", "fitted"),
        ]
        assert lives_in(bench)[0] == (0, 995, None, "running")
        assert left_out_of(bench) == ["the position is known only from a ticket, so what was in it before is not"]


def test_tickets_that_tell_like_parts_apart_are_believed_over_the_catalogues_single_default():
    tickets = """component | done_on    | position | reason
                 belt      | 2020-04-10 | inner    | planned
                 belt      | 2020-07-19 | outer    | planned"""
    engines = """engine_id | vessel_id | drive   | fuel   | commissioned_on
                 E1        | V1        | inboard | diesel | 2020-01-01"""
    assert positions_from(engines=engines, catalogue=NAMED, fitted="component\n", service_tickets=tickets) == [
        ("E1", "V1", "belt", "inner", "ticket"),
        ("E1", "V1", "belt", "outer", "ticket"),
    ]


def test_a_position_on_a_ticket_is_read_whatever_its_case_and_the_other_part_lives_on():
    assert lives_from(
        fitted="""component | positions
                  impeller  | Inner; Outer""",
        service_tickets="""done_on    | position | reason
                           2020-04-10 | outer    | failed""",
    ) == [(0, 1095, None, "running"), (0, 100, 100, "failed"), (0, 995, None, "running")]


def test_a_ticket_that_does_not_say_which_of_several_like_parts_is_left_out_and_told():
    for position in ("", "middle"):
        with bench_from(
            fitted="""component | positions
                      impeller  | inner; outer""",
            service_tickets=f"""done_on    | position   | reason
                                2020-04-10 | {position} | failed""",
        ) as bench:
            assert lives_in(bench) == [(0, 1095, None, "running"), (0, 1095, None, "running")]
            assert left_out_of(bench) == ["which of several like parts it means cannot be told"]


def test_where_there_is_one_part_the_word_for_its_position_does_not_matter():
    assert lives_from(
        service_tickets="""done_on    | position  | reason
                           2020-04-10 | raw water | failed"""
    )[0] == (0, 100, 100, "failed")


def test_a_ticket_that_names_only_the_boat_means_its_only_engine():
    assert lives_from(
        service_tickets="""vessel_id | done_on    | reason
                           V1        | 2020-04-10 | failed"""
    )[0] == (0, 100, 100, "failed")


def test_a_part_of_the_boat_lives_on_months_and_on_the_hours_of_its_only_engine():
    with bench_from(
        fitted="""component
                  start battery""",
        service_tickets="""component     | done_on    | reason
                           start battery | 2020-04-10 | failed""",
    ) as bench:
        assert bench.frame("select engine_id, vessel_id, low_h, round(low_months, 2) from derived.lives order by began_on").row(0) == (
            None,
            "V1",
            100,
            3.29,
        )
        assert bench.frame("select carried_by, hours_engine_id from derived.positions").row(0) == ("vessel", "E1")


def test_a_part_of_a_boat_with_two_engines_lives_on_months_only():
    with bench_from(
        **TWIN,
        fitted="""component
                  start battery""",
    ) as bench:
        assert bench.frame("select low_h, round(low_months, 1), ending from derived.lives").row(0) == (None, 36.0, "running")
        assert bench.frame("select hours_engine_id from derived.positions").row(0) == (None,)


MOVES = {
    "vessels": """vessel_id | base | in_service_on | tickets_from_on
                  V1        | North | 2020-01-01   | 2020-01-01
                  V2        | North | 2020-01-01   | 2020-01-01""",
    "engine_moves": """engine_id | vessel_id | moved_on
                       E1        | V2        | 2020-07-19""",
}


def test_a_part_on_an_engine_moves_with_it():
    assert lives_from(**MOVES) == [(0, 1095, None, "running")]


def test_a_part_of_the_boat_stays_when_the_engine_moves_and_then_has_no_hours():
    with bench_from(
        **MOVES,
        fitted="""component
                  start battery""",
        service_tickets="""component     | done_on    | reason
                           start battery | 2020-04-10 | failed""",
    ) as bench:
        lives = bench.frame("select vessel_id, began_on, low_h, ending from derived.lives order by vessel_id, began_on").rows()
    assert [(boat, low, ending) for boat, _, low, ending in lives] == [
        ("V1", 100, "failed"),
        ("V1", None, "running"),
        ("V2", None, "running"),
    ]


def test_a_ticket_on_a_boat_means_the_engine_that_sat_there_that_day():
    tickets = """vessel_id | done_on    | reason
                 V1        | 2020-04-10 | failed
                 V2        | 2020-10-27 | failed"""
    assert lives_from(**MOVES, service_tickets=tickets) == [
        (0, 100, 100, "failed"),
        (0, 200, 200, "failed"),
        (0, 795, None, "running"),
    ]


def test_on_the_day_an_engine_moves_it_belongs_to_the_new_boat():
    with bench_from(**MOVES) as bench:
        assert [
            (boat, str(first), str(last))
            for boat, first, last in bench.frame("select vessel_id, from_on, to_on from derived.engine_places order by from_on").rows()
        ] == [
            ("V1", "2020-01-01", "2020-07-19"),
            ("V2", "2020-07-19", "None"),
        ]


def test_a_twins_ticket_finds_its_engine_by_place():
    tickets = """vessel_id | place     | done_on    | reason
                 V1        | starboard | 2020-04-10 | failed"""
    assert lives_from(**TWIN, service_tickets=tickets) == [(0, 1095, None, "running"), (0, 100, 100, "failed"), (0, 995, None, "running")]


def test_a_twins_ticket_without_a_place_waits():
    tickets = """vessel_id | done_on    | reason
                 V1        | 2020-04-10 | failed"""
    with bench_from(**TWIN, service_tickets=tickets) as bench:
        assert lives_in(bench) == [(0, 1095, None, "running"), (0, 1095, None, "running")]
        assert left_out_of(bench) == ["the boat has several engines and the ticket does not say which"]


READ_APART = TWIN | {
    "hour_readings": """engine_id | read_on    | meter_h
                        E1        | 2020-04-01 | 91
                        E2        | 2020-04-01 | 182
                        E1        | 2020-05-01 | 121
                        E2        | 2020-05-01 | 242
                        E1        | 2022-12-31 | 1095
                        E2        | 2022-12-31 | 2190"""
}


def engine_told_by_a_meter(meter_h: float, **tables: str) -> str | None:
    tickets = f"""vessel_id | done_on    | reason | meter_h
                  V1        | 2020-04-10 | failed | {meter_h}"""
    with bench_from(**READ_APART | tables, service_tickets=tickets) as bench:
        failed = bench.frame("select engine_id from derived.lives where ending = 'failed'")
        assert left_out_of(bench) == ([] if failed.height else ["the boat has several engines and the ticket does not say which"])
        return failed["engine_id"][0] if failed.height else None


def test_a_twins_ticket_is_of_the_engine_whose_meter_it_shows():
    assert engine_told_by_a_meter(100) == "E1"
    assert engine_told_by_a_meter(200) == "E2"


def test_a_meter_that_no_engine_aboard_shows_tells_nothing():
    assert engine_told_by_a_meter(150) is None
    assert engine_told_by_a_meter(1000) is None


def test_a_meter_that_both_engines_may_show_tells_nothing():
    alike = READ_APART["hour_readings"].replace("182", "95").replace("242", "125")
    assert engine_told_by_a_meter(100, hour_readings=alike) is None


def test_a_meter_tells_nothing_where_an_engine_was_not_read_around_that_day():
    unread = """engine_id | read_on    | meter_h
                E1        | 2020-04-01 | 91
                E1        | 2020-05-01 | 121
                E2        | 2022-12-31 | 2190"""
    assert engine_told_by_a_meter(100, hour_readings=unread) is None


def test_a_ticket_of_a_twin_for_a_part_of_the_boat_needs_no_engine():
    tickets = """vessel_id | component     | done_on    | reason
                 V1        | start battery | 2020-04-10 | failed"""
    with bench_from(**TWIN, fitted="component\nstart battery", service_tickets=tickets) as bench:
        assert bench.frame("select ending, round(low_months, 2) from derived.lives order by began_on").row(0) == ("failed", 3.29)


def test_a_word_that_nobody_has_coded_makes_no_life_and_is_counted():
    for component, action, reason in (
        ("uncoded", "renew", "its component word is not coded yet"),
        ("impeller", "uncoded", "its action word is not coded yet"),
    ):
        tickets = f"""component   | action   | done_on
                      {component} | {action} | 2020-04-10"""
        with bench_from(service_tickets=tickets) as bench:
            assert lives_in(bench) == [(0, 1095, None, "running")]
            assert left_out_of(bench) == [reason]


def test_a_record_about_an_engine_or_boat_that_is_in_no_list_is_counted():
    with bench_from(
        service_tickets="""engine_id | done_on
                           E9        | 2020-04-10""",
        rescue_calls="""vessel_id | called_at
                        V9        | 2020-04-10""",
    ) as bench:
        assert left_out_of(bench) == ["its engine or boat is not in the lists", "the boat of this call is not in the lists"]


def test_a_ticket_dated_after_its_engine_left_is_counted():
    with bench_from(
        engines="""engine_id | vessel_id | drive    | fuel   | commissioned_on | withdrawn_on
                   E1        | V1        | outboard | petrol | 2020-01-01      | 2020-07-19""",
        service_tickets="""done_on    | reason
                           2021-01-01 | failed""",
    ) as bench:
        assert lives_in(bench) == [(0, 200, None, "withdrawn")]
        assert left_out_of(bench) == ["it is dated after its engine or boat left the fleet"]


def test_what_is_fitted_now_is_known_also_where_its_life_is_not():
    old = """engine_id | vessel_id | drive    | fuel   | commissioned_on
             E1        | V1        | outboard | petrol | 2015-01-01"""
    with bench_from(engines=old, vessels="vessel_id | tickets_from_on\nV1 | 2020-01-01") as bench:
        assert bench.frame("select fitted_on, age_h, down from derived.fitted_now").row(0) == (None, None, False)
    with bench_from(
        service_tickets="""done_on    | reason
                           2022-12-31 | planned"""
    ) as bench:
        assert bench.frame("select cast(fitted_on as varchar), age_h, down from derived.fitted_now").row(0) == ("2022-12-31", 0, False)
