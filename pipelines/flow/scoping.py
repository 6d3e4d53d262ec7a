"""Filters applied: the rows of a scope, and the columns a question may be grouped by.

In: a frame of `derived` or `accepted`, filters. Out: the frame that is left.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import polars as pl

from pipelines.terms.scope import Scope

DAYS_A_MONTH = 365.25 / 12
OUR_GROUPS = {
    "model": "engine_model",
    "class": "vessel_class",
    "base": "base",
    "water": "water",
    "drive": "drive",
    "fuel": "fuel",
}
"""Words a person groups by, with the column they mean; any other word is a column of the fleet's own."""


def of_scope(frame: pl.DataFrame, scope: Scope, columns: Sequence[str] = ()) -> pl.DataFrame:
    """Keep the rows that the filters on words keep; `columns` names those that apply (none: all that the frame has).

    A component's filter is passed over where the frame has no component, as with hours watched.
    """
    wanted = {column: word for column, word in scope.columns.items() if column in (columns or frame.columns)}
    return frame.filter(*(pl.col(column) == word for column, word in wanted.items()))


def dated_within(frame: pl.DataFrame, column: str, scope: Scope) -> pl.DataFrame:
    """Keep the rows whose day is within the filters' days."""
    bounds = []
    if scope.since is not None:
        bounds.append(pl.col(column) >= scope.since)
    if scope.until is not None:
        bounds.append(pl.col(column) <= scope.until)
    return frame.filter(*bounds)


def as_watched(scope: Scope) -> Scope:
    """Turn days into what they mean for lives: nothing later than `until` is known; `since` stays, for `seen_since`."""
    ends = [day for day in (scope.as_of, scope.until) if day is not None]
    return replace(scope, as_of=min(ends, default=None), until=None)


def seen_since(lives: pl.DataFrame, since: date | None) -> pl.DataFrame:
    """Let lives come under observation on a day: those that ended before are out, those that began before enter at their age then.

    Hours at that day are taken in proportion to days. Cutting ages without this would keep only the parts that had lasted.
    """
    if since is None:
        return lives
    before = (pl.lit(since) - pl.col("began_on")).dt.total_days().clip(lower_bound=0)
    share = before / (pl.col("ended_on") - pl.col("began_on")).dt.total_days().clip(lower_bound=1)
    entered = lives.filter(pl.col("ended_on") >= since).with_columns(
        pl.max_horizontal("entry_months", before / DAYS_A_MONTH).alias("entry_months"),
        pl.when(pl.col("entry_h").is_not_null()).then(pl.max_horizontal("entry_h", pl.col("low_h") * share)).alias("entry_h"),
    )
    ends = [(f"{end}_{clock}", f"entry_{clock}") for clock in ("h", "months") for end in ("low", "high")]
    return entered.with_columns(
        pl.when(pl.col(name).is_not_null()).then(pl.max_horizontal(name, entry)).alias(name) for name, entry in ends
    )
