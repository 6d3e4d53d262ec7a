"""How much the use of a whole season differs from what was to be expected of it.

In: engine hours by month (`derived.engine_months`). Out: a standard deviation of a logarithm.
Elsewhere: each engine's own hours through the year (`seasons`).
"""

from collections.abc import Callable
from datetime import date

import numpy as np
import polars as pl

from pipelines.advice.age_replacement import Array

USUAL = 0.12
"""Standard deviation of the logarithm of a season's hours where nothing is known of other seasons: our choice, no source."""
WORTH = 3.0
"""Seasons that it is worth."""


def use_doubt(engine_months: pl.DataFrame, season_name: Callable[[date], str]) -> float:
    """Find the standard deviation of the logarithm of hours per engine-day between seasons, drawn towards the usual one.

    Parameters
    ----------
    engine_months
        month, days, engine_h; months without hours are passed over.
    season_name
        Names the season a month lies in; only seasons with all twelve months count.
    """
    return _spread(_logs(engine_months, season_name))


def doubt_ahead(engine_months: pl.DataFrame, season_name: Callable[[date], str]) -> float:
    """Find how far a season to come lies from the mean of those seen: their spread, and that so few were seen to take the mean of.

    Takes the same as `use_doubt`.
    """
    logs = _logs(engine_months, season_name)
    return ahead_of_mean(_spread(logs), logs.size)


def ahead_of_mean(spread: float, seasons: int) -> float:
    """Widen the spread between seasons by the error of a mean over so many; over none, as over one."""
    return float(spread * np.sqrt(1 + 1 / max(1, seasons)))


def _spread(logs: Array) -> float:
    spread = float(((logs - logs.mean()) ** 2).sum()) if logs.size else 0.0
    return float(np.sqrt((WORTH * USUAL**2 + spread) / (WORTH + max(0, logs.size - 1))))


def _logs(engine_months: pl.DataFrame, season_name: Callable[[date], str]) -> Array:
    timed = engine_months.filter(pl.col("engine_h").is_not_null(), pl.col("days") > 0)
    if timed.is_empty():
        return np.empty(0)
    names = {month: season_name(month) for month in timed["month"].unique()}
    by_month = timed.with_columns(season=pl.col("month").replace_strict(names, return_dtype=pl.String))
    whole = by_month.group_by("season").agg(pl.col("month").n_unique().alias("months"), pl.col("engine_h").sum(), pl.col("days").sum())
    rates = whole.filter((pl.col("months") >= 12) & (pl.col("engine_h") > 0)).select(pl.col("engine_h") / pl.col("days")).to_series()
    return np.log(rates.to_numpy())
