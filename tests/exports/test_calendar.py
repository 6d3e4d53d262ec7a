"""The calendar file is read back by another program's reader of RFC 5545 (the library icalendar) as it was meant."""

from datetime import date, timedelta

import polars as pl
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar

from pipelines.exports.answer import Answer
from pipelines.exports.calendar import calendar

TODAY = date(2026, 6, 1)
ROW = {
    "vessel_id": "Reed 4",
    "engine_id": "E7",
    "component": "drive belt",
    "position": "port",
    "task": "renew",
    "due_on": TODAY + timedelta(days=10),
    "overdue": False,
    "deferred_until": None,
    "because": "To be renewed every 200 h; 180 h, 20 h left.",
    "caution": "Engine stopped, key out.",
}
SCHEMA = {"deferred_until": pl.Date, "due_on": pl.Date, "engine_id": pl.String, "position": pl.String}


def events(*rows: dict) -> list:
    text = calendar(Answer({"as_of": TODAY}, pl.DataFrame(rows, schema_overrides=SCHEMA)))
    read = Calendar.from_ical(text)
    assert read["VERSION"] == "2.0"
    assert not read.errors
    assert all(not event.errors for event in read.walk("VEVENT"))
    return list(read.walk("VEVENT"))


def test_a_task_is_an_all_day_event_with_what_where_why_and_its_caution():
    (event,) = events(ROW)
    assert (event["DTSTART"].dt, event["DTEND"].dt) == (ROW["due_on"], ROW["due_on"] + timedelta(days=1))
    assert str(event["SUMMARY"]) == "Reed 4 E7: renew drive belt port"
    assert str(event["DESCRIPTION"]).splitlines() == [ROW["because"], ROW["caution"]]


def test_an_overdue_task_stands_on_the_day_of_the_list_and_says_since_when():
    (event,) = events(ROW | {"due_on": TODAY - timedelta(days=9), "overdue": True})
    assert event["DTSTART"].dt == TODAY
    assert str(event["SUMMARY"]).endswith("overdue since 2026-05-23")


def test_a_task_that_is_put_off_stands_on_its_day():
    (event,) = events(ROW | {"due_on": TODAY - timedelta(days=9), "deferred_until": TODAY + timedelta(days=20)})
    assert event["DTSTART"].dt == TODAY + timedelta(days=20)


def test_a_put_off_that_is_over_stands_where_any_overdue_task_does():
    (event,) = events(ROW | {"due_on": TODAY - timedelta(days=9), "overdue": True, "deferred_until": TODAY - timedelta(days=2)})
    assert event["DTSTART"].dt == TODAY


def test_a_task_without_a_day_is_no_event():
    assert events(ROW | {"due_on": None}) == []


def test_two_tasks_have_two_names_and_a_task_keeps_its_own_from_day_to_day():
    names = [str(event["UID"]) for event in events(ROW, ROW | {"position": "starboard"})]
    assert len(set(names)) == 2
    assert str(events(ROW | {"due_on": TODAY})[0]["UID"]) == names[0]


WORDS = st.text(st.characters(blacklist_categories=("Cs", "Cc")), min_size=1, max_size=120)


@settings(deadline=None, derandomize=True, max_examples=60)
@given(WORDS, WORDS)
def test_any_words_of_the_records_come_back_as_they_were(boat: str, caution: str):
    (event,) = events(ROW | {"vessel_id": boat, "caution": caution})
    assert str(event["SUMMARY"]) == f"{boat} E7: renew drive belt port"
    assert str(event["DESCRIPTION"]) == f"{ROW['because']}\n{caution}"


@settings(deadline=None, derandomize=True, max_examples=60)
@given(WORDS)
def test_no_line_is_longer_than_75_octets(boat: str):
    """RFC 5545, section 3.1."""
    text = calendar(Answer({"as_of": TODAY}, pl.DataFrame([ROW | {"vessel_id": boat}], schema_overrides=SCHEMA)))
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))
