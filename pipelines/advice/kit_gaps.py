"""What no kit covers, and what covers it instead: a renewal in time, a check before casting off, a word to the crew, or nothing known.

In: a `Kit`. Out: one row a fault with its tows, its share, why it is not covered and what is done about it; unknown is a row of its own.
Elsewhere: the kit (`kit`), what a crew is told (`terms.briefing`).
"""

from collections.abc import Iterator

import polars as pl

from pipelines.advice.kit import NOT_FOR_CREW, Item, Kit
from pipelines.advice.kit_tows import CAUSE, FIRE, NOT_KNOWN, PART
from pipelines.terms.briefing import ADVICE
from pipelines.terms.causes import CAUSES, LifeEffect, Remedy, remedy_of
from pipelines.terms.kit import CLEANED_NOT_RENEWED

COVERED = "covered by the kit"
NOTHING_ABOARD = "nothing aboard mends it"
NEVER_AFLOAT = "not to be mended afloat by a crew"
NOT_TOLD = "what was wrong never came to light"
CREW_CLEARS = "a crew clears it, no spare is needed"
BY_REMEDY: dict[str, str] = {
    Remedy.RENEWAL.value: "Renewed before it fails: see When to renew.",
    Remedy.INSPECTION.value: "Looked at or tested by the yard: see What is due.",
    Remedy.TURN_ROUND.value: "Seen to ashore at each turn-round.",
    Remedy.FITTING.value: "Something fitted once: a gauge that tells the truth, a strainer, a cutter.",
    Remedy.NOTHING.value: "Nothing is known to prevent it; have the boat brought home and a spare ashore.",
    Remedy.UNKNOWN.value: "Write down what was found, call by call: what is unknown cannot be prevented.",
}
"""What covers a fault where no word to the crew does (common practice, no source)."""
_TOLD = (Remedy.PRE_DEPARTURE.value, Remedy.BRIEFING.value)
SCHEMA = {
    "fault": pl.String(),
    "sort": pl.String(),
    "calls": pl.Int64(),
    "tows": pl.Float64(),
    "low": pl.Float64(),
    "high": pl.Float64(),
    "share": pl.Float64(),
    "covered": pl.Boolean(),
    "why_not": pl.String(),
    "remedy": pl.String(),
    "covered_by": pl.String(),
}


def gaps(kit: Kit) -> pl.DataFrame:
    """Tell every fault of a type of boat, whether its kit covers it, and what covers it if not.

    Returns
    -------
    pl.DataFrame
        Columns of `SCHEMA`: tows a boat and season with limits, share of all its tows (0 to 1; the shares add to one); most tows first.
    """
    return pl.DataFrame(list(_rows(kit)), schema=SCHEMA, orient="row").sort(["tows", "fault"], descending=[True, False])


def _rows(kit: Kit) -> Iterator[dict]:
    items = {fault: item for item in kit.items for fault in item.faults}
    for row in kit.tows.filter((pl.col("rate") > 0) | (pl.col("calls") > 0)).iter_rows(named=True):
        sort, fault = row["sort"], row["fault"]
        item = items.get((sort, fault))
        covered = item is not None and item.aboard
        remedy = _remedy(sort, fault)
        yield {
            "fault": fault,
            "sort": sort,
            "calls": row["calls"],
            "tows": row["rate"],
            "low": row["low"],
            "high": row["high"],
            "share": row["rate"] / kit.expected if kit.expected else 0.0,
            "covered": covered,
            "why_not": None if covered else _why_not(sort, fault, item, kit),
            "remedy": remedy,
            "covered_by": COVERED if covered else _covered_by(sort, fault, remedy),
        }


def _why_not(sort: str, fault: str, item: Item | None, kit: Kit) -> str:
    if item is not None:
        return item.note
    if sort == PART and fault in kit.barred:
        return NOT_FOR_CREW
    if fault in CLEANED_NOT_RENEWED:
        return CREW_CLEARS
    return {NOT_KNOWN: NOT_TOLD, FIRE: NEVER_AFLOAT}.get(sort, NOTHING_ABOARD)


def _remedy(sort: str, fault: str) -> str:
    """Say what would have prevented it first of all; for a part, what prevents its own failure, else damage to it."""
    if sort == CAUSE:
        return remedy_of(fault)
    if sort == FIRE:
        return Remedy.INSPECTION.value
    if sort == PART:
        named = [cause for cause in CAUSES.values() if cause.component == fault]
        own = sorted(named, key=lambda cause: cause.effect is not LifeEffect.FAILURE)
        return own[0].remedies[0].value if own else Remedy.NOTHING.value
    return Remedy.UNKNOWN.value


def _covered_by(sort: str, fault: str, remedy: str) -> str:
    causes = [fault] if sort == CAUSE else [code for code, cause in CAUSES.items() if sort == PART and cause.component == fault]
    told = [ADVICE[code].words for code in causes if code in ADVICE]
    by_yard = [BY_REMEDY[remedy]] if remedy in BY_REMEDY else []
    return " ".join(dict.fromkeys([*by_yard, *told] if sort == PART else told or by_yard))
