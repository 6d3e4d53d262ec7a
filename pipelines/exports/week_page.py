"""A week as a page to read in a terminal or a mail: each matter under its heading, one line each, or that it holds nothing.

In: the answer `week`. Out: text. JSON and CSV hold every line; here the first ones of a long matter stand.
"""

from collections.abc import Iterator
from textwrap import wrap
from typing import Any

import polars as pl

from pipelines.exports.answer import Answer
from pipelines.exports.text_table import head_line
from pipelines.exports.withholding import withheld
from pipelines.terms.week import ALARM, CALL, MATTERS

WIDTH, INDENT = 110, "    "
MOST_LINES = 12


def as_page(answer: Answer) -> str:
    """Return the week as text."""
    return withheld("\n".join([head_line(answer), *(line for matter in MATTERS for line in _matter(matter, answer))]))


def _matter(matter: str, answer: Answer) -> Iterator[str]:
    rows = answer.rows.filter(pl.col("matter") == matter)
    yield f"\n{MATTERS[matter].heading}{_aside(matter, answer.extra)}"
    if rows.is_empty():
        yield f"{INDENT}{MATTERS[matter].nothing}"
    for row in rows.head(MOST_LINES).to_dicts():
        yield from _line(row)
    if rows.height > MOST_LINES:
        yield f"{INDENT}(+{rows.height - MOST_LINES:,} more; `--format json` lists them all)"


def _aside(matter: str, extra: dict[str, Any]) -> str:
    """Return what is said beside a heading: since when calls are told, and how rare a false alarm is."""
    if matter == CALL:
        return f" since {extra['since']} ({extra['calls_before']:,} in as many days before)"
    if matter == ALARM:
        return f" (of seasons in which nothing changed, {extra['false_alarm']:.0%} have any of a sort)"
    return ""


def _line(row: dict[str, Any]) -> list[str]:
    boat = " ".join(word for word in (row["vessel_id"], row["name"]) if word)
    told = f"{boat}: {row['sentence']}" if boat else row["sentence"]
    look_at = f" {row['look_at']}" if row["matter"] == ALARM else ""
    return wrap(told + look_at, WIDTH, initial_indent=INDENT, subsequent_indent=INDENT * 2, break_on_hyphens=False)
