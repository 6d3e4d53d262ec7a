"""What to tell a caller and take along."""

import polars as pl

from dashboard.sentences.call_now import cautions_of, check_lines, in_short, to_bring

ROWS = pl.DataFrame(
    {
        "cause": ["weed in intake", "thermostat stuck", "another known cause", "unknown"],
        "probability": [0.42, 0.08, 0.05, 0.45],
        "check_first": ["Does water run?", "Engine off, open no cap.", "Kill cord on?", "Kill cord on?"],
        "bring": ["Hook, gloves.", "Thermostat, tow line.", "Tow line.", "Tow line."],
        "caution": ["Afloat: lifejacket on.", "Hot: let it cool.", "Afloat: lifejacket on.", "Afloat: lifejacket on."],
    }
)


def test_what_leads_and_what_is_unknown_are_said_with_how_many_calls_it_rests_on():
    said = in_short(ROWS, 31, "overheats")
    assert "**weed in intake** leads with 42 %" in said.replace("\u202f", " ").replace("\u00a0", " ")
    assert "never came to light" in said
    assert "31 calls like it on record" in said


def test_without_a_call_like_it_the_trades_list_is_named():
    assert "the trade's list speaks" in in_short(ROWS, 0, "overheats")


def test_without_a_known_cause_nothing_stands_out():
    assert "Nothing stands out" in in_short(ROWS.tail(1), 0, "precaution")


def test_only_named_causes_are_looked_for_first():
    assert [line.split(" (")[0].replace("\\", "") for line in check_lines(ROWS)] == ["Does water run?", "Engine off, open no cap."]


def test_each_thing_is_brought_once():
    assert to_bring(ROWS) == ["hook", "gloves", "thermostat", "tow line"]


def test_each_caution_stands_once():
    assert len(cautions_of(ROWS)) == 2


def test_markup_in_a_word_is_shown_as_a_word():
    assert "\\*" in in_short(ROWS.with_columns(pl.lit("*loud*").alias("cause")), 3, "overheats")
