import pytest

from pipelines.errors import UnknownKind, UnknownWord, WrongMapping
from pipelines.intake.mapping import Mapping, mapping_from
from pipelines.intake.recognise import Fit, known_names, recognise
from pipelines.terms.tables import RECORD_KINDS


def fit(*header: str, mapping: str = "", as_kind: str = "") -> Fit:
    return recognise(header, mapping_from(mapping), "a.csv", "a.csv", as_kind)


@pytest.mark.parametrize("kind", RECORD_KINDS)
def test_each_kind_is_known_by_its_own_columns(kind):
    assert fit(*RECORD_KINDS[kind].column_names).kind.name == kind


@pytest.mark.parametrize("kind", sorted(set(RECORD_KINDS) - {"fitted"}))
def test_each_kind_is_known_by_its_required_columns_and_one_more(kind):
    declared = RECORD_KINDS[kind]
    required = [column.name for column in declared.columns if column.required]
    tells = [name for name in declared.column_names if sum(name in other.column_names for other in RECORD_KINDS.values()) == 1]
    needed = ["engine_id"] if kind == "service_tickets" else []
    assert fit(*dict.fromkeys([*required, *needed, *tells[:1]])).kind.name == kind


def test_case_spaces_and_punctuation_of_names_do_not_matter():
    assert fit("Engine ID", "READ-ON", " meter (h) ", "MeterChanged").targets == ("engine_id", "read_on", "meter_h", "meter_changed")


def test_columns_that_are_not_ours_are_kept_as_the_fleets_own():
    assert fit("vessel_id", "water", "Mooring").targets == ("vessel_id", "water", "")


def test_a_mapping_renames_columns_before_the_kind_is_told():
    assert (
        fit("Boat", "When", "Trouble", mapping='[columns]\nBoat="vessel_id"\n[kind.rescue_calls.columns]\nWhen="called_at"').kind.name
        == "rescue_calls"
    )


def test_a_mapping_may_set_one_of_our_names_aside():
    assert fit("vessel_id", "name", "base", mapping='[columns]\nbase=""').targets == ("vessel_id", "name", "")


def test_a_constant_stands_for_a_required_column():
    assert fit("component", "every_h", "adopted_by", mapping='[constants]\ntask="renew"').kind.name == "plan"
    assert fit("component", "max_h", mapping='[constants]\ntask="renew"').kind.name == "limits"


def test_the_kind_a_person_names_is_believed():
    assert fit("component", "engine_model", as_kind="plan").kind.name == "plan"
    assert fit("component", mapping='[file."a*"]\nas="fitted"').kind.name == "fitted"


def test_a_missing_required_column_is_named_with_the_nearest_kind():
    with pytest.raises(
        UnknownKind, match=r"nearest is hour_readings: read_on is missing. Its columns are engine_id, Day, meter_h, meter_changed"
    ):
        fit("engine_id", "Day", "meter_h", "meter_changed")


def test_calls_with_a_date_named_otherwise_are_not_taken_for_boats():
    """A boat needs nothing but its id, so any table of boats and something would pass for a list of boats."""
    with pytest.raises(UnknownKind, match="nearest is rescue_calls: called_at is missing"):
        fit("vessel_id", "symptom", "Date")


def test_tickets_without_engine_and_boat_are_not_tickets():
    with pytest.raises(UnknownKind, match="engine_id or vessel_id is missing"):
        fit("ticket_id", "done_on", "component", "action")


def test_a_kind_that_is_named_must_still_have_its_columns():
    with pytest.raises(UnknownKind, match="not trips: out_at is missing"):
        fit("vessel_id", "name", as_kind="trips")


def test_columns_that_nobody_knows_are_shown():
    with pytest.raises(UnknownKind, match=r"none of its columns is known. Its columns are alpha, beta\."):
        fit("alpha", "beta")


def test_a_table_without_names_says_so():
    with pytest.raises(UnknownKind, match="It has no column names"):
        fit("", "")


def test_columns_that_fit_two_kinds_alike_ask_which():
    with pytest.raises(UnknownKind, match="fit fitted and plan alike"):
        fit("component", "engine_model")


def test_a_kind_that_does_not_exist_is_refused():
    with pytest.raises(UnknownWord, match="--as boats: not a record kind"):
        fit("vessel_id", as_kind="boats")


def test_two_columns_that_are_one_of_ours_are_refused():
    with pytest.raises(WrongMapping, match="'Meter H' and 'meter_h' are both meter_h"):
        fit("engine_id", "read_on", "Meter H", "meter_h")


def test_a_date_and_a_clock_may_make_one_moment():
    mapping = '[kind.rescue_calls.columns]\nDate="called_at"\nTime="called_at"'
    assert fit("vessel_id", "Date", "Time", "symptom", mapping=mapping).targets == ("vessel_id", "called_at", "called_at", "symptom")


def test_known_names_are_counted_for_the_kind_that_knows_most():
    assert known_names(["Engine ID", None, "read_on", "Remarks"], Mapping(), "a.csv") == 2
    assert known_names([None, ""], Mapping(), "a.csv") == 0
