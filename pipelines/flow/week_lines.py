"""The lines of a week, each a sentence with the boat it is about, how many, since or until which day, and what to do.

In: the rows of the answers a week is told from. Out: lines, and the frame of them.
Elsewhere: which rows they are (`week`), what is said where there is none (`terms.week`).
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from datetime import date

import polars as pl

from pipelines.advice.words import counted
from pipelines.terms.spoken import spoken_day
from pipelines.terms.week import ALARM, CALL, OVERDUE, SHELF, SOON, TIED_UP, WAITS

SCHEMA = {
    **dict.fromkeys(("matter", "vessel_id", "name", "what"), pl.String),
    "on": pl.Date,
    "count": pl.Int64,
    **dict.fromkeys(("sentence", "look_at"), pl.String),
    "evidence": pl.List(pl.Int64),
}
MOST_NAMED, MOST_REASONS = 3, 2
KEEP_IN = "Leave it tied up until a person has looked."
DO_IT = "Do it before the boat goes out, or put it off with a name and a reason."


@dataclass(frozen=True)
class Line:
    """One line of a week, in the columns of the answer."""

    matter: str
    sentence: str
    look_at: str
    vessel_id: str | None = None
    name: str | None = None
    what: str | None = None
    on: date | None = None
    count: int | None = None
    evidence: list[int] = field(default_factory=list)


def as_rows(told: Sequence[Line]) -> pl.DataFrame:
    """Return lines as the rows of the answer `week`."""
    return pl.DataFrame([asdict(line) for line in told], schema=SCHEMA)


def tied_up(rows: pl.DataFrame, names: Mapping[str, str]) -> Iterator[Line]:
    """Give a line a boat that should stay tied up, with every reason."""
    for row in rows.to_dicts():
        told = in_short(row["reasons"], MOST_REASONS, "; ")
        boat = row["vessel_id"]
        yield Line(TIED_UP, f"{told[:1].upper()}{told[1:]}.", KEEP_IN, boat, names.get(boat), None, row["since"], row["jobs"])


def overdue(rows: pl.DataFrame, names: Mapping[str, str], today: date) -> Iterator[Line]:
    """Give a line a boat with work that is overdue, the longest overdue first."""
    for boat, held in _by_boat(rows):
        first = _first_day(held)
        days = (today - first).days if first else 0
        since = f", the oldest for {counted(days, 'day', 'days')}" if days else ""
        told = f"{_jobs(held)} overdue{since}: {_named(held)}."
        yield Line(OVERDUE, told, DO_IT, boat, names.get(boat), None, first, held.height)


def due_soon(rows: pl.DataFrame, names: Mapping[str, str]) -> Iterator[Line]:
    """Give a line a boat with work that falls due soon, the first day first."""
    for boat, held in _by_boat(rows):
        first = _first_day(held)
        from_day = f" from {spoken_day(first)} on" if first else ""
        told = f"{_jobs(held)} due{from_day}: {_named(held)}."
        yield Line(SOON, told, "Plan it, with its parts.", boat, names.get(boat), None, first, held.height)


def calls(rows: pl.DataFrame) -> Iterator[Line]:
    """Give a line a call, the latest first."""
    for row in rows.to_dicts():
        what = row["symptom"] or "no symptom written down"
        cause = f"cause: {row['cause']}" if row["cause"] else "cause not known yet"
        more = [word for word in (row["component"], row["outcome"]) if word]
        told = f"{spoken_day(row['called_on'])}: {', '.join([what, cause, *more])}."
        look_at = "See what was done since." if row["cause"] else "Ask the yard what it found, and code it."
        evidence = [int(row["row_id"])]
        yield Line(CALL, told, look_at, row["vessel_id"], row["name"], row["cause"], row["called_on"], 1, evidence)


def alarms(rows: pl.DataFrame, names: Mapping[str, str]) -> Iterator[Line]:
    """Give a line an alarm, the surest first."""
    for row in rows.to_dicts():
        boat, what, evidence = row["vessel_id"], row["what"], row["evidence"]
        yield Line(ALARM, row["sentence"], row["look_at"], boat, names.get(boat), what, row["since"], int(row["seen"]), evidence)


def runs_out(rows: pl.DataFrame) -> Iterator[Line]:
    """Give one line for all parts that run out before an order comes."""
    if rows.is_empty():
        return
    told = [" ".join([row["component"], row["part_id"], *(["at", row["base"]] if row["base"] else [])]) for row in rows.to_dicts()]
    parts = counted(rows.height, "part is", "parts are")
    sentence = f"{parts} likelier than not to run out before an order comes: {in_short(told)}."
    yield Line(SHELF, sentence, "Order now.", what="shelf", count=rows.height)


WAITING = {
    "words": ("word without a sure code waits", "words without a sure code wait", "Settle each once, for all rows that hold it."),
    "suggestions": ("code suggested from a note waits", "codes suggested from notes wait", "They count nowhere until confirmed."),
    "pairs": (
        "call and ticket that may be one breakdown waits",
        "pairs of call and ticket that may be one breakdown wait",
        "Say whether they are; until then a breakdown may be missed.",
    ),
    "left out": (
        "row was left out and waits to be put right",
        "rows were left out and wait to be put right",
        "Mend them where they stand.",
    ),
    "age not known": (
        "part with an interval has no known age",
        "parts with an interval have no known age",
        "Look at them, and record when each is renewed or tested.",
    ),
}
"""{what waits: said of one, said of several, what to do}."""


def waits(counts: Mapping[str, int]) -> Iterator[Line]:
    """Give a line each sort of thing that waits for a person."""
    for what, (one, many, look_at) in WAITING.items():
        if number := counts[what]:
            yield Line(WAITS, f"{counted(number, one, many)}.", look_at, what=what, count=number)


def in_short(told: Sequence[str], most: int = MOST_NAMED, between: str = ", ") -> str:
    """Name the first few of many, and how many more there are."""
    first = list(dict.fromkeys(told))
    more = f" and {len(first) - most} more" if len(first) > most else ""
    return f"{between.join(first[:most])}{more}"


def _by_boat(rows: pl.DataFrame) -> Iterator[tuple[str, pl.DataFrame]]:
    ordered = rows.filter(pl.col("vessel_id").is_not_null()).sort("due_on", maintain_order=True)
    return ((str(boat), held) for (boat, *_), held in ordered.group_by("vessel_id", maintain_order=True))


def _first_day(rows: pl.DataFrame) -> date | None:
    return min(rows["due_on"].drop_nulls().to_list(), default=None)


def _jobs(rows: pl.DataFrame) -> str:
    return counted(rows.height, "job", "jobs")


def _named(rows: pl.DataFrame) -> str:
    return in_short([row["component"] if row["task"] == "renew" else f"{row['component']} ({row['task']})" for row in rows.to_dicts()])
