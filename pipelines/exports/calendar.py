"""The due list as a calendar file that any calendar program reads (iCalendar, RFC 5545).

In: the answer of `due`. Out: one all-day event a task, or a visit where jobs were laid onto visits. A task that was put off stands on the
day it is put off to, an overdue one on the day of the list, since nobody looks for work in the past. Written whole or not at all.
"""

import hashlib
import os
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from pipelines.errors import WrongInput
from pipelines.exports.answer import Answer
from pipelines.exports.withholding import withheld

LONGEST_LINE = 75


def write_calendar(answer: Answer, file: Path) -> None:
    """Write the due dates of `answer` to `file`.

    Raises
    ------
    WrongInput
        If the file cannot be written.
    """
    half = file.with_name(f".{file.name}.half-{os.getpid()}")
    try:
        half.write_bytes(calendar(answer).encode("utf-8"))
        half.replace(file)
    except OSError as fault:
        raise WrongInput(f"{file}: cannot be written: {fault.strerror}. Name a file in a folder you may write to.") from fault


def calendar(answer: Answer) -> str:
    """Return the due list, or its visits if they are told, as iCalendar text; tasks with no forecast date are left out."""
    stamp = _day(answer.head["as_of"])
    visits = answer.extra.get("visits")
    told = _tasks(answer) if visits is None else [_visit(row) for row in visits.to_dicts()]
    events = [line for one in told for line in _event(one, stamp)]
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//towless//due//EN", *events, "END:VCALENDAR"]
    return "".join(f"{_folded(withheld(line))}\r\n" for line in lines)


@dataclass(frozen=True)
class _Told:
    """One event: what tells it from every other, its day, and its words."""

    name: str
    day: date
    summary: str
    description: str


def _tasks(answer: Answer) -> list[_Told]:
    today = _day(answer.head["as_of"])
    return [_task(row, today) for row in answer.rows.to_dicts() if row["due_on"] is not None]


def _task(row: dict[str, Any], today: date) -> _Told:
    what = " ".join(word for word in (row["task"], row["component"], row["position"]) if word)
    where = " ".join(word for word in (row["vessel_id"], row["engine_id"]) if word)
    late = f", overdue since {row['due_on']}" if row.get("overdue") else ""
    words = [word for word in (row.get("because"), row["caution"]) if word]
    return _Told(f"{where}|{what}", _day_of(row, today), f"{where}: {what}{late}", "\n".join(words))


def _day_of(row: dict[str, Any], today: date) -> date:
    """Return the day a task stands on."""
    put_off = row.get("deferred_until")
    if put_off is not None and put_off > today:
        return max(put_off, row["due_on"])
    return max(today, row["due_on"]) if row.get("overdue") else row["due_on"]


def _visit(row: dict[str, Any]) -> _Told:
    """Tell a visit; the same jobs keep the same name, so that a visit that moves is moved and not doubled."""
    jobs = row["tasks"]
    summary = f"{row['vessel_id']}: {row['jobs']} {'job' if row['jobs'] == 1 else 'jobs'}"
    words = [*jobs, row["why"], *(caution for caution in row["caution"] if caution)]
    return _Told("|".join([str(row["vessel_id"]), "visit", *sorted(jobs)]), row["visit_on"], summary, "\n".join(words))


def _event(told: _Told, stamp: date) -> list[str]:
    name = hashlib.sha256(told.name.encode()).hexdigest()[:24]
    return [
        "BEGIN:VEVENT",
        f"UID:{name}@towless",
        f"DTSTAMP:{stamp:%Y%m%d}T000000Z",
        f"DTSTART;VALUE=DATE:{told.day:%Y%m%d}",
        f"DTEND;VALUE=DATE:{told.day + timedelta(days=1):%Y%m%d}",
        f"SUMMARY:{_escaped(told.summary)}",
        f"DESCRIPTION:{_escaped(told.description)}",
        "END:VEVENT",
    ]


def _day(value: Any) -> date:
    return value if isinstance(value, date) else date.fromisoformat(str(value))


def _escaped(words: str) -> str:
    return words.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\r", "").replace("\n", "\\n")


def _folded(line: str) -> str:
    """Break a line after at most 75 octets, as RFC 5545 section 3.1 asks, never inside a character."""
    pieces, piece = [], ""
    for sign in line:
        if len((piece + sign).encode()) > LONGEST_LINE - (1 if pieces else 0):
            pieces.append(piece)
            piece = ""
        piece += sign
    return "\r\n ".join([*pieces, piece])
