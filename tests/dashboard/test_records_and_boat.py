"""Records and One boat with invented figures: every view, what is offered, what is kept, what is refused."""

from pathlib import Path
from typing import Any

import pytest

from pipelines.flow import boat, by_hand, coding_queue, mending, pairs, settling
from pipelines.flow.by_hand import Written
from pipelines.flow.settling import Pair, RowCode, Word
from tests.dashboard import invented_boat
from tests.support.screens import open_screen, pictures, run, words

VIEWS = ("account", "take-in", "by-hand", "left-out", "words", "pairs")
FORM = {"view": "by-hand", "boat": "14"}


def press(page: Any, label: str) -> None:
    """Press the first button of that label."""
    next(button for button in page.button if button.label == label).click()


@pytest.mark.parametrize("view", VIEWS)
def test_every_view_of_records_opens_by_its_link(view: str, invented_flow: Path):
    page = open_screen("records", invented_flow, {"view": view})
    assert not page.exception
    assert "As of 30 Sep 2025" in words(page)


def test_one_boat_opens_by_its_link_and_says_how_it_stands(invented_flow: Path):
    page = open_screen("one_boat", invented_flow, {"boat": "14"})
    assert not page.exception
    told = words(page)
    assert "1 job is overdue" in told
    assert "2 readings are used, **1 set aside**: 1 not confirmed by a later reading" in told
    assert len(pictures(page)) == 3


def test_a_link_to_a_boat_that_is_not_there_opens_the_first(invented_flow: Path):
    page = open_screen("one_boat", invented_flow, {"boat": "nobody"})
    assert not page.exception
    assert "14 Plover" in words(page)


def test_without_any_boat_the_page_says_what_it_needs(invented_flow: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(boat, "boats", lambda *_: invented_boat.boats().head(0))
    page = open_screen("one_boat", invented_flow)
    assert not page.exception
    assert "take in a list of boats" in words(page)


def filled(page: Any, ledger: Path) -> Any:
    """Fill in the few fields that a ticket needs."""
    part = next(box for box in page.selectbox if box.label == "Which part?")
    part.set_value("thermostat")
    next(group for group in page.pills if group.label == "What was done?").set_value("renew")
    next(field for field in page.text_input if field.label == "Who writes this?").set_value("van 2")
    return run(page, ledger)


def test_a_ticket_is_written_down_said_back_and_taken_back(invented_flow: Path, monkeypatch: pytest.MonkeyPatch):
    kept: list[Any] = []

    def write_down(_: Path, kind: str, row: dict, by: str, *__: Any, kept: Any = None, log: list = kept) -> None:
        log.append((kind, row, by))
        kept(Written(5, 9))

    def take_back(_: Path, written: Written, by: str, *__: Any, kept: Any = None, log: list = kept) -> None:
        log.append(("back", written.import_id, by))
        kept(written)

    monkeypatch.setattr(by_hand, "write_down", write_down)
    monkeypatch.setattr(by_hand, "take_back", take_back)
    page = filled(open_screen("records", invented_flow, FORM), invented_flow)
    press(page, "Write it down")
    page = run(page, invented_flow)
    assert not page.exception
    (kind, row, by), *rest = kept
    assert (kind, row["vessel_id"], row["engine_id"], row["component"], row["action"], by) == (
        "service_tickets",
        "14",
        "E1",
        "thermostat",
        "renew",
        "van 2",
    )
    assert rest == []
    assert "**Written down:** boat 14" in page.success[0].value
    press(page, "Take it back")
    page = run(page, invented_flow)
    assert kept[-1] == ("back", 5, "van 2")
    assert "Taken back" in words(page)
    press(page, "Write down another")
    assert "Write it down" in [button.label for button in run(page, invented_flow).button]


def test_what_contradicts_the_meter_must_be_looked_at_before_it_is_kept(invented_flow: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(by_hand, "write_down", lambda *_, **__: pytest.fail("kept"))
    page = filled(open_screen("records", invented_flow, FORM), invented_flow)
    next(field for field in page.number_input if field.label == "Meter shows, hours").set_value(12.0)
    page = run(page, invented_flow)
    assert "less than the last reading" in page.warning[0].value
    press(page, "Write it down")
    page = run(page, invented_flow)
    assert not page.success
    assert "I have looked at this: write it down all the same" in [box.label for box in page.checkbox]


def test_a_call_is_asked_for_in_the_callers_words(invented_flow: Path):
    page = open_screen("records", invented_flow, {**FORM, "write": "rescue_calls"})
    said = next(box for box in page.selectbox if box.label == "What does the caller say?")
    assert said.options == ["overheats (steam, hot)"]


def settled_by(page: Any, name: str) -> None:
    next(field for field in page.text_input if field.label == "Settled by").set_value(name)


@pytest.fixture
def settled(monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """What pages settle, kept nowhere else."""
    log: list[Any] = []

    def settle(_: Path, what: list, by: str, *__: Any, kept: Any = None) -> None:
        settling.refuse_nothing(what, by)
        log.extend((each, by) for each in what)
        kept(len(what))

    monkeypatch.setattr(settling, "settle", settle)
    return log


def test_a_word_is_settled_once_for_all_rows(invented_flow: Path, settled: list[Any]):
    page = open_screen("records", invented_flow, {"view": "words"})
    settled_by(page, "foreman")
    next(box for box in page.selectbox if box.label == "means").set_value("drive belt")
    press(page, "Settle")
    page = run(page, invented_flow)
    assert settled == [(Word("component", "thingummy", "drive belt"), "foreman")]
    assert "every word of the records has a code" in words(page)


def test_all_suggestions_are_confirmed_at_one_touch(invented_flow: Path, settled: list[Any]):
    page = open_screen("records", invented_flow, {"view": "words"})
    settled_by(page, "foreman")
    next(box for box in page.checkbox if box.key == "all suggestions").set_value(True)
    page = run(page, invented_flow)
    press(page, "Confirm the ticked ones")
    run(page, invented_flow)
    assert settled == [(RowCode("rescue_calls", 5, "cause", "impeller worn"), "foreman")]


@pytest.mark.parametrize(("button", "same"), [("Same breakdown", True), ("Not the same", False)])
def test_a_pair_is_settled_with_a_name(button: str, same: bool, invented_flow: Path, settled: list[Any]):
    page = open_screen("records", invented_flow, {"view": "pairs"})
    press(page, button)
    page = run(page, invented_flow)
    assert "say who says so" in page.warning[0].value
    settled_by(page, "foreman")
    press(page, button)
    page = run(page, invented_flow)
    assert settled == [(Pair(11, 12, same), "foreman")]
    assert "No pair waits" in words(page)


def test_queues_that_are_empty_say_so(invented_flow: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(coding_queue, "queue", lambda *_: {name: rows.head(0) for name, rows in invented_boat.queue().items()})
    monkeypatch.setattr(pairs, "doubtful_pairs", lambda *_: invented_boat.pairs().head(0))
    monkeypatch.setattr(mending, "to_mend", lambda *_: invented_boat.to_mend().head(0))
    told = [words(open_screen("records", invented_flow, {"view": view})) for view in ("words", "pairs", "left-out")]
    assert "None waits to be looked over" in told[0]
    assert "No pair waits" in told[1]
    assert "Nothing was left out" in told[2]


def test_a_row_that_was_left_out_is_shown_cell_by_cell_with_its_reason(invented_flow: Path):
    page = open_screen("records", invented_flow, {"view": "left-out"})
    assert "There is no such day" in words(page).replace("\\", "")
    assert "1 row waits to be put right" in words(page)
