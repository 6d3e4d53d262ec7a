"""Writing down one ticket or one call: few fields first, large enough for wet hands, the boat's last jobs beside them.

In: what a person picks and types. Out: one row in the ledger, said back, with a way to take it back at once.
A form has a number of its own; a second touch on its button writes nothing.
Elsewhere: what contradicts the records (`sentences.by_hand`), keeping it (`readings`).
"""

import secrets
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

import polars as pl
import streamlit as st

from dashboard import changes, readings
from dashboard.controls.address import from_address, to_address
from dashboard.controls.boats import boat_links, pick_boat
from dashboard.controls.fields import Fields
from dashboard.readings import Boat, TowlessError
from dashboard.sentences.boat import last_jobs, who_it_is
from dashboard.sentences.by_hand import contradictions, reading_words, written_words
from dashboard.sentences.plain import literal

TOUCH = Path(__file__).with_name("touch.css")
KINDS = {"service_tickets": "a job done", "rescue_calls": "a call for help"}
FORM, WRITTEN, NAME = "form now open", "written on the form", "who writes"
LAST_JOBS = 8


def by_hand_form() -> None:
    """Show the form, or what was written on it."""
    st.html(TOUCH)
    with st.container(key="wet-hands"):
        number = st.session_state.setdefault(FORM, secrets.token_hex(4))
        if (written := st.session_state.get(WRITTEN)) and written["number"] == number:
            _said_back(written)
            return
        key = from_address("write", KINDS)
        st.session_state.setdefault(key, "service_tickets")
        kind = st.segmented_control("Write down", list(KINDS), required=True, format_func=KINDS.__getitem__, key=key, **to_address("write"))
        boats = readings.boats()
        vessel_id = pick_boat(boats.filter(pl.col("withdrawn_on").is_null()), label="Which boat?")
        if vessel_id is None:
            st.info(
                "Pick the boat: type part of its number or name."
                if boats.height
                else "No boat is known yet: take in a list of boats first."
            )
            return
        boat = readings.boat(vessel_id)
        form, beside = st.columns([3, 2], gap="large")
        with beside:
            _beside(boat)
        with form:
            _form(kind or "service_tickets", boat, number)


def _beside(boat: Boat) -> None:
    st.markdown("**Last jobs on this boat**")
    jobs = last_jobs(boat.events, LAST_JOBS)
    st.markdown("\n".join(f"- {job}" for job in jobs) if jobs else "Nothing was written down of it yet.")
    st.caption(who_it_is(boat.about, boat.engines))
    boat_links([boat.about["vessel_id"]])


def _form(kind: str, boat: Boat, number: str) -> None:
    fields = Fields(number, readings.pick_lists(boat.about["vessel_id"]))
    engines = boat.engines.filter(pl.col("to_on").is_null())
    row = _ticket(fields, engines, number) if kind == "service_tickets" else _call(fields, engines, number)
    row["vessel_id"] = boat.about["vessel_id"]
    by = st.text_input("Who writes this?", key=NAME)
    faults = _faults(row, engines)
    for fault in faults:
        st.warning(literal(fault))
    looked = not faults or st.checkbox("I have looked at this: write it down all the same", key=f"{number} looked")
    if st.button("Write it down", type="primary", width="stretch", key=f"{number} save") and looked:
        _save(kind, row, by, number)


def _ticket(fields: Fields, engines: pl.DataFrame, number: str) -> dict[str, Any]:
    row: dict[str, Any] = {"ticket_id": f"hand-{number}", "line_no": "1", "engine_id": fields.engine(engines)}
    row["component"] = fields.pick("component", "Which part?")
    row["action"] = fields.touch("action", "What was done?")
    row["reason"] = fields.touch("reason", "Why?")
    row["finding"] = fields.touch("finding", "What was found?")
    row["done_on"], row["meter_h"] = fields.day_and_meter("When?")
    _meter_words(row["engine_id"], row["done_on"])
    with st.expander("More, if you know it"):
        row["cause"] = fields.pick("cause", "Why did it fail?")
        row["position"] = fields.text("position", "Which of several? (fore, aft, port …)")
        row["labour_h"] = fields.number("labour_h", "Labour, hours")
        row["parts_cost"] = fields.number("parts_cost", "Parts, money")
        row["batch"] = fields.text("batch", "Batch or number of the part")
        row["notes"] = fields.text("notes", "Anything else")
    row["done_by"] = st.session_state.get(NAME) or None
    return row


def _call(fields: Fields, engines: pl.DataFrame, number: str) -> dict[str, Any]:
    row: dict[str, Any] = {"call_id": f"hand-{number}", "engine_id": fields.engine(engines)}
    row["symptom"] = fields.pick("symptom", "What does the caller say?")
    row["outcome"] = fields.touch("outcome", "How did it end?")
    on, row["meter_h"] = fields.day_and_meter("Which day?")
    row["called_at"] = datetime.combine(on, fields.clock("At what time?") or time()) if on else None
    _meter_words(row["engine_id"], on)
    with st.expander("More, if you know it"):
        row["cause"] = fields.pick("cause", "What was the cause?")
        row["component"] = fields.pick("component", "Which part?")
        row["downtime_h"] = fields.number("downtime_h", "Boat out of use, hours")
        row["cost"] = fields.number("cost", "Cost: tow, refund, lost hire")
        row["notes"] = fields.text("notes", "What was said")
    return row


def _meter_words(engine_id: str | None, on: date | None) -> None:
    if engine_id and on:
        st.caption(reading_words(readings.last_reading(engine_id, on), on))


def _faults(row: dict[str, Any], engines: pl.DataFrame) -> list[str]:
    on = row.get("done_on") or (row["called_at"].date() if row.get("called_at") else None)
    last = readings.last_reading(row["engine_id"], on) if row["engine_id"] and on else None
    began = dict(engines.select("engine_id", "commissioned_on").iter_rows()).get(row["engine_id"])
    return contradictions(row, last, began, date.today())


def _save(kind: str, row: dict[str, Any], by: str, number: str) -> None:
    try:
        written = changes.write_down(kind, row, by)
        st.session_state[WRITTEN] = {
            "number": number,
            "what": written,
            "said": written_words(kind, row, by),
            "by": by,
            "boat": row["vessel_id"],
        }
    except TowlessError as refusal:
        st.warning(literal(refusal))
        return
    st.rerun()


def _said_back(written: dict[str, Any]) -> None:
    if written.get("taken back"):
        st.info("Taken back: it is out of every count, and kept in the history of the records.")
    else:
        st.success(written["said"])
        st.caption("It is safe. Every figure is being made anew from it and follows in a moment.")
        boat_links([written["boat"]])
        if st.button("Take it back", width="stretch", key=f"{written['number']} back"):
            changes.take_back(written["what"], written["by"])
            written["taken back"] = True
            st.rerun()
    if st.button("Write down another", type="primary", width="stretch", key=f"{written['number']} another"):
        del st.session_state[FORM]
        st.rerun()
