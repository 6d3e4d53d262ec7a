"""What to tell a crew before they cast off, from what strands this fleet.

In: rescue calls. Out: a sheet. Elsewhere: what is said about each cause (`terms.briefing`).
"""

import polars as pl

from pipelines.exports.papers.blocks import Bars, Block, Bullets, Cautions, Fields, Heading, Share, Sheet, Words
from pipelines.exports.papers.written import counted, share
from pipelines.terms.briefing import ADVICE, ALWAYS, AT_REST, BEFORE, UNDER_WAY, WHEN_IT_STOPS
from pipelines.terms.causes import UNCODED, UNKNOWN

SHOWN_AT_MOST = 9
NO_CALLS = "No rescue call with a cause that a crew can prevent is on record here, so the usual points stand in the order of the trade."


def briefing_sheet(calls: pl.DataFrame, about: str) -> Sheet:
    """Put what strands this fleet most at the top of what its crews are told.

    Parameters
    ----------
    calls
        Rows of `derived.calls` of the scope.
    about
        Which boats and days it is about.
    """
    counted_causes = calls.group_by("cause").len().sort(["len", "cause"], descending=[True, False])
    preventable = counted_causes.filter(pl.col("cause").is_in(list(ADVICE))).head(SHOWN_AT_MOST)
    chosen = preventable["cause"].to_list() or list(ADVICE)[:SHOWN_AT_MOST]
    blocks: list[Block] = [Words(_said(calls, preventable)), *_bars(preventable, calls.height)]
    for when in (BEFORE, UNDER_WAY, AT_REST):
        lines = tuple(ADVICE[cause].words for cause in chosen if ADVICE[cause].when == when)
        blocks += [Heading(when), Bullets(lines, boxes=when == BEFORE)] if lines else []
    blocks += [Cautions(ALWAYS), Heading("If the engine stops"), Bullets(WHEN_IT_STOPS), Fields(("Call us on", "Briefed by", "Crew"))]
    return Sheet("Before you cast off", about, tuple(blocks))


def _said(calls: pl.DataFrame, preventable: pl.DataFrame) -> str:
    known = calls.filter(~pl.col("cause").is_in([UNKNOWN, UNCODED])).height
    if preventable.is_empty():
        return NO_CALLS
    crew = calls.filter(pl.col("cause").is_in(list(ADVICE))).height
    of = f"{counted(crew, 'was', 'were')} of a kind that a crew can prevent ({share(crew / known)})"
    rest = f"of {calls.height - known:,} more the cause is not known"
    return f"Of {counted(known, 'rescue call', 'rescue calls')} with a known cause, {of}; {rest}."


def _bars(preventable: pl.DataFrame, calls: int) -> list[Block]:
    if preventable.is_empty():
        return []
    return [Bars(tuple(Share(cause, number / calls, counted(number, "call", "calls")) for cause, number in preventable.iter_rows()))]
