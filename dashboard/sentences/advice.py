"""What is advised, in a few words and in a sentence.

In: rows of `intervals`. Out: text; Markdown where it says so.
Elsewhere: the advice and its reason (`advice`).
"""

from typing import Any

import polars as pl

from dashboard.sentences.plain import figure, literal, money, percent, row_name


def every(hours: float | None, months: float | None) -> str:
    """Say an interval in a few words: `200 h or 12 months`, or `when it fails`."""
    parts = [f"{figure(hours)} h"] if hours is not None else []
    parts += [f"{figure(months)} {'month' if months == 1 else 'months'}"] if months is not None else []
    return " or ".join(parts) or "when it fails"


def headline(row: dict[str, Any]) -> str:
    """Return the verdict with what to do, as Markdown."""
    verdict = row["verdict"][0].upper() + row["verdict"][1:]
    return f"**{literal(verdict)}: {every(row['renew_h'], row['renew_months'])}**{_whichever(row)}"


def _whichever(row: dict[str, Any]) -> str:
    return ", whichever comes first" if row["renew_h"] is not None and row["renew_months"] is not None else ""


def beside_it(row: dict[str, Any]) -> str:
    """Return what is done now and what the maker allows, as Markdown; looking and testing where they are advised."""
    limit = every(row["limit_h"], row["limit_months"]) if (row["limit_h"], row["limit_months"]) != (None, None) else "none on record"
    kind = "" if row["limit_binding"] is not False else " (not binding)"
    told = [f"Now: {every(row['current_h'], row['current_months'])}", f"Limit: {limit}{kind}"]
    looks = (("look", row["inspect_h"], row["inspect_months"]), ("test", None, row["test_months"]))
    told += [f"{verb.capitalize()} every {every(hours, months)}" for verb, hours, months in looks if (hours, months) != (None, None)]
    passed = ["It passes a limit that is not binding: keep the written approval at hand"] if _passes_limit(row) else []
    return " · ".join(told + passed)


def _passes_limit(row: dict[str, Any]) -> bool:
    ages = ((row[f"renew_{unit}"], row[f"limit_{unit}"]) for unit in ("h", "months"))
    return any(limit is not None and (age is None or age > limit) for age, limit in ages)


def saving(row: dict[str, Any], currency: str) -> str:
    """Say what the advice saves a year over today's interval with its limits, and the chance that renewing pays, as Markdown."""
    low, middle, high = row["saving_low"], row["saving_per_year"], row["saving_high"]
    if middle is None:
        return "No saving can be given; the reason says why."
    if (low, middle, high) == (0, 0, 0):
        return f"It is what you do today, so there is nothing to save.{_pays(row)}"
    limits = f" ({money(low, currency)} to {money(high, currency)})" if low is not None else ""
    positions = f"over {row['positions']:,} positions" if row["positions"] != 1 else "at its one position"
    return f"Saves **{money(middle, currency)} a year** {positions}{limits} against today's interval.{_pays(row)}"


def saving_otherwise(row: dict[str, Any], currency: str) -> str:
    """Say what the advice saves a year over waiting for the failure and over the limit, with limits, as Markdown; empty where unknown."""
    told = [("waiting for the failure", "saving_over_failure"), ("renewing at the limit", "saving_over_limit")]
    given = [(words, *(row.get(f"{name}{end}") for end in ("", "_low", "_high"))) for words, name in told]
    parts = [
        f"{words}: {money(mid, currency)} ({money(low, currency)} to {money(high, currency)})" for words, mid, low, high in given if mid
    ]
    return f" Saved a year against {'; against '.join(parts)}." if parts else ""


def _pays(row: dict[str, Any]) -> str:
    if row["pays_probability"] is None or (row["renew_h"], row["renew_months"]) == (None, None):
        return ""
    return f" Chance that renewing at this age costs less than waiting for the failure: {percent(row['pays_probability'])}."


def most_saved_first(rows: pl.DataFrame) -> pl.DataFrame:
    """Return the rows of `intervals`, those that save most first, then those with most failures."""
    return rows.sort("saving_per_year", "failures", descending=True, nulls_last=True, maintain_order=True)


def advice_lines(rows: pl.DataFrame) -> pl.DataFrame:
    """Return the rows of `intervals` with `line` (the part and its group) and `advice` (the interval in a few words), for drawing."""
    told = rows.select("component", "group", "renew_h", "renew_months").to_dicts()
    return rows.with_columns(
        pl.Series("line", [row_name(row["component"], row["group"]) for row in told], pl.String),
        pl.Series("advice", [every(row["renew_h"], row["renew_months"]) for row in told], pl.String),
    ).drop("group")
