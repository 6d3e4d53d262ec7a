import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.intake.names import fold, squash, tidy
from pipelines.terms.tables import RECORD_KINDS


@pytest.mark.parametrize("name", ["meter_h", "Meter (h)", " METER-H ", "meterH", "ｍｅｔｅｒ　ｈ"])
def test_a_column_name_is_its_letters_and_digits(name):
    assert squash(name) == "meterh"


@pytest.mark.parametrize("kind", RECORD_KINDS)
def test_no_two_columns_of_a_kind_have_one_name(kind):
    names = RECORD_KINDS[kind].column_names
    assert len({squash(name) for name in names}) == len(names)


@pytest.mark.parametrize(
    ("word", "folded"),
    [
        ("Raw-Water  Pump_Imp.", "raw water pump imp"),
        ("won’t START", "wont start"),
        ("R/R", "r r"),
        ("?", "?"),
        (" -- ", "--"),
        ("Größe", "grösse"),
    ],
)
def test_a_word_is_folded_but_never_to_nothing(word, folded):
    assert fold(word) == folded


@pytest.mark.parametrize(("name", "tidied"), [("Fuel Source", "fuel_source"), (" % used ", "used"), ("Größe (m)", "grösse_m"), ("--", "")])
def test_a_column_of_the_fleets_own_has_a_plain_name(name, tidied):
    assert tidy(name) == tidied


@given(st.text(max_size=20))
def test_folding_twice_is_folding_once(word):
    assert fold(fold(word)) == fold(word)
