"""What the ledger holds and where its rows went, in sentences.

In: the head of an answer, the counts of the reconciliation. Out: Markdown.
Elsewhere: the counts (`ledger`).
"""

from typing import Any

import polars as pl

from dashboard.sentences.plain import counted, day


def rests_on(head: dict[str, Any]) -> str:
    """Say what a page rests on: the day it knows, the ledger's version, the records used and left out."""
    used = counted(head["records"], "record", "records")
    return f"As of {day(head['as_of'])} · ledger version {head['ledger_version']} · {used} used, {head['left_out']:,} left out"


def balance(rows: pl.DataFrame) -> str:
    """Say the whole account as a sum."""
    sums = {name: int(rows[name].sum()) for name in ("rows_in", "accepted", "repeated", "superseded", "left_out")}
    return (
        f"**{sums['rows_in']:,} rows came in** = {sums['accepted']:,} accepted + {sums['repeated']:,} repeated "
        f"+ {sums['superseded']:,} superseded + {sums['left_out']:,} left out. No row is lost."
    )


def kind_words(kind: str) -> str:
    """Return a record kind as people say it: `service tickets`."""
    return kind.replace("_", " ")


def kind_lines(rows: pl.DataFrame) -> pl.DataFrame:
    """Return the account with its kinds in plain words, for drawing."""
    return rows.with_columns(pl.Series("kind", [kind_words(kind) for kind in rows["kind"]], pl.String))
