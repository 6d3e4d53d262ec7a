"""Where the advice differs from the plan in force, on a page for signature.

In: rows of the answer `intervals`. Out: a sheet. Elsewhere: the advice (`advice.verdict`), adopting it (`flow.adopting`).
"""

from collections.abc import Mapping

import polars as pl

from pipelines.exports.papers.blocks import BOX, Block, Column, Fields, Heading, Sheet, Words, table
from pipelines.exports.papers.written import counted, figure, interval, share, span

WAITING = ("too little to say",)


def plan_sheet(verdicts: pl.DataFrame, labels: Mapping[str, str], currency: str) -> Sheet:
    """Set today's interval against the advised one for every part where they differ.

    Parameters
    ----------
    verdicts
        Rows of the answer `intervals`.
    labels
        {component: how it is written}.
    currency
        ISO 4217 code; empty: not said.
    """
    changes = verdicts.filter(differs()).sort("saving_per_year", descending=True, nulls_last=True)
    same = verdicts.height - changes.height
    said = f"{counted(changes.height, 'part', 'parts')} of {verdicts.height}: the advice differs from the plan in force."
    blocks: list[Block] = [Words(f"{said} {_total(changes, currency)}".strip())]
    if changes.height:
        blocks.append(table(_COLUMNS, [_row(row, labels) for row in changes.iter_rows(named=True)]))
    others = counted(same, "other part", "other parts")
    blocks.append(Words(f"For {others} the plan stays as it is, or too little is known to change it.", faint=True))
    blocks.append(Words("Tick what is adopted. Nothing changes until it is adopted in towless with a name and a reason.", faint=True))
    blocks.append(Fields(("Adopted by", "Date", "Approved by (limits that are passed)")))
    if changes.height:
        blocks += [Heading("Why"), *(Words(f"{_name(row, labels)}: {row['reason']}") for row in changes.iter_rows(named=True))]
    return Sheet("Intervals for signature", "", tuple(blocks))


def differs() -> pl.Expr:
    """Whether what is advised is another interval than today's; where too little is known nothing is put forward."""
    told = ~pl.col("verdict").is_in(WAITING)
    hours = pl.col("renew_h").ne_missing(pl.col("current_h"))
    months = pl.col("renew_months").ne_missing(pl.col("current_months"))
    return told & (hours | months)


_COLUMNS = (
    Column(""),
    Column("part", share=1.6),
    Column("today", share=1),
    Column("advised", share=1),
    Column("range, h", "right"),
    Column("saving a year", "right"),
    Column("90 % limits", "right"),
    Column("pays", "right"),
    Column("failures", "right"),
)


def _row(row: dict, labels: Mapping[str, str]) -> list[str]:
    low, high = row["range_h"] if row["range_h"] else (None, None)
    return [
        BOX,
        _name(row, labels),
        interval(row["current_h"], row["current_months"], "no interval"),
        _advised(row),
        span(low, high),
        figure(row["saving_per_year"]),
        span(row["saving_low"], row["saving_high"]),
        share(row["pays_probability"]),
        figure(row["failures"]),
    ]


def _advised(row: dict) -> str:
    """Say what to do, with the looks and tests that belong to it."""
    looks = (("look", row.get("inspect_h"), row.get("inspect_months")), ("test", None, row.get("test_months")))
    told = [f"{verb} every {interval(hours, months)}" for verb, hours, months in looks if (hours, months) != (None, None)]
    return "; ".join([interval(row["renew_h"], row["renew_months"]), *told])


def _name(row: dict, labels: Mapping[str, str]) -> str:
    group = ", ".join(str(word) for word in (row["group"] or {}).values() if word) if row["group"] else ""
    label = labels.get(row["component"], row["component"])
    return f"{label} ({group})" if group else label


def _total(changes: pl.DataFrame, currency: str) -> str:
    total = changes["saving_per_year"].drop_nulls().sum()
    return f"Expected saving of all of them: {figure(float(total))} {currency} a year.".replace("  ", " ") if changes.height else ""
