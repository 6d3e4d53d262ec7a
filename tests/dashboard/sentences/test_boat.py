"""One boat in sentences, and what the form for a ticket or call says."""

from datetime import date, datetime
from types import SimpleNamespace

import polars as pl
import pytest

from dashboard.sentences.boat import boat_name, event_table, event_words, how_it_stands, part_lines, set_aside_words, who_it_is
from dashboard.sentences.by_hand import contradictions, offered, reading_words, said, written_words

TODAY = date(2026, 5, 20)
LAST = SimpleNamespace(meter_h=1240.5, read_on=date(2026, 5, 1), expected_h=1260.0)
TICKET = {"done_on": date(2026, 5, 18), "meter_h": 1255.0, "component": "thermostat", "action": "renew", "vessel_id": "14"}


def test_a_form_that_fits_the_records_contradicts_nothing():
    assert contradictions(TICKET, LAST, date(2019, 4, 1), TODAY) == []


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"meter_h": 1124.0}, "less than the last reading, 1,240 h on 1 May 2026"),
        ({"meter_h": 12550.0}, "Is a decimal point missing?"),
        ({"done_on": date(2026, 4, 20)}, "more than the meter showed later"),
        ({"done_on": date(2027, 5, 18)}, "lies ahead"),
        ({"done_on": date(2024, 5, 18), "meter_h": None}, "Is the year right?"),
        ({"done_on": date(2019, 3, 1), "meter_h": None}, "commissioned on 1 Apr 2019"),
        ({"finding": "sound", "reason": "failed"}, "Which is it?"),
        ({"finding": "failed", "reason": "planned"}, "count as found failed"),
    ],
)
def test_what_contradicts_the_records_is_said_before_it_is_kept(changed: dict, told: str):
    assert told in " ".join(contradictions({**TICKET, **changed}, LAST, date(2019, 4, 1), TODAY))


def test_a_meter_that_was_never_read_contradicts_nothing():
    assert contradictions(TICKET, None, None, TODAY) == []
    assert reading_words(None, TODAY) == "This meter was never read before."


def test_the_meter_is_told_with_what_it_should_show():
    assert reading_words(LAST, TODAY) == "Last read **1,240 h** on 1 May 2026. On 20 May 2026 it should show about **1,260 h**."


def test_codes_are_said_as_people_say_them():
    assert said("opportunistic") == "while we were in there"
    assert said("worn") == "worn"
    assert offered("propeller", "prop, screw") == "propeller (prop, screw)"


def test_what_was_written_is_said_back_and_stays_text():
    row = {**TICKET, "reason": "failed", "component": "[x](http://far.example)"}
    told = written_words("service_tickets", row, "van 2")
    assert "18 May 2026 at 1,255 h" in told
    assert "](http" not in told
    call = {"vessel_id": "14", "called_at": datetime(2026, 5, 18, 9, 30), "symptom": "overheats", "outcome": "towed"}
    assert written_words("rescue_calls", call, "desk") == "**Written down:** call of boat 14 on 18 May 2026: overheats, towed. By desk."


TOLD = {
    "row_id": 7,
    "lane": "renewed",
    "on_date": date(2024, 5, 1),
    "component": "impeller",
    "position": "port",
    "action": "renew",
    "reason": "planned",
    "finding": "worn",
    "symptom": None,
    "cause": None,
    "outcome": None,
    "engine_id": "E1",
    "meter_h": 120.0,
    "notes": None,
    "record_id": "T1",
    "matched": None,
    "file": "tickets.csv",
    "line": 4,
}


def test_a_ticket_line_and_a_call_are_told_in_a_few_words():
    assert event_words(TOLD) == "impeller port: renew (planned), found worn"
    assert event_words({**TOLD, "lane": "called", "component": None, "symptom": "overheats", "outcome": "towed"}) == "overheats, towed"


def test_the_table_of_a_boat_says_where_each_line_stands():
    row = event_table(pl.DataFrame([TOLD])).row(0, named=True)
    assert (row["record"], row["stands_in"]) == ("ticket", "tickets.csv, line 4")


FITTED = pl.DataFrame(
    {
        "component": ["impeller", "kill switch", "anodes", "wiring"],
        "position": [None] * 4,
        "engine_id": ["E1", None, "E1", None],
        "down": [False, True, False, False],
        "age_h": [250.0, None, 10.0, None],
        "age_months": [3.0, 4.0, 6.0, None],
        "every_h": [200.0, None, None, None],
        "every_months": [12.0, None, None, None],
    }
)
DUE = pl.DataFrame(
    {"component": ["impeller", "anodes"], "overdue": [True, False], "due_on": [date(2024, 1, 1), date(2024, 2, 1)]},
    schema={"component": pl.String, "overdue": pl.Boolean, "due_on": pl.Date},
)


def test_the_age_is_told_on_the_clock_that_is_further():
    assert part_lines(FITTED)["age"].to_list() == ["250 of 200 h", "failed, not renewed", "10 h, 6 months", "age not known"]


def test_how_a_boat_stands_is_told_worst_first():
    told = how_it_stands(FITTED, DUE)
    assert told.index("Kill switch found failed") < told.index("1 job is overdue") < told.index("1 more falls due soon")
    assert how_it_stands(FITTED.head(1), DUE.head(0)) == "**Nothing on it is known to be down or overdue.**"


def test_a_boat_is_named_by_id_and_name_and_told_to_be_gone():
    gone = {"vessel_id": "14", "name": "Plover", "withdrawn_on": date(2022, 1, 1)}
    assert boat_name(gone) == "14 · Plover (withdrawn)"
    assert boat_name({"vessel_id": "14", "name": None, "withdrawn_on": None}) == "14"


def test_a_boat_that_was_never_listed_says_so():
    engines = pl.DataFrame(schema={"to_on": pl.Date})
    about = {"vessel_class": None, "base": None, "listed": False, "withdrawn_on": None}
    assert "not on the list of boats" in who_it_is(about, engines)


def test_readings_set_aside_are_counted_with_their_reasons():
    hours = pl.DataFrame({"used": [True, False, False], "said": ["ticket", "not confirmed", "not confirmed"]})
    assert set_aside_words(hours) == "1 reading is used, **2 set aside**: 2 not confirmed."
    assert set_aside_words(hours.head(1)) == "1 reading is used, none was set aside."
