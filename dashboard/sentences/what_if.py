"""What a what-if says, where a verdict turns, and what was adopted before.

In: rows of `intervals` as recorded and as supposed; turning points; adoptions. Out: text, and rows with words for drawing.
Elsewhere: the figures (`advice.what_if`, `advice.sensitivity`).
"""

from typing import Any

import polars as pl

from dashboard.sentences.advice import every
from dashboard.sentences.plain import day, figure, literal

IS_ONE = "What-if, not the records:"


def against_records(row: dict[str, Any], would: dict[str, Any]) -> str:
    """Say what the records advise beside what is supposed."""
    recorded, supposed = (every(each["renew_h"], each["renew_months"]) for each in (row, would))
    if (row["verdict"], recorded) == (would["verdict"], supposed):
        return "The advice would stay what it is by the records."
    return f"By the records: {row['verdict']}, {recorded}. Only that can be adopted below."


def turning_lines(turns: pl.DataFrame) -> pl.DataFrame:
    """Return turning points with `line` (the assumption and its value), `said` (where the verdict turns), and all as shares of now."""
    rows = turns.to_dicts()
    named = [f"{row['assumption']}: {figure(row['now'])} {row['unit']}".rstrip() for row in rows]
    shares = {
        "from": pl.col("turns_below").fill_null(pl.col("least")) / pl.col("now"),
        "to": pl.col("turns_above").fill_null(pl.col("most")) / pl.col("now"),
        "at_below": pl.col("turns_below") / pl.col("now"),
        "at_above": pl.col("turns_above") / pl.col("now"),
    }
    return turns.with_columns(
        pl.Series("line", named, pl.String), pl.Series("said", [_said(row) for row in rows], pl.String), **shares, here=pl.lit(1.0)
    )


def _said(row: dict[str, Any]) -> str:
    ends = (("below", row["turns_below"]), ("above", row["turns_above"]))
    turns = [f"{side} {figure(value)}" for side, value in ends if value is not None]
    return f"turns {' or '.join(turns)}" if turns else "does not turn"


def adopted_lines(rows: pl.DataFrame) -> list[str]:
    """Say of each adoption what, who, when, why, on which verdict and what became of it, as Markdown."""
    return [_adopted(row) for row in rows.to_dicts()]


def _adopted(row: dict[str, Any]) -> str:
    whom = f" by {literal(row['adopted_by'])}" if row["adopted_by"] else ""
    place = ", ".join(literal(row[name]) for name in ("engine_model", "base") if row[name])
    told = f"**{every(row['every_h'], row['every_months'])}**{f' ({place})' if place else ''}, {day(row['adopted_on'])}{whom}"
    why = f": {literal(row['reason'])}" if row["reason"] else ""
    then = f" Advised then: {literal(row['then_verdict'])}." if row["then_verdict"] else ""
    return f"{told}{why} · {row['state']}.{then}"
