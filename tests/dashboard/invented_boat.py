"""An invented boat and an invented queue, for pages whose figures do not matter."""

from datetime import date, datetime
from typing import Any

import polars as pl

from pipelines.flow.boat import Boat
from pipelines.flow.by_hand import LastReading

TODAY = date(2025, 9, 30)
ABOUT = {"vessel_id": "14", "name": "Plover", "vessel_class": "day boat", "base": "Eelgrass Quay", "withdrawn_on": None, "listed": True}
EVENT: dict[str, Any] = {
    "row_id": 7,
    "record_id": "T1",
    "line_no": "1",
    "on_date": date(2025, 5, 1),
    "at": None,
    "engine_id": "E1",
    "lane": "renewed",
    "component": "raw-water pump impeller",
    "position": None,
    "action": "renew",
    "reason": "planned",
    "finding": "worn",
    "symptom": None,
    "cause": None,
    "outcome": None,
    "meter_h": 1240.5,
    "done_by": "van 2",
    "notes": None,
    "matched": None,
    "file": "tickets.csv",
    "sheet": None,
    "line": 4,
}


def boats() -> pl.DataFrame:
    """Two boats, one of them gone."""
    gone = {**ABOUT, "vessel_id": "9", "name": "Heron", "withdrawn_on": date(2022, 11, 1)}
    return pl.DataFrame([ABOUT, gone], schema_overrides={"withdrawn_on": pl.Date})


def boat() -> Boat:
    """One boat with one engine, a reading set aside, a ticket and a call, and a part past its interval."""
    engine = {"engine_id": "E1", "place": "single", "engine_model": "TP-20", "drive": "outboard", "fuel": "petrol"}
    days = {"commissioned_on": date(2019, 4, 1), "from_on": date(2019, 4, 1), "to_on": None, "hours": 1240.5, "read_on": date(2025, 5, 1)}
    hours = pl.DataFrame(
        {
            "engine_id": ["E1"] * 3,
            "on_date": [date(2024, 5, 1), date(2025, 5, 1), date(2025, 6, 1)],
            "hours": [1000.0, 1240.5, 12412.0],
            "used": [True, True, False],
            "said": ["reading", "ticket", "not confirmed by a later reading"],
            "file": ["hours.csv", "tickets.csv", "hours.csv"],
            "sheet": [None] * 3,
            "line": [2, 4, 9],
            "row_id": [1, 7, 2],
        },
        schema_overrides={"sheet": pl.String},
    )
    call = {**EVENT, "row_id": 8, "record_id": "C1", "lane": "called", "component": None, "action": None, "symptom": "overheats"}
    fitted = {"component": "raw-water pump impeller", "position": None, "engine_id": "E1", "down": False, "age_h": 250.0, "age_months": 5.0}
    against = {"every_h": 200.0, "every_months": 12.0, "used": 1.25}
    due = pl.DataFrame({"component": ["raw-water pump impeller"], "overdue": [True], "due_on": [date(2025, 8, 1)]})
    return Boat(
        ABOUT,
        pl.DataFrame([{**engine, **days}], schema_overrides={"to_on": pl.Date}),
        hours,
        pl.DataFrame([call, EVENT], infer_schema_length=None),
        pl.DataFrame([{**fitted, **against}], schema_overrides={"position": pl.String}),
        due,
        {"as_of": TODAY, "ledger_version": 4, "records": 2, "left_out": 1},
    )


def pick_lists() -> dict[str, list[tuple[str, str]]]:
    """A few words of each list."""
    return {
        "component": [("raw-water pump impeller", "impeller, imp."), ("thermostat", "stat")],
        "action": [("renew", "changed"), ("inspect", "looked")],
        "reason": [("planned", "due"), ("failed", "u/s")],
        "finding": [("sound", "ok"), ("worn", ""), ("failed", "u/s")],
        "cause": [("impeller worn", "")],
        "symptom": [("overheats", "steam, hot")],
        "outcome": [("towed", "tow"), ("fixed aboard", "")],
    }


def last_reading() -> LastReading:
    """The meter in May, and what it should show in September."""
    return LastReading(1240.5, date(2025, 5, 1), 1310.0)


def queue() -> dict[str, pl.DataFrame]:
    """One word nobody knows, one near miss, one suggestion."""
    suggestion = {
        "row_id": 5,
        "kind": "rescue_calls",
        "column": "cause",
        "code": "impeller worn",
        "confidence": 0.97,
        "evidence": "vanes gone",
    }
    row = {"dated": date(2025, 7, 1), "vessel_id": "14", "notes": "vanes gone", "file": "calls.csv", "line": 3}
    return {
        "uncoded": pl.DataFrame({"list": ["component"], "word": ["thingummy"], "rows": [3]}),
        "near_misses": pl.DataFrame({"list": ["component"], "word": ["impelller"], "code": ["raw-water pump impeller"], "rows": [2]}),
        "suggestions": pl.DataFrame([{**suggestion, **row}]),
        "confirmed": pl.DataFrame(),
    }


def pairs() -> pl.DataFrame:
    """One pair that may be one breakdown."""
    ids = {"call_row_id": 11, "ticket_row_id": 12, "vessel_id": "14", "call_engine_id": None, "ticket_engine_id": "E1"}
    days = {"called_on": date(2025, 7, 1), "done_on": date(2025, 7, 3), "days": 2}
    said = {
        "symptom": "overheats",
        "call_cause": None,
        "call_component": None,
        "outcome": "towed",
        "component": "thermostat",
        "work": "renew",
    }
    why = {"reason": "failed", "finding": "failed", "score": 0.6, "doubt": "The call names no part."}
    words = {
        "call_id": "C1",
        "called_at": datetime(2025, 7, 1, 9),
        "call_notes": "steam",
        "ticket_id": "T2",
        "line_no": "1",
        "ticket_notes": None,
    }
    places = {"call_file": "calls.csv", "call_line": 3, "ticket_file": "tickets.csv", "ticket_line": 8}
    return pl.DataFrame([{**ids, **days, **said, **why, **words, **places}])


def to_mend() -> pl.DataFrame:
    """One row with a day that never was."""
    header = '["ticket_id", "engine_id", "done_on", "component", "action"]'
    row = {
        "row_id": 3,
        "kind": "service_tickets",
        "file": "tickets.csv",
        "sheet": None,
        "line": 9,
        "column": "done_on",
        "value": "2025-02-30",
    }
    why = "tickets.csv, line 9, done_on: '2025-02-30'. There is no such day; put it right."
    more = {"reason": why, "raw": "T9,E1,2025-02-30,thermostat,renew", "header": header, "mended_as": None}
    return pl.DataFrame([{**row, **more}], schema_overrides={"sheet": pl.String, "mended_as": pl.Int64})


def files() -> pl.DataFrame:
    """One file."""
    return pl.DataFrame({"import_id": [1], "file": ["tickets.csv"], "sheet": [None], "kind": ["service_tickets"], "sha256": ["ab12"]})
