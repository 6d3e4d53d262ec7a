"""The due list as a calendar file that any calendar program reads (iCalendar, RFC 5545).

In: the answer of `due`. Out: one all-day event a task. Written whole or not at all.
"""

import hashlib
import os
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from pipelines.errors import WrongInput
from pipelines.exports.answer import Answer

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
    """Return the due list as iCalendar text; tasks with no forecast date are left out."""
    stamp = _day(answer.head["as_of"])
    rows = [row for row in answer.rows.to_dicts() if row["due_on"] is not None]
    events = [line for row in rows for line in _event(row, stamp)]
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//towless//due//EN", *events, "END:VCALENDAR"]
    return "".join(f"{_folded(line)}\r\n" for line in lines)


def _event(row: dict[str, Any], stamp: date) -> list[str]:
    what = " ".join(word for word in (row["task"], row["component"], row["position"]) if word)
    where = " ".join(word for word in (row["vessel_id"], row["engine_id"]) if word)
    name = hashlib.sha256(f"{where}|{what}".encode()).hexdigest()[:24]
    return [
        "BEGIN:VEVENT",
        f"UID:{name}@towless",
        f"DTSTAMP:{stamp:%Y%m%d}T000000Z",
        f"DTSTART;VALUE=DATE:{row['due_on']:%Y%m%d}",
        f"DTEND;VALUE=DATE:{row['due_on'] + timedelta(days=1):%Y%m%d}",
        f"SUMMARY:{_escaped(f'{where}: {what}')}",
        f"DESCRIPTION:{_escaped(row['caution'] or '')}",
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
