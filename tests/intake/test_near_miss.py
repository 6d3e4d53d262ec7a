import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.intake.names import fold
from pipelines.intake.near_miss import NearMisses
from pipelines.terms.codes import CODE_LISTS


def near(code_list: str) -> NearMisses:
    return NearMisses({fold(word): code for code, words in CODE_LISTS[code_list].items() for word in (code, *words)})


COMPONENTS = near("component")


@pytest.mark.parametrize(
    ("word", "code"),
    [
        ("impelor", "raw-water pump impeller"),
        ("imppeller", "raw-water pump impeller"),
        ("pump impeller raw water", "raw-water pump impeller"),
        ("rawwater pump impeller", "raw-water pump impeller"),
        ("termostat", "thermostat"),
        ("thermosatt", "thermostat"),
        ("spark plgs", "spark plugs"),
        ("sparkplug", "spark plugs"),
        ("battery start", "start battery"),
        ("bilge pmp", "bilge pump"),
        ("anoeds", "anodes"),
    ],
)
def test_a_slip_of_the_pen_or_another_order_of_words_is_taken(word, code):
    assert COMPONENTS.code_of(fold(word)) == code


@pytest.mark.parametrize("word", ["xx", "imq", "pimp", "impeller kit", "hub", "gearbox oil", "new thing", "oil", "filter 2"])
def test_what_is_further_off_or_too_short_is_not(word):
    assert COMPONENTS.code_of(fold(word)) == ""


@pytest.mark.parametrize(
    ("word", "code_list"), [("unplanned", "reason"), ("un-scheduled", "reason"), ("not sound", "finding"), ("unrepaired", "action")]
)
def test_a_negation_is_no_slip(word, code_list):
    assert near(code_list).code_of(fold(word)) == ""


def test_no_crank_and_cranks_are_not_near_each_other():
    known = {"wont start cranks": "cranks", "wont start no crank": "no crank"}
    assert NearMisses(known).code_of("wont start crank") == "cranks"
    assert NearMisses({"wont start cranks": "cranks"}).code_of("wont start no crank") == ""


def test_a_short_part_of_a_word_cannot_turn_into_another():
    known = NearMisses({"air filter": "air filter"})
    assert known.code_of("oil filter") == ""
    assert known.code_of("air fliter") == "air filter"


def test_a_short_part_of_a_long_name_may_hold_one_slip_if_the_rest_is_right():
    assert COMPONENTS.code_of("engine ol and filter") == "engine oil and filter"
    assert COMPONENTS.code_of("engine air and filter") == ""
    assert COMPONENTS.code_of("engin ol and filter") == ""


def test_another_number_is_another_thing():
    known = NearMisses({"fuel filter1": "one"})
    assert known.code_of("fuel filter2") == ""


def test_a_word_near_two_meanings_is_not_taken():
    known = NearMisses({"port bearing": "port", "part bearing": "part"})
    assert known.code_of("purt bearing") == ""


def test_two_near_words_of_one_meaning_are_one():
    assert NearMisses({"belts": "belt", "belt": "belt"}).code_of("beltt") == "belt"


def test_the_same_letters_outrank_a_slip():
    known = NearMisses({"filter fuel": "one", "fuel filler": "two"})
    assert known.code_of("fuel filter") == "one"


@pytest.mark.parametrize("code_list", CODE_LISTS)
def test_a_swapped_pair_of_letters_in_a_long_word_never_gives_a_wrong_code(code_list):
    """Over all known words: the slip leads back to the word's own code, or nowhere."""
    known = {fold(word): code for code, words in CODE_LISTS[code_list].items() for word in (code, *words)}
    misses = NearMisses(known)
    for word, code in known.items():
        for place in range(len(word) - 1):
            slipped = word[:place] + word[place + 1] + word[place] + word[place + 2 :]
            if slipped not in known and len(word) > 5:
                assert misses.code_of(fold(slipped)) in (code, "")


@given(st.text(max_size=20))
def test_any_word_is_near_at_most_one_code(word):
    assert COMPONENTS.code_of(fold(word)) in {"", *CODE_LISTS["component"]}
