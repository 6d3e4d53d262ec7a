"""What files would come to, what waits for a person, and what was settled, in sentences.

In: previews, queues. Out: Markdown.
Elsewhere: the previews and queues themselves (`flow`).
"""

from collections.abc import Sequence
from typing import Any

import polars as pl

from dashboard.sentences.account import kind_words
from dashboard.sentences.boat import event_words
from dashboard.sentences.plain import counted, day, literal, percent


def table_name(file: str, sheet: str | None) -> str:
    """Name a file and its sheet, as Markdown."""
    return f"{literal(file)}, sheet {literal(sheet)}" if sheet else literal(file)


def preview_words(shown: Any) -> str:
    """Say what a table would come to, as Markdown; `shown` is a `Preview`."""
    name = f"**{table_name(shown.file, shown.sheet)}**"
    if shown.refusal:
        return f"{name} would be refused: {literal(shown.refusal)}"
    looked = "" if shown.whole else " looked at, from its beginning"
    out = f"; **{shown.rows_left_out:,} of them would be left out**" if shown.rows_left_out else ", none of them left out"
    return f"{name} is read as **{kind_words(shown.kind)}**: {counted(shown.rows_in, 'row', 'rows')}{looked}{out}."


def unknown_words(words: pl.DataFrame, most: int = 8) -> str:
    """Say which words nobody knows yet, as Markdown; empty where all are known."""
    unknown = words.filter(pl.col("code") == "uncoded")
    if unknown.is_empty():
        return ""
    named = ", ".join(f"{literal(row['word'])} ({row['rows']:,})" for row in unknown.head(most).to_dicts())
    more = f" and {unknown.height - most:,} more" if unknown.height > most else ""
    counts = counted(unknown.height, "word is", "words are")
    return f"{counts} not known: {named}{more}. The rows come in all the same; settle the words afterwards."


def suggestion_words(row: dict[str, Any]) -> str:
    """Say what is suggested for a row, how sure, and on which words, as Markdown."""
    return f"{row['column']}: **{literal(row['code'])}** ({percent(row['confidence'])}), for {literal(row['evidence'] or 'no single word')}"


def pair_sides(row: dict[str, Any]) -> tuple[list[str], list[str]]:
    """Say what the call and the ticket line of a doubtful pair tell, line by line, as Markdown."""
    call = {
        "lane": "called",
        "symptom": row["symptom"],
        "cause": row["call_cause"],
        "component": row["call_component"],
        "outcome": row["outcome"],
    }
    ticket = {**row, "lane": "ticket", "position": None, "action": row["work"], "cause": None}
    return (
        _side(row["called_on"], call, row["call_engine_id"], row["call_notes"], row["call_file"], row["call_line"]),
        _side(row["done_on"], ticket, row["ticket_engine_id"], row["ticket_notes"], row["ticket_file"], row["ticket_line"]),
    )


def _side(on: Any, told: dict[str, Any], engine: str | None, notes: str | None, file: str | None, line: int | None) -> list[str]:
    said = [f"**{day(on)}** · {literal(event_words(told))}", f"engine {literal(engine)}" if engine else "engine not named"]
    said += [f"“{literal(notes)}”"] if notes else []
    return [*said, f"{literal(file)}, line {line}" if file else "written by hand"]


def pair_words(row: dict[str, Any]) -> str:
    """Say why a pair is not sure, as Markdown."""
    apart = "on the same day" if row["days"] == 0 else f"{counted(row['days'], 'day', 'days')} later"
    return f"Boat {literal(row['vessel_id'])}: the job was done {apart}. {literal(row['doubt'])} Fit: {percent(row['score'])}."


def reasons(rows: pl.DataFrame) -> str:
    """Say how many rows wait to be mended and how many were mended already."""
    waits = rows.filter(pl.col("mended_as").is_null()).height
    mended = rows.height - waits
    told = f"**{counted(waits, 'row waits', 'rows wait')} to be put right.**" if waits else "**No row waits to be put right.**"
    done = f" {counted(mended, 'was', 'were')} mended by hand since; they stay in the account as they came, beside the mended row."
    return told + (done if mended else "")


def taken_words(told: Any) -> str:
    """Say what became of mended rows; `told` is what the ledger says of an import."""
    total = told.total
    corrected = sum(told.corrected.values())
    also = f" {counted(corrected, 'earlier row is', 'earlier rows are')} superseded by them." if corrected else ""
    return f"{counted(total.accepted, 'row is', 'rows are')} in. {total.repeated:,} said what was in already.{also}"


def fates(versions: Sequence[dict[str, Any]]) -> list[str]:
    """Say the versions of a row, one line each, as Markdown."""
    return [_version(row) for row in versions]


def _version(row: dict[str, Any]) -> str:
    fate = row["fate"].replace("_", " ")
    place = f"row {row['row_id']}, {table_name(row['file'], row['sheet'])}, line {row['line']}"
    sent = f"import {row['import_id']} by {literal(row['taken_by'] or 'nobody named')} on {day(str(row['taken_at']))}"
    return f"**{fate}**, {literal(row['reason'])} · {place} · {sent}"
