"""One boat in sentences: who it is, how it stands, what was done to it, how old its parts are.

In: what the records know of a boat. Out: Markdown, and frames with words for drawing and for tables.
Elsewhere: the figures (`flow.boat`).
"""

from collections.abc import Sequence
from typing import Any

import polars as pl

from dashboard.sentences.plain import counted, day, figure, literal

NEVER_READ = "hours never read"


def boat_name(row: dict[str, Any]) -> str:
    """Name a boat as a list shows it: its id, its name, and that it is gone."""
    words = [str(row["vessel_id"]), *([row["name"]] if row["name"] else [])]
    return " · ".join(words) + (" (withdrawn)" if row["withdrawn_on"] else "")


def who_it_is(about: dict[str, Any], engines: pl.DataFrame) -> str:
    """Say which boat it is, where it works, and with which engines, as Markdown."""
    told = [literal(about[name]) for name in ("vessel_class", "base") if about[name]]
    told += [] if about["listed"] else ["not on the list of boats: only tickets, calls or engines name it"]
    told += [f"withdrawn {day(about['withdrawn_on'])}"] if about["withdrawn_on"] else []
    here = engines.filter(pl.col("to_on").is_null()).to_dicts()
    return " · ".join([*told, *(engine_words(engine) for engine in here)]) or "Nothing more is known of it."


def engine_place(engine: dict[str, Any]) -> str:
    """Name an engine by where it sits, as Markdown."""
    return " · ".join(literal(word) for word in (engine["place"], engine["engine_id"]) if word)


def engine_words(engine: dict[str, Any]) -> str:
    """Say which engine it is and its last trusted hours, as Markdown."""
    place = f" ({literal(engine['place'])})" if engine["place"] and engine["place"] != "single" else ""
    model = f" {literal(engine['engine_model'])}" if engine["engine_model"] else ""
    read = f"{figure(engine['hours'])} h on {day(engine['read_on'])}" if engine["hours"] is not None else NEVER_READ
    return f"engine {literal(engine['engine_id'])}{place}{model}: **{read}**"


def how_it_stands(fitted: pl.DataFrame, due: pl.DataFrame) -> str:
    """Say whether anything on the boat is down or overdue, worst first, as Markdown."""
    down = sorted(set(fitted.filter(pl.col("down").fill_null(value=False))["component"]))
    late = due.filter(pl.col("overdue").fill_null(value=False))
    coming = due.filter(pl.col("overdue").not_() & pl.col("due_on").is_not_null()) if due.height else due
    told = [f"**{_named(down)} found failed and not renewed since.**"] if down else []
    if late.height:
        told.append(f"**{counted(late.height, 'job is', 'jobs are')} overdue:** {_named(sorted(set(late['component'])))}.")
    if coming.height:
        told.append(
            f"{counted(coming.height, 'more falls', 'more fall') if told else counted(coming.height, 'job falls', 'jobs fall')} due soon."
        )
    return " ".join(told) or "**Nothing on it is known to be down or overdue.**"


def _named(parts: Sequence[str], most: int = 5) -> str:
    more = f" and {len(parts) - most} more" if len(parts) > most else ""
    words = literal(", ".join(parts[:most]) + more)
    return words[:1].upper() + words[1:]


def event_words(row: dict[str, Any]) -> str:
    """Say in a few words what a ticket line or a call tells: `raw-water pump impeller: renew (planned), found worn`."""
    if row["lane"] == "called":
        told = [
            row["symptom"] or "no symptom",
            f"cause: {row['cause']}" if row["cause"] else "",
            row["component"] or "",
            row["outcome"] or "",
        ]
        return ", ".join(word for word in told if word)
    place = f" {row['position']}" if row["position"] else ""
    why = f" ({row['reason']})" if row["reason"] else ""
    found = f", found {row['finding']}" if row["finding"] else ""
    cause = f", cause: {row['cause']}" if row["cause"] and row["cause"] != "unknown" else ""
    return f"{row['component']}{place}: {row['action']}{why}{found}{cause}"


def event_lines(events: pl.DataFrame) -> pl.DataFrame:
    """Return the events with `words`, what each tells, for drawing."""
    return events.with_columns(pl.Series("words", [event_words(row) for row in events.to_dicts()], pl.String))


def event_table(events: pl.DataFrame) -> pl.DataFrame:
    """Return the events as a table to read and to take away: day, sort, what, engine, meter, notes, record, and where it stands."""
    where = pl.concat_str([pl.col("file"), pl.format("line {}", "line")], separator=", ", ignore_nulls=True)
    return event_lines(events).select(
        pl.col("on_date").alias("day"),
        pl.when(pl.col("lane") == "called").then(pl.lit("call")).otherwise(pl.lit("ticket")).alias("record"),
        pl.col("words").alias("what"),
        "engine_id",
        "meter_h",
        "notes",
        pl.col("record_id").alias("number"),
        pl.col("matched").alias("same_breakdown_as"),
        where.alias("stands_in"),
    )


def record_lines(events: pl.DataFrame) -> list[str]:
    """Say a ticket or call whole, one line for each of its lines, as Markdown: day, number, what it tells, its note, where it stands."""
    return [_record(row) for row in events.to_dicts()]


def _record(row: dict[str, Any]) -> str:
    sort = "Call" if row["lane"] == "called" else "Ticket"
    note = f" “{literal(row['notes'])}”" if row["notes"] else ""
    where = f" {literal(row['file'])}, line {row['line']}." if row["file"] else ""
    return f"**{sort} {literal(row['record_id'])}, {day(row['on_date'])}:** {literal(event_words(row))}.{note}{where}"


def last_jobs(events: pl.DataFrame, most: int) -> list[str]:
    """Say the last things written down of a boat, one line each, as Markdown."""
    return [f"{day(row['on_date'])} · {literal(event_words(row))}" for row in events.head(most).to_dicts()]


def part_lines(fitted: pl.DataFrame) -> pl.DataFrame:
    """Return the parts with `line`, their name with engine and position, and `age`, their age against the interval in force."""
    told = fitted.to_dicts()
    engines = fitted["engine_id"].drop_nulls().n_unique()
    return fitted.with_columns(
        pl.Series("line", [_part_name(row, engines) for row in told], pl.String), pl.Series("age", [_age(row) for row in told], pl.String)
    )


def _part_name(row: dict[str, Any], engines: int) -> str:
    told = [row["component"], row["position"], row["engine_id"] if engines > 1 else None]
    return " · ".join(word for word in told if word)


def _age(row: dict[str, Any]) -> str:
    """Say the age on the clock that is further: `252 of 200 h`; without an interval, the age alone."""
    if row["down"]:
        return "failed, not renewed"
    known = [(row[f"age_{clock}"], row[f"every_{clock}"], unit) for clock, unit in (("h", "h"), ("months", "months"))]
    against = [(age / every, age, every, unit) for age, every, unit in known if age is not None and every]
    if against:
        _, age, every, unit = max(against)
        return f"{figure(age)} of {figure(every)} {unit}"
    alone = [f"{figure(age)} {unit}" for age, _, unit in known if age is not None]
    return ", ".join(alone) or "age not known"


def set_aside_words(hours: pl.DataFrame) -> str:
    """Say how many readings are used and how many were set aside, and why."""
    used, aside = hours.filter("used").height, hours.filter(~pl.col("used"))
    if aside.is_empty():
        return f"{counted(used, 'reading is', 'readings are')} used, none was set aside."
    reasons = aside.group_by("said", maintain_order=True).len("rows").sort("rows", descending=True, maintain_order=True)
    told = "; ".join(f"{rows} {literal(said)}" for said, rows in reasons.iter_rows())
    return f"{counted(used, 'reading is', 'readings are')} used, **{aside.height:,} set aside**: {told}."
