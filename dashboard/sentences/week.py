"""The week in short, and what leads on from each of its lines.

In: the answer `week`. Out: Markdown; the page a line leads to, with what stands in its address.
Elsewhere: the lines themselves (`flow.week_lines`), which say the same at the command.
"""

from collections.abc import Mapping
from datetime import date
from typing import Any

import polars as pl

from dashboard.sentences.leading import Lead
from dashboard.sentences.plain import counted, day, literal
from pipelines.terms.week import ALARM, CALL, CALL_DAYS, MATTERS, OVERDUE, SHELF, SOON, TIED_UP, WAITS

SOON_ADDRESS = {"within": "2 weeks"}
MOST_LINES = {TIED_UP: 6, OVERDUE: 5, SOON: 5, CALL: 8, ALARM: 20, SHELF: 1, WAITS: 9}
"""{matter: how many of its lines a page shows before it leads on to the whole list}."""


def in_short(rows: pl.DataFrame, extra: Mapping[str, Any], as_of: date) -> str:
    """Say the week in one sentence, as Markdown."""
    told = {matter: rows.filter(pl.col("matter") == matter) for matter in MATTERS}
    if rows.is_empty():
        return f"**Week to {day(as_of)}.** Nothing to say: nothing is overdue or falls due, no call came in, no alarm, nothing waits."
    parts = [_tied_up(told[TIED_UP]), _overdue(told[OVERDUE]), _soon(told[SOON], extra["until"]), _calls(told[CALL], extra)]
    return f"**Week to {day(as_of)}.** {'; '.join(parts[:-1])}. {parts[-1]}."


def _tied_up(rows: pl.DataFrame) -> str:
    if rows.is_empty():
        return "No boat needs to stay tied up, as far as the records show"
    return f"**{counted(rows.height, 'boat', 'boats')} should stay tied up** until a person has looked"


def _overdue(rows: pl.DataFrame) -> str:
    jobs = int(rows["count"].sum())
    boats = counted(rows.height, "boat", "boats")
    return f"**{counted(jobs, 'job is', 'jobs are')} overdue** on {boats}" if jobs else "nothing is overdue"


def _soon(rows: pl.DataFrame, until: date) -> str:
    jobs = int(rows["count"].sum())
    return f"{counted(jobs, 'job falls', 'jobs fall') if jobs else 'nothing falls'} due by {day(until)}"


def _calls(rows: pl.DataFrame, extra: Mapping[str, Any]) -> str:
    came = f"**{counted(rows.height, 'call', 'calls')}** came in" if rows.height else "No call came in"
    before = f"{extra['calls_before']:,}" if extra["calls_before"] else "none"
    return f"{came} since {day(extra['since'])}, {before} in as many days before"


def how_old(as_of: date, today: date) -> str:
    """Say, as Markdown, that the records end long ago; empty where they do not."""
    days = (today - as_of).days
    if days <= CALL_DAYS:
        return ""
    return f"The records end {counted(days, 'day', 'days')} ago, so this is the week that ended then."


def shown_of(matter: str, rows: pl.DataFrame) -> pl.DataFrame:
    """Return the lines of a matter that a page shows: a boat with overdue work that should stay tied up stands there already."""
    here = rows.filter(pl.col("matter") == matter)
    if matter != OVERDUE:
        return here
    return here.join(rows.filter(pl.col("matter") == TIED_UP), on="vessel_id", how="anti", maintain_order="left")


def above_words(rows: pl.DataFrame, shown: pl.DataFrame) -> str:
    """Say how many boats with overdue work stand among those that should stay tied up; empty: none."""
    above = rows.filter(pl.col("matter") == OVERDUE).height - shown.filter(pl.col("matter") == OVERDUE).height
    if not above:
        return ""
    return f"{counted(above, 'boat', 'boats')} with overdue work {'stands' if above == 1 else 'stand'} above, to stay tied up."


def otherwise(rows: pl.DataFrame) -> str:
    """Say of every matter that holds nothing that it does, in the words of the command; the week in short has said the first ones."""
    held = set(rows["matter"])
    return " ".join(words.nothing for matter, words in MATTERS.items() if matter not in held and matter in (ALARM, SHELF, WAITS))


def line_lead(row: Mapping[str, Any], alarm: Mapping[str, Any] | None = None) -> Lead:
    """Return where a line leads; `alarm` is the alarm it tells, where it tells one."""
    boat = row["vessel_id"]
    label = " ".join(word for word in (boat, row["name"]) if word)
    match row["matter"]:
        case "overdue" | "due soon":
            return Lead("what_is_due", label, {"boat": boat, **SOON_ADDRESS})
        case "alarm" if alarm is not None:
            return _alarm_lead(alarm, label)
        case "runs out":
            return Lead("what_to_stock", "What to stock")
        case "waits for a person":
            return WAITING[row["what"]]
        case _:
            return Lead("one_boat", label, {"boat": boat})


WAITING = {
    "words": Lead("records", "Words", {"view": "words"}),
    "suggestions": Lead("records", "Suggestions", {"view": "words"}),
    "pairs": Lead("records", "Calls and tickets", {"view": "pairs"}),
    "left out": Lead("records", "Left out", {"view": "left-out"}),
    "age not known": Lead("what_is_due", "What is due", SOON_ADDRESS),
}


def _alarm_lead(alarm: Mapping[str, Any], boat: str) -> Lead:
    match alarm["alarm"]:
        case "cause above forecast":
            return Lead("what_strands_us", "Calls by cause", {"pattern": "month by month"})
        case "part above forecast":
            return Lead("how_long_parts_last", "Its lives", {"component": alarm["what"]})
        case "early failures":
            return Lead("how_long_parts_last", "Its lives", {"component": alarm["where"]})
        case _:
            return Lead("one_boat", boat, {"boat": alarm["vessel_id"]})


def more_lead(matter: str, rows: pl.DataFrame) -> Lead:
    """Return where the rest of a long matter stands."""
    more = rows.height - MOST_LINES[matter]
    if matter in (OVERDUE, SOON):
        return Lead("what_is_due", f"{counted(more, 'more boat', 'more boats')}, job by job", SOON_ADDRESS)
    return Lead("what_is_due" if matter == TIED_UP else "what_strands_us", f"{more:,} more")


def line_words(row: Mapping[str, Any]) -> str:
    """Return a line as Markdown, with what to do where that is not the same for every line of its matter."""
    look_at = f" *{literal(row['look_at'])}*" if row["matter"] in (ALARM, WAITS, SHELF) else ""
    return f"{literal(row['sentence'])}{look_at}"


def false_alarm_words(share: float) -> str:
    """Say how rare a false alarm is."""
    return (
        f"Of a hundred seasons in which nothing changed, {100 * share:.0f} would have any alarm at all from counts above their forecast, "
        f"and as few from batches and fitters."
    )
