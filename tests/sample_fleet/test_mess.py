"""The mess is of the sorts and about as much as it is meant to be, and leaves the rest alone."""

from datetime import date
from functools import lru_cache

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.terms.codes import CODE_LISTS
from sample_fleet.books import call_book
from sample_fleet.chance import Chance
from sample_fleet.mess_calls import messy_calls
from sample_fleet.mess_hours import day_first, decimal_commas, misread
from sample_fleet.mess_tickets import messy_tickets
from sample_fleet.words import NOBODY_KNOWS, YARD_WORDS, slip, written
from tests.sample_fleet.made import SEED, made
from tests.sample_fleet.test_records import calls, tickets


@lru_cache(maxsize=1)
def messy() -> pl.DataFrame:
    return messy_tickets(tickets(), made().fleet, SEED)


@lru_cache(maxsize=1)
def log() -> pl.DataFrame:
    return messy_calls(call_book(calls(), made().where), made().fleet, SEED, date(2024, 4, 1))


@given(st.text("abcdefghij", min_size=7, max_size=20), st.floats(0, 0.999), st.floats(0, 0.999))
def test_a_slip_keeps_the_first_and_last_letter_and_is_one_slip(word, pick, place):
    slipped = slip(word, pick, place)
    assert (slipped[0], slipped[-1]) == (word[0], word[-1])
    assert abs(len(slipped) - len(word)) <= 1


def test_words_are_the_code_a_trade_word_or_one_slip_away():
    codes = pl.Series("component", ["raw-water pump impeller"] * 2000)
    words = written(codes, "component", Chance(1, "test"))
    known = {"raw-water pump impeller", *CODE_LISTS["component"]["raw-water pump impeller"], *YARD_WORDS}
    assert (words == "raw-water pump impeller").mean() == pytest.approx(0.5, abs=0.05)
    assert words.str.to_lowercase().is_in(list(known)).to_numpy().mean() > 0.93
    assert set(YARD_WORDS) & set(words)


def test_what_was_empty_stays_empty():
    assert written(pl.Series("cause", ["", "", ""]), "cause", Chance(1, "test")).to_list() == ["", "", ""]


def test_a_word_nobody_knows_turns_up_now_and_then():
    words = written(pl.Series("component", ["drive belt"] * 3000), "component", Chance(1, "test"), unknown=0.01)
    assert words.is_in(list(NOBODY_KNOWS)).mean() == pytest.approx(0.01, abs=0.006)


def test_a_misread_meter_has_the_same_digits_or_none():
    readings = pl.Series("meter_h", [f"{1234 + number}.5" for number in range(5000)])
    told = misread(readings, Chance(1, "test"), 0.1)
    assert (told == "").mean() == pytest.approx(0.1, abs=0.02)
    changed = [(was, now) for was, now in zip(readings, told, strict=True) if now not in ("", was)]
    assert 20 < len(changed) < 80
    assert all(sorted(was.replace(".", "")) == sorted(now.replace(".", "")) for was, now in changed)


def test_a_decimal_comma_and_a_day_first_date():
    frame = pl.DataFrame({"done_on": ["2024-07-14", "2024-02-30"], "meter_h": ["1243.5", ""]})
    assert day_first(decimal_commas(frame, ("meter_h",)), ("done_on",)).rows() == [("14.07.2024", "1243,5"), ("30.02.2024", "")]


def share(frame: pl.DataFrame, condition: pl.Expr) -> float:
    return frame.select(condition.mean()).item()


def test_some_tickets_of_calls_are_lost_and_all_others_are_there():
    lost = set(tickets()["ticket_id"]) - set(messy()["ticket_id"])
    gone = tickets().filter(pl.col("ticket_id").is_in(list(lost)))
    assert set(gone[".ending"]) == {"called"}
    assert 0 < len(gone) < 0.08 * len(tickets().filter(pl.col(".ending") == "called"))


def test_some_breakdowns_are_booked_as_planned_work():
    clean = tickets().filter(pl.col(".ending") == "called")
    assert set(clean["reason"]) == {"failed"}
    booked = messy().filter(pl.col(".ending") == "called")["reason"].str.to_lowercase()
    planned = {"planned", *CODE_LISTS["reason"]["planned"]}
    assert 0.01 < booked.is_in(list(planned)).to_numpy().mean() < 0.1


def test_a_few_rows_stand_twice_with_the_same_words():
    twice = messy().filter(messy().select("ticket_id", "line_no").is_duplicated()).drop("done_on", "meter_h", "component", "action")
    assert 2 <= len(twice) <= 0.04 * len(messy())
    assert twice.unique().height <= twice.height / 2 + 2


def test_a_few_jobs_were_typed_again_on_a_ticket_of_their_own():
    again = messy().filter(pl.col("ticket_id").str.ends_with("A"))
    assert 2 <= len(again) <= 0.03 * len(messy())
    assert set(again["meter_h"]) <= {"", "-12.5"}


def test_some_tickets_are_dated_when_they_were_typed_but_never_before_the_work():
    days = messy().filter(pl.col("done_on").str.ends_with("-02-30").not_() & pl.col("ticket_id").str.ends_with("A").not_())
    late = days.select((pl.col("done_on").str.to_date() - pl.date(1970, 1, 1)).dt.total_days() - pl.col(".day"))["done_on"].to_numpy()
    assert late.min() == 0
    assert late.max() <= 12
    assert 0.02 < (late > 0).mean() < 0.12


def test_meters_engines_and_findings_are_often_missing():
    assert share(messy(), pl.col("meter_h") == "") > 0.1
    engines = messy().filter(pl.col("component") == "raw-water pump impeller")
    assert 0.1 < share(engines, pl.col("engine_id") == "") < 0.5


def test_a_few_rows_cannot_be_taken_in():
    spoilt = messy().filter(
        (pl.col("component") == "") | (pl.col("action") == "") | (pl.col("meter_h") == "-12.5") | pl.col("done_on").str.ends_with("-02-30")
    )
    assert 1 <= len(spoilt) <= 0.006 * len(messy())


def test_most_calls_never_learn_their_cause():
    unknown = {"", "unknown", *CODE_LISTS["cause"]["unknown"]}
    assert 0.3 < share(log(), pl.col("cause").str.to_lowercase().is_in(list(unknown))) < 0.6


def test_the_coarse_word_comes_with_the_new_word_list():
    coarse = {"mechanical, not further stated", *CODE_LISTS["cause"]["mechanical, not further stated"]}
    word = log().with_columns(coarse=pl.col("cause").str.to_lowercase().is_in(list(coarse)))
    assert share(word.filter(pl.col("called_at") < "2024-04-01"), pl.col("coarse")) == 0
    assert share(word.filter(pl.col("called_at") >= "2024-04-01"), pl.col("coarse")) > 0.05


def test_some_calls_are_logged_twice_within_the_hour():
    again = log().filter(pl.col("call_id").str.ends_with("B"))
    assert 1 <= len(again) <= 0.06 * len(log())
    assert set(again["call_id"].str.strip_suffix("B")) <= set(log()["call_id"])


def test_no_note_holds_a_number_of_a_person_or_a_name():
    notes = [*messy()["notes"], *log()["notes"]]
    assert not any(character.isdigit() for note in notes for character in note)
    assert set(messy()["done_by"]) <= {"bench 1", "bench 2", "bench 3", "bench 4", "van 1", "van 2"}
