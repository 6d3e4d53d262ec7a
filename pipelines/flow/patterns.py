"""What lies behind a rate: whether it changes with the years and seasons, which boats stand out, how calls add up on a boat.

In: calls of a scope with what was watched, or lives. Out: the extra keys of the answer `rates`.
A pattern that the records cannot show is empty, with the reason in its `note`.
Elsewhere: each method (`fits`), the rates themselves (`rating`), their pictures (`dashboard.charts`).
"""

from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import Any

import polars as pl

from pipelines.errors import NoFigure
from pipelines.fits.boat_limits import funnel, funnel_lines
from pipelines.fits.coding_breaks import CodingBreak, coding_breaks
from pipelines.fits.recurrence import Histories, histories_of_calls, mean_cumulative
from pipelines.fits.recurrence_trend import laplace, power_law
from pipelines.fits.trend import ALL, monthly_counts, seasons, trend

Pattern = dict[str, Any]
_TREND = ("per_year", "low", "high", "p_value")


def patterns_of_calls(calls: pl.DataFrame, months: pl.DataFrame, by_vessel: pl.DataFrame, level: float) -> dict[str, Pattern]:
    """Return every pattern of calls.

    Parameters
    ----------
    calls, months
        Rows of `derived.calls` and `derived.engine_months`, in the scope.
    by_vessel
        Rates by boat: `group`, `events`, `exposure_h`, `rate`.
    level
        Confidence level of limits.
    """
    of_causes = monthly_counts(calls, months, "cause")
    breaks = coding_breaks(of_causes)
    priced = calls.filter(pl.col("cost").is_not_null())
    found = _patterns(monthly_counts(calls, months), by_vessel, level)
    of_coding = {"breaks": [_break(step) for step in breaks], "causes": _trends(of_causes, breaks, level)}
    return found | {
        "trend": found["trend"] | of_coding,
        "recurrence": _told(lambda: _recurrence(*histories_of_calls(calls, months), level)),
        "cost_recurrence": _told(lambda: _costs(priced, calls, months, level)),
    }


def patterns_of_failures(by_month: pl.DataFrame, by_vessel: pl.DataFrame, level: float) -> dict[str, Pattern]:
    """Return the patterns of failures of parts, from their rates by month and by boat; no part of them is about coding or costs."""
    dated = by_month.filter(pl.col("group").str.contains(r"^\d{4}-\d{2}$"), pl.col("exposure_h") > 0)
    monthly = dated.select(pl.col("group").str.to_date("%Y-%m").alias("month"), pl.lit(ALL).alias("name"), "events", "exposure_h")
    return _patterns(monthly, by_vessel, level)


def _patterns(monthly: pl.DataFrame, by_vessel: pl.DataFrame, level: float) -> dict[str, Pattern]:
    return {
        "trend": _told(lambda: _trend(monthly, level)) | {"breaks": [], "causes": []},
        "seasons": _told(lambda: _seasons(monthly, level)),
        "boats": _told(lambda: _boats(by_vessel)),
    }


def _told(make: Callable[[], Pattern]) -> Pattern:
    """Return a pattern, or only the reason why there is none."""
    try:
        return make()
    except NoFigure as reason:
        return {"note": str(reason)}


def _trend(monthly: pl.DataFrame, level: float) -> Pattern:
    found = trend(monthly, level=level)
    return {name: getattr(found, name) for name in (*_TREND, "dispersion", "monthly")} | {"note": found.note or None}


def _trends(monthly: pl.DataFrame, breaks: Sequence[CodingBreak], level: float) -> list[Pattern]:
    """Trend of each cause, cut where its coding changed; causes too rare for one are left out."""
    told = []
    for cause in monthly["name"].unique().sort():
        with suppress(NoFigure):
            found = trend(monthly, cause, breaks, level)
            told.append({"cause": cause} | {name: getattr(found, name) for name in _TREND} | {"note": found.note or None})
    return told


def _break(step: CodingBreak) -> Pattern:
    return {"month": step.month, "fewer": list(step.fewer), "more": list(step.more), "p_value": step.p_value, "told": step.told}


def _seasons(monthly: pl.DataFrame, level: float) -> Pattern:
    rows, p_value = seasons(monthly, level=level)
    return {"rows": rows, "p_value": p_value, "note": None}


def _boats(by_vessel: pl.DataFrame) -> Pattern:
    timed = (pl.col("rate") * pl.col("exposure_h") / 1_000).round().cast(pl.Int64)
    boats = by_vessel.filter(pl.col("exposure_h") > 0).select(pl.col("group").alias("name"), timed.alias("events"), "exposure_h")
    rows = funnel(boats)
    return {"rows": rows, "limits": funnel_lines(rows), "note": None}


def _recurrence(of: Histories, left_out: int, level: float) -> Pattern:
    faster, law = laplace(of), power_law(of, level=level)
    return {
        "rows": mean_cumulative(of, level),
        "boats": int(of.start.size),
        "left_out": left_out,
        "laplace": {"statistic": faster.statistic, "p_value": faster.p_value},
        "power_law": {"growth": law.growth, "growth_low": law.growth_low, "growth_high": law.growth_high},
        "note": None,
    }


def _costs(priced: pl.DataFrame, calls: pl.DataFrame, months: pl.DataFrame, level: float) -> Pattern:
    if priced.is_empty():
        raise NoFigure("No call has its cost on record, so costs cannot be added up.")
    of, left_out = histories_of_calls(priced, months, cost=True)
    without = calls.height - priced.height
    note = f"{without} of {calls.height} calls have no cost on record; they add nothing here." if without else None
    return {"rows": mean_cumulative(of, level), "boats": int(of.start.size), "left_out": left_out, "note": note}
