"""The kit of a type of boat in sentences and frames to draw.

In: `kits` of the answer `kit`. Out: Markdown and frames.
Elsewhere: the shelf (`stock`).
"""

from typing import Any

import polars as pl

from dashboard.sentences.plain import counted, figure, literal, money, percent

Told = dict[str, Any]
ITEM_COLUMNS = ("item", "form", "pieces", "price", "weight_kg", "tows_stopped", "low", "high", "tools", "only", "note")
MOST_LINES = 12


def kit_words(kit: Told, currency: str) -> str:
    """Say how many tows a kit could spare, what it costs and weighs, and what is not known of it."""
    aboard = [item for item in kit["items"] if item["aboard"]]
    calls = f"by {counted(kit['calls'], 'call', 'calls')} of its own and those of the other types"
    tows = f"A boat of this type is towed {figure(kit['tows'])} times a season, {calls}"
    if not aboard:
        return f"**Nothing to carry within these limits.** {tows}."
    spared = (
        f"**{counted(len(aboard), 'item', 'items')} could spare {figure(kit['tows_stopped'])} of them ({percent(kit['share_stopped'])})**"
    )
    fleet = f", {money(kit['spend'] * kit['boats'], currency)} for {counted(kit['boats'], 'boat', 'boats')}" if kit["boats"] > 1 else ""
    return f"{tows}. {spared}, for {money(kit['spend'], currency)} a boat{fleet}. {_weight(kit)}{_no_price(kit)}".strip()


def _weight(kit: Told) -> str:
    unknown = kit["weight_not_recorded"]
    known = f"Known weight {figure(kit['weight_kg'])} kg"
    if not unknown:
        return f"{known}. "
    return f"{known}; weight not recorded of {counted(len(unknown), 'item', 'items')}: {literal(', '.join(unknown))}. "


def _no_price(kit: Told) -> str:
    unknown = kit["price_not_recorded"]
    return f"Price not recorded: {literal(', '.join(unknown))}." if unknown else ""


def item_lines(kit: Told, *, aboard: bool) -> pl.DataFrame:
    """Return the items that are aboard, or those that are not, for a table."""
    rows = [item for item in kit["items"] if item["aboard"] == aboard]
    frame = (
        pl.DataFrame(rows, infer_schema_length=None).select(ITEM_COLUMNS)
        if rows
        else pl.DataFrame(schema=dict.fromkeys(ITEM_COLUMNS, pl.String()))
    )
    return frame.select(name for name in frame.columns if name != ("note" if aboard else "only"))


def cautions_of(kit: Told, every: tuple[str, ...]) -> list[str]:
    """Return each caution once that an item aboard calls for, with those items, as Markdown; `every`: all there are, in their order."""
    aboard = [item for item in kit["items"] if item["aboard"]]
    told = {caution: [item["item"] for item in aboard if caution in item["caution"]] for caution in every}
    return [f"{literal(caution)} **{literal(', '.join(items))}**" for caution, items in told.items() if items]


def tow_lines(gaps: pl.DataFrame) -> pl.DataFrame:
    """Return the faults for drawing, most tows first, the rest together: line, words, share, covered, unknown, covered_by."""
    named = gaps.with_columns(
        pl.col("fault").alias("line"),
        (pl.col("sort") == "unknown").alias("unknown"),
        pl.when("covered").then(pl.lit("aboard")).otherwise(pl.col("remedy")).alias("words"),
    ).select("line", "words", "share", "covered", "unknown", "covered_by")
    kept = named.filter((pl.int_range(pl.len()) < MOST_LINES) | pl.col("unknown"))
    rest = named.filter((pl.int_range(pl.len()) >= MOST_LINES) & ~pl.col("unknown"))
    if rest.is_empty():
        return kept
    other = {
        "line": f"{counted(rest.height, 'other fault', 'other faults')}",
        "words": "see the figures",
        "share": float(rest["share"].sum()),
        "covered": False,
        "unknown": False,
        "covered_by": "see the figures",
    }
    return pl.concat([kept, pl.DataFrame([other], schema=kept.schema)])


def instead_words(gaps: pl.DataFrame) -> str:
    """Say how the tows share out between kit, word to the crew, yard and the unknown."""
    told = {"aboard": gaps.filter("covered"), "unknown": gaps.filter(pl.col("sort") == "unknown")}
    open_ = gaps.filter(~pl.col("covered") & (pl.col("sort") != "unknown"))
    by_crew = open_.filter(pl.col("remedy").is_in(["crew briefing", "pre-departure check"]))
    by_yard = open_.filter(pl.col("remedy").is_in(["scheduled renewal", "inspection or test", "turn-round ashore", "fitting something"]))
    shares = [
        (told["aboard"], "by the kit"),
        (by_crew, "by a check before casting off or a word to the crew"),
        (by_yard, "by the yard"),
        (told["unknown"], "never came to light"),
    ]
    said = [f"{percent(float(rows['share'].sum()))} {words}" for rows, words in shares if rows.height]
    return f"Of its tows: {', '.join(said)}."
