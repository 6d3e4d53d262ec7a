"""The page of what was found, and the field on every other page that leads to it."""

from pathlib import Path

import polars as pl
import pytest

from dashboard import readings
from dashboard.sentences.finding import found_words, lead_of, thing_words
from tests.support.screens import open_screen, run, showing, words

BOAT = {"found": "boat", "id": "V7", "label": "V7 Grey Heron", "met_by": "id", "vessel_id": "V7", "component": None, "on": None}


def links(page) -> list[tuple[str, str]]:
    return [(link.proto.page, link.proto.query_string) for link in page.get("page_link")]


def test_a_boat_is_one_touch_away(small_ledger: Path):
    page = open_screen("find", small_ledger, {"words": "v02"})
    assert not page.exception
    assert "1 boat" in words(page)
    assert any("one-boat" in place and query == "boat=V02" for place, query in links(page))


def test_a_part_leads_to_how_long_it_lasts(small_ledger: Path):
    page = open_screen("find", small_ledger, {"words": "impeller"})
    assert any("how-long" in place and "component=raw-water+pump+impeller" in query for place, query in links(page))


def test_what_nothing_goes_by_is_said(small_ledger: Path):
    page = open_screen("find", small_ledger, {"words": "zeppelin"})
    assert not page.exception
    assert "Nothing goes by zeppelin" in words(page)
    assert not links(page)


def test_without_words_the_page_says_what_can_be_found(small_ledger: Path):
    page = open_screen("find", small_ledger)
    assert not page.exception
    assert "Type a boat's number or name" in words(page)


@pytest.mark.parametrize("screen", ["this_week", "records", "what_is_due"])
def test_words_typed_on_a_page_lead_to_what_was_found(small_ledger: Path, screen: str):
    page = open_screen(screen, small_ledger)
    page.text_input("find anywhere").set_value("v02")
    page = run(page, small_ledger)
    assert not page.exception
    assert page.title[0].value == "Find"
    assert page.query_params["words"] == ["v02"] or page.query_params["words"] == "v02"


@pytest.mark.parametrize("typed", ["![x](http://far.example/a.png)", "<img src=x>", ":material/bolt:", "a\u202eb"])
def test_hostile_words_are_shown_as_words(small_ledger: Path, typed: str):
    page = open_screen("find", small_ledger, {"words": typed})
    assert not page.exception
    assert "![x]" not in words(page)


def test_a_near_word_is_said_to_be_one():
    told = found_words("impelar", {"near": "impeller", "counts": {"part": 1}})
    assert told == "Nothing goes by impelar; this is what goes by the near word **impeller**. 1 part."


def test_each_thing_leads_to_its_page():
    call = BOAT | {"found": "call", "id": "C9", "label": "![x](http://far.example)", "met_by": "note"}
    assert lead_of(BOAT).address == {"boat": "V7"}
    assert lead_of(call).address == {"boat": "V7", "record": "C9"}
    assert lead_of(BOAT | {"found": "engine", "id": "E7"}).address == {"boat": "V7", "engine": "engine E7"}
    assert lead_of(BOAT | {"found": "stocked part", "id": "P1"}).screen == "what_to_stock"
    assert lead_of(call | {"vessel_id": None}).screen == "records"
    assert "![x]" not in thing_words(call)


def test_a_ticket_that_was_found_stands_on_the_page_of_its_boat(small_ledger: Path):
    with showing(small_ledger):
        events = readings.boat("V02").events
    asked = events.filter(pl.col("lane") != "called").row(0, named=True)
    page = open_screen("one_boat", small_ledger, {"boat": "V02", "record": asked["record_id"]})
    assert not page.exception
    assert asked["record_id"] in page.info[0].value.replace("\\", "")
    assert not open_screen("one_boat", small_ledger, {"boat": "V02", "record": "none"}).info
