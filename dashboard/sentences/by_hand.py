"""The form for one ticket or call, in the words people say: what is asked, what contradicts the records, what was written.

In: codes, the values of the form, what the records know of the engine. Out: text; Markdown where it says so.
Elsewhere: the values themselves (`flow.by_hand`), the form (`controls.by_hand`).
"""

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

from dashboard.sentences.plain import day, figure, literal

SAID = {
    "planned": "it was due",
    "condition": "it looked bad",
    "failed": "it had failed",
    "opportunistic": "while we were in there",
    "fit": "fitted, first time",
    "renew": "renewed",
    "inspect": "looked at",
    "test": "tested",
    "clean": "cleaned",
    "adjust": "adjusted",
    "repair": "repaired",
    "top up": "topped up",
    "outside damage": "damaged from outside",
    "returned alone": "came back alone",
}
"""Codes that people say otherwise."""

MOST_A_DAY = 24.0
A_YEAR = timedelta(days=365)
TOLERANCE_H = 0.5


def said(code: str, column: str = "") -> str:
    """Return a code as people say it; a part that failed is found failed, and changed because it had failed."""
    return "failed" if (code, column) == ("failed", "finding") else SAID.get(code, code)


def offered(code: str, words: str) -> str:
    """Return how a code stands in a list to pick from: with the words people use for it, so that any of them finds it."""
    return f"{code} ({words})" if words else code


def reading_words(last: Any, on: date) -> str:
    """Say what the meter showed last and what it should show, as Markdown; `last` is a `LastReading` or `None`."""
    if last is None:
        return "This meter was never read before."
    expected = f" On {day(on)} it should show about **{figure(last.expected_h)} h**." if last.expected_h is not None else ""
    return f"Last read **{figure(last.meter_h)} h** on {day(last.read_on)}.{expected if on > last.read_on else ''}"


def contradictions(row: Mapping[str, Any], last: Any, commissioned_on: date | None, today: date) -> list[str]:
    """Say what in a form contradicts the records or itself; empty: nothing.

    Parameters
    ----------
    row
        Values of the form; done_on or the day of called_at, meter_h, reason, finding, action are looked at.
    last
        The engine's `LastReading`; `None`: it was never read.
    commissioned_on
        First day of the engine; `None`: not known, or no engine is named.
    today
        The day of writing.
    """
    on = _day_of(row)
    told = [*_of_day(on, commissioned_on, today), *_of_meter(row.get("meter_h"), on, last)]
    if row.get("finding") == "sound" and row.get("reason") == "failed":
        told.append("It says that the part had failed and was found sound. Which is it?")
    if row.get("finding") == "failed" and row.get("reason") == "planned":
        told.append("It was due and found failed: it will count as found failed.")
    return told


def _day_of(row: Mapping[str, Any]) -> date | None:
    called = row.get("called_at")
    return row.get("done_on") or (called.date() if called else None)


def _of_day(on: date | None, commissioned_on: date | None, today: date) -> list[str]:
    if on is None:
        return []
    told = [f"{day(on)} lies ahead: give the day on which it happened."] if on > today else []
    told += [f"{day(on)} is more than a year ago. Is the year right?"] if on < today - A_YEAR else []
    return told + (
        [f"The engine was commissioned on {day(commissioned_on)}, after this."] if commissioned_on and on < commissioned_on else []
    )


def _of_meter(meter_h: float | None, on: date | None, last: Any) -> list[str]:
    if meter_h is None or last is None or on is None:
        return []
    read = f"{figure(last.meter_h)} h on {day(last.read_on)}"
    if on >= last.read_on and meter_h < last.meter_h - TOLERANCE_H:
        return [f"{figure(meter_h)} h is less than the last reading, {read}. Was the meter changed, or is a figure missing?"]
    if on < last.read_on and meter_h > last.meter_h + TOLERANCE_H:
        return [f"{figure(meter_h)} h is more than the meter showed later, {read}."]
    days = (on - last.read_on).days
    if days >= 0 and meter_h - last.meter_h > MOST_A_DAY * (days + 1):
        return [f"{figure(meter_h)} h is more than the engine can have run since the last reading, {read}. Is a decimal point missing?"]
    return []


def written_words(kind: str, row: Mapping[str, Any], by: str) -> str:
    """Say what was written down, as Markdown."""
    boat = literal(row.get("vessel_id") or row.get("engine_id"))
    if kind == "rescue_calls":
        told = [literal(row["symptom"])] if row.get("symptom") else ["no symptom given"]
        told += [literal(said(row["outcome"]))] if row.get("outcome") else []
        return f"**Written down:** call of boat {boat} on {day(row['called_at'].date())}: {', '.join(told)}. By {literal(by)}."
    meter = f" at {figure(row['meter_h'])} h" if row.get("meter_h") is not None else ""
    told = [
        f"{literal(row['component'])} {said(row['action'])}",
        *(literal(said(row[name], name)) for name in ("reason", "finding") if row.get(name)),
    ]
    return f"**Written down:** boat {boat}, {day(row['done_on'])}{meter}: {', '.join(told)}. By {literal(by)}."
