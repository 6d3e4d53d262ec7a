"""How a part fails, in a sentence: it wears out, fails at random, fails young, or has failed too seldom to say.

In: rows of `fits`. Out: Markdown with the chance it rests on.
Elsewhere: the chance itself (`fits`), what to do about it (`advice`).
"""

from collections.abc import Mapping, Sequence
from typing import Any

import polars as pl

from dashboard.sentences.plain import counted, figure, literal, percent, row_name

ENOUGH_FAILURES = 3
SURE, UNSURE = 0.8, 0.5
DOES_NOT_FIT = 0.05
NEVER_CERTAIN = 0.999
UNITS = {"hours": "engine hours", "months": "months"}


def how_it_fails(row: dict[str, Any]) -> str:
    """Say how the part of a row of `fits` fails and how sure that is."""
    seen = counted(_failed(row), "failure", "failures")
    lives = counted(row["lives"], "life", "lives")
    chance = row["wears_out_probability"]
    if chance is None or _failed(row) < ENOUGH_FAILURES:
        return f"**Too few to say.** {seen} in {lives} cannot tell how {literal(row['component'])} fails."
    return f"**{_pattern(row, chance)}** {seen} in {lives}.{_life(row)}"


def _failed(row: dict[str, Any]) -> int:
    return row["failures"] + row["interval_censored"]


def _pattern(row: dict[str, Any], chance: float) -> str:
    if chance >= SURE:
        return f"It wears out: {percent(min(chance, NEVER_CERTAIN))} sure. The older it is, the sooner the next failure."
    if chance >= UNSURE:
        return f"It may wear out (chance {percent(chance)}), but the records do not settle it."
    posterior = row["posterior"] or {}
    if (posterior.get("shape_high") or 1.0) < 1.0:
        return f"It fails young (chance that it wears out only {percent(chance)}): look at how it is fitted before renewing it sooner."
    return f"It fails at random (chance that it wears out only {percent(chance)}): an old one is no more likely to fail than a new one."


def _life(row: dict[str, Any]) -> str:
    if row["b10"] is None:
        return ""
    limits = f" ({figure(row['b10_low'])} to {figure(row['b10_high'])})" if row["b10_low"] is not None else ""
    return f" One in ten has failed by **{figure(row['b10'])} {UNITS[row['clock']]}**{limits}."


def life_lines(rows: pl.DataFrame) -> pl.DataFrame:
    """Return the rows of `fits` for drawing, with `line` (the part and its group) and the posterior's drawn_b10, drawn_low, drawn_high."""
    told = rows.select("component", "group").to_dicts()
    names = [row_name(row["component"], row["group"]) for row in told]
    failed = (pl.col("failures") + pl.col("interval_censored")).alias("failed")
    believed = pl.col("posterior").struct
    drawn = [believed.field(f"b10{end}").alias(f"drawn_{end[1:] or 'b10'}") for end in ("", "_low", "_high")]
    told = rows.with_columns(pl.Series("line", names, pl.String), failed, *drawn)
    return told.drop("group", "posterior", "curve")


def group_lines(rows: pl.DataFrame) -> pl.DataFrame:
    """Return the rows of `fits` of one part for drawing, each named by its group alone."""
    names = [row_name("", row["group"]).strip(" ·") or "unknown" for row in rows.select("group").to_dicts()]
    return life_lines(rows).with_columns(pl.Series("line", names, pl.String))


def most_failed_first(rows: pl.DataFrame) -> pl.DataFrame:
    """Return the rows of `fits`, those with most failures first."""
    return rows.sort(pl.col("failures") + pl.col("interval_censored"), descending=True, maintain_order=True)


def read_otherwise_words(readings: Sequence[Mapping[str, Any]], clock: str) -> str:
    """Say how much hangs on how renewals on condition and without a sure reason are read; empty text where nothing does."""
    if not readings or readings[0]["b10"] is None:
        return ""
    told = [f"{one['reading']} ({one['lives']:,}): {figure(one['b10'])}" for one in readings[1:] if one["b10"] is not None]
    return f"One in ten has failed by {figure(readings[0]['b10'])} {UNITS[clock]} as it is ruled; {'; '.join(told)}." if told else ""


def notes_of(row: dict[str, Any]) -> str:
    """Say what the curve rests on: how its lives ended, and what to know of them, as Markdown."""
    told = (
        f"{counted(row['lives'], 'life', 'lives')}: {row['failures']:,} failed at a known age, {row['interval_censored']:,} between two, "
        f"{row['suspended']:,} had not failed when last seen; {row['delayed']:,} were already in use when the records begin."
    )
    return f"{told} {literal(row['note'])}" if row["note"] else told


def how_well_it_fits(goodness: dict[str, Any], clock: str) -> str:
    """Say whether the fitted line describes the ages of failure, and where not, as Markdown."""
    if goodness["p_value"] is None:
        return literal(goodness["note"])
    bands = goodness["bands"]
    if goodness["p_value"] >= DOES_NOT_FIT:
        return (
            f"**The fitted line describes the failures:** in {len(bands)} bands of age they differ from it by no more than chance "
            f"(so much in {percent(goodness['p_value'])} of such fleets)."
        )
    worst = max(bands, key=lambda band: abs(band["failed"] - band["expected"]) / band["expected"] ** 0.5)
    more = "more" if worst["failed"] > worst["expected"] else "fewer"
    ages = f"{figure(worst['from_age'])} and {figure(worst['to_age'])} {UNITS[clock]}"
    return (
        f"**The fitted line does not describe the failures well** (so far off in {percent(goodness['p_value'])} of fleets by chance): "
        f"between {ages} {worst['failed']:.0f} failed, {more} than the {worst['expected']:.1f} it expects. Trust the steps, not the line."
    )


def do_groups_differ(comparison: dict[str, Any]) -> str:
    """Say whether the groups of a part last equally long by the log-rank test, as Markdown."""
    if comparison["p_value"] is None:
        return literal(comparison["note"])
    groups = comparison["groups"]
    if comparison["p_value"] >= DOES_NOT_FIT:
        return (
            f"**The records show no difference between the {len(groups)} groups** (log-rank: so much difference by chance in "
            f"{percent(comparison['p_value'])} of fleets whose groups are alike)."
        )
    worst = max(groups, key=lambda group: group["failed"] / max(group["expected"], 1e-9))
    return (
        f"**The groups differ** by more than chance (log-rank: {percent(comparison['p_value'])}). Most beyond its share: "
        f"{literal(worst['group'])}, {worst['failed']:.0f} failed where {worst['expected']:.1f} would if all lasted equally long."
    )
