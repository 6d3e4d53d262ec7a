"""An invented week with a line of every matter, for pages and sentences."""

from datetime import date, timedelta
from typing import Any

import polars as pl

from pipelines.exports.answer import Answer
from pipelines.flow import week_lines as lines
from pipelines.terms.week import CALL_DAYS, SOON_DAYS
from tests.dashboard import invented

NAMES = {"V1": "Dunlin", "V2": "Knot"}


def alarms() -> pl.DataFrame:
    """One alarm of each sort."""
    told = {"since": date(2025, 8, 4), "seen": 9.0, "expected": 3.1, "chance": 0.0004, "vessel_id": None, "evidence": [7, 9]}
    rows = [
        {
            "alarm": "cause above forecast",
            "what": "weed in intake",
            "where": "the whole fleet",
            "sentence": "weed in intake: 9 calls so far.",
        },
        {"alarm": "part above forecast", "what": "drive belt", "where": "the whole fleet", "sentence": "drive belt: 9 failures so far."},
        {"alarm": "early failures", "what": "batch B7 of drive belt", "where": "drive belt", "sentence": "Batch B7: 4 of 6 failed early."},
        {"alarm": "hours stand still", "what": "engine E2", "where": "V2", "sentence": "Engine E2 has read 310 h.", "vessel_id": "V2"},
    ]
    return pl.DataFrame([{**told, "look_at": "Look at it.", **row} for row in rows])


def calls() -> pl.DataFrame:
    """Ten calls of one boat that has a name and of one that has none, some without a cause."""
    return pl.DataFrame(
        [
            {
                "row_id": 20 + place,
                "call_id": f"C{place}",
                "called_on": invented.TODAY - timedelta(days=place // 2),
                "vessel_id": "V1" if place % 2 else "V9",
                "name": "Dunlin" if place % 2 else None,
                "symptom": "overheats",
                "cause": "weed in intake" if place % 3 else None,
                "component": None,
                "outcome": "towed",
            }
            for place in range(10)
        ]
    )


def answer(*, quiet: bool = False) -> Answer:
    """Return the week; `quiet`: one in which there is nothing to say."""
    work = invented.due()
    late, soon = work.filter(pl.col("overdue").fill_null(value=False)), work.filter(~pl.col("overdue").fill_null(value=True))
    tied_up = pl.DataFrame(
        {"vessel_id": ["V2"], "reasons": [["failed and not renewed: drive belt"]], "since": [date(2025, 9, 1)], "jobs": [1]}
    )
    short = invented.stock().head(1)
    behind = {"tied_up": tied_up, "overdue": late, "due_soon": soon, "calls": calls(), "alarms": alarms(), "runs_out": short}
    behind = {name: rows.head(0) if quiet else rows for name, rows in behind.items()}
    waits = {} if quiet else {"words": 3, "suggestions": 2, "pairs": 1, "left out": 4, "age not known": 5}
    extra: dict[str, Any] = {"since": invented.TODAY - timedelta(days=CALL_DAYS), "until": invented.TODAY + timedelta(days=SOON_DAYS)}
    extra |= {"calls_before": 0, "waits": waits, "false_alarm": 0.05, "age_not_known": work.head(0), **behind}
    told = [
        *lines.tied_up(behind["tied_up"], NAMES),
        *lines.overdue(behind["overdue"], NAMES, invented.TODAY),
        *lines.due_soon(behind["due_soon"], NAMES),
        *lines.calls(behind["calls"]),
        *lines.alarms(behind["alarms"], NAMES),
        *lines.runs_out(behind["runs_out"]),
        *lines.waits({name: waits.get(name, 0) for name in lines.WAITING}),
    ]
    head = {"as_of": invented.TODAY, "ledger_version": 4, "records": 6415, "left_out": 43}
    return Answer(head, lines.as_rows(told), extra)
