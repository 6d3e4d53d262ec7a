"""What the rates say, in sentences.

In: the answer of `rates`. Out: Markdown. Unknown is named first, because it bounds what the rest can tell.
Elsewhere: the rates (`fits`).
"""

from typing import Any

import polars as pl

from dashboard.sentences.plain import counted, figure, literal, percent

UNKNOWN = "unknown"
NOT_KNOWN = (UNKNOWN, "uncoded")
NOUNS = {"calls": ("call", "calls"), "failures": ("failure", "failures")}


def how_often(rows: pl.DataFrame, exposure_h: float | None, of: str) -> str:
    """Say how many events there were, in how many hours, and how many of them have no known cause.

    Parameters
    ----------
    rows
        Rows of rates by cause: group, events.
    exposure_h
        Engine hours watched; `None`: unknown.
    of
        "calls" or "failures".
    """
    events = int(rows["events"].sum())
    hours = f" in **{exposure_h:,.0f}** engine hours" if exposure_h else ", with hours unknown"
    often = f": one in every {figure(exposure_h / events)} hours" if exposure_h and events else ""
    return f"**{counted(events, *NOUNS[of])}**{hours}{often}.{_unknown(rows, events)}"


def _unknown(rows: pl.DataFrame, events: int) -> str:
    unknown = int(rows.filter(pl.col("group") == UNKNOWN)["events"].sum())
    if not unknown:
        return ""
    return f" For {unknown:,} of them ({percent(unknown / events)}) nobody wrote down why; they are shown as unknown and not shared out."


def rate_lines(rows: pl.DataFrame, most: int | None = None) -> pl.DataFrame:
    """Return the rows of rates for drawing, those with most events first; of many, the first `most` and always those not known."""
    ordered = rows.sort("events", descending=True, maintain_order=True).with_row_index("place")
    kept = ordered if most is None else ordered.filter((pl.col("place") < most) | pl.col("group").is_in(NOT_KNOWN))
    return kept.drop("place")


def what_would_help(rows: pl.DataFrame) -> str:
    """Say which remedy would have prevented the largest share of the calls whose cause is known; empty text where none is known."""
    known = rows.filter(~pl.col("group").is_in([UNKNOWN, "nothing known"])).sort("events", descending=True)
    if known.is_empty() or not known["events"][0]:
        return ""
    first: dict[str, Any] = known.row(0, named=True)
    share = first["events"] / max(int(rows["events"].sum()), 1)
    return f"The largest share could have been prevented by **{literal(first['group'])}**: {first['events']:,}, or {percent(share)} of all."
