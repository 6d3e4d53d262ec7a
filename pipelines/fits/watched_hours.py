"""What was watched: engine hours, boat-days and position hours that events are set against.

In: frames of `derived.engine_months` and `derived.lives`. Out: frames with `engine_h` and what they can be grouped by.
Hours that are not known are left out together with the events that fell in them, never taken as zero.
Elsewhere: the rates themselves (`rate_table`).
"""

from collections.abc import Mapping

import polars as pl

from pipelines.terms.causes import UNKNOWN, remedy_of, system_of
from pipelines.terms.components import CATALOGUE

FAILED_ENDINGS = ("failed", "found failed")
"""Endings of a life that count as a failure; a renewal on condition does not."""

_DAYS_A_MONTH = 365.25 / 12
_BOAT_MONTH = ["vessel_id", "month"]


def boat_months(engine_months: pl.DataFrame) -> pl.DataFrame:
    """Sum `derived.engine_months` to one row a boat and month: `vessel_id`, `month`, `days`, `engine_h`.

    A boat with two engines has their summed hours, empty if those of either are not known, and its days once.
    """
    known = pl.when(pl.col("engine_h").is_not_null().all()).then(pl.col("engine_h").sum())
    watched = engine_months.filter(pl.col("days") > 0)
    return watched.group_by(_BOAT_MONTH).agg(pl.col("days").max(), known.alias("engine_h")).sort(_BOAT_MONTH)


def with_known_hours(engine_months: pl.DataFrame) -> pl.DataFrame:
    """Keep the rows of boats and months in which every engine's hours are known."""
    known = boat_months(engine_months).filter(pl.col("engine_h").is_not_null()).select(_BOAT_MONTH)
    return engine_months.filter(pl.col("days") > 0).join(known, on=_BOAT_MONTH, how="semi")


def fell_within(events: pl.DataFrame, months: pl.DataFrame) -> pl.Series:
    """Tell for each event (`vessel_id`, `month`) whether its boat and month are among those of another frame."""
    held = months.select(_BOAT_MONTH).unique().with_columns(held=pl.lit(True))
    return events.select(_BOAT_MONTH).join(held, on=_BOAT_MONTH, how="left", maintain_order="left")["held"].fill_null(False)


def failures_of_lives(lives: pl.DataFrame, systems: Mapping[str, str] | None = None) -> pl.DataFrame:
    """Return the lives that ended in a failure, as events.

    Parameters
    ----------
    lives
        Rows of `derived.lives`.
    systems
        Component to system, for a fleet with parts of its own; `None`: the built-in catalogue.

    Returns
    -------
    polars.DataFrame
        Those rows with `month` (first day) and `remedy` added, `cause` filled with `unknown`, and `system` that of the
        cause, else of the component.
    """
    of_component = systems if systems is not None else {code: component.system for code, component in CATALOGUE.items()}
    failed = lives.filter(pl.col("ending").is_in(FAILED_ENDINGS)).with_columns(pl.col("cause").fill_null(UNKNOWN))
    causes = failed["cause"].unique().to_list()
    of_cause = {cause: system_of(cause) for cause in causes if system_of(cause) != UNKNOWN}
    system = pl.coalesce(_looked_up("cause", of_cause), _looked_up("component", of_component)).fill_null(UNKNOWN)
    remedy = _looked_up("cause", {cause: remedy_of(cause) for cause in causes})
    return failed.with_columns(pl.col("ended_on").dt.truncate("1mo").alias("month"), system.alias("system"), remedy.alias("remedy"))


def position_hours(lives: pl.DataFrame) -> pl.DataFrame:
    """Add `engine_h`, the hours for which each life was watched; lives whose hours are not known are left out.

    Watched until it failed or was found failed; one renewed on condition until it was renewed.
    """
    end = pl.when(pl.col("ending") == "condition").then("low_h").otherwise(pl.coalesce("high_h", "low_h"))
    return lives.with_columns((end - pl.col("entry_h")).alias("engine_h")).filter(pl.col("engine_h").is_not_null())


def position_hours_by_month(lives: pl.DataFrame, engine_months: pl.DataFrame | None) -> pl.DataFrame:
    """Spread each life's watched hours over its calendar months, as its boat's engines ran in them: `month`, `engine_h`.

    A life whose boat has no known hours in its time (or none at all are given) is spread evenly.
    """
    months = position_hours(lives).select("life_id", "vessel_id", "engine_h", _months_watched()).explode("month")
    run = _hours_run(engine_months) if engine_months is not None else months.select(*_BOAT_MONTH, run_h=pl.lit(0.0)).clear()
    weighed = months.join(run, on=_BOAT_MONTH, how="left").with_columns(pl.col("run_h").fill_null(0.0))
    total = pl.col("run_h").sum().over("life_id")
    share = pl.when(total > 0).then(pl.col("run_h") / total).otherwise(1 / pl.len().over("life_id"))
    return weighed.select("month", (pl.col("engine_h") * share).alias("engine_h"))


def _months_watched() -> pl.Expr:
    watched_days = (pl.col("low_months") - pl.col("entry_months")) * _DAYS_A_MONTH
    began = pl.col("ended_on") - pl.duration(days=watched_days.fill_null(0.0).round().cast(pl.Int64))
    span = pl.date_ranges(began.dt.truncate("1mo"), pl.col("ended_on").dt.truncate("1mo"), "1mo")
    return span.alias("month")


def _hours_run(engine_months: pl.DataFrame) -> pl.DataFrame:
    return boat_months(engine_months).select(*_BOAT_MONTH, pl.col("engine_h").fill_null(0.0).alias("run_h"))


def _looked_up(column: str, words: Mapping[str, str]) -> pl.Expr:
    return pl.col(column).replace_strict(list(words), list(words.values()), default=None, return_dtype=pl.String)
