"""What stands in every position now: the part's age, or that it is not known, or that the position is down.

In: `derived.positions` and `derived.lives`. Out: positions with began_on, began_h, age_h, age_months and state.
Elsewhere: when it is due (`due`), what will be needed (`demand`).
"""

import polars as pl

from pipelines.advice.use import hours_a_year

RUNNING, DOWN, UNKNOWN = "running", "down", "unknown"
_BROKEN = ("failed", "found failed")
_GONE = "withdrawn"
PLACE = ("carrier", "component", "position")


def present_parts(positions: pl.DataFrame, lives: pl.DataFrame, engine_use: pl.DataFrame) -> pl.DataFrame:
    """Join to every position the life that runs in it.

    Returns
    -------
    pl.DataFrame
        The positions still in service, with began_on, began_h, age_h, age_months (empty: not known), state (`running`; `down`: failed and
        not renewed; `unknown`: no fitting is recorded), since (day it went down) and year_h (engine hours a year).
    """
    latest = (
        with_carrier(lives)
        .sort("began_on", "ended_on", maintain_order=True)
        .group_by(PLACE, maintain_order=True)
        .last()
        .select(
            *PLACE, "began_on", "began_h", "ended_on", "ending", pl.col("low_h").alias("age_h"), pl.col("low_months").alias("age_months")
        )
    )
    joined = with_carrier(positions).join(latest, on=PLACE, how="left", nulls_equal=True, maintain_order="left")
    state = (
        pl.when(pl.col("ending") == "running")
        .then(pl.lit(RUNNING))
        .when(pl.col("ending").is_in(_BROKEN))
        .then(pl.lit(DOWN))
        .otherwise(pl.lit(UNKNOWN))
    )
    runs = pl.col("state") == RUNNING
    return (
        joined.filter(pl.col("ending").fill_null("") != _GONE)
        .with_columns(state.alias("state"))
        .with_columns(
            pl.when(pl.col("state") == DOWN).then("ended_on").alias("since"),
            *(pl.when(runs).then(name).alias(name) for name in ("began_on", "began_h", "age_h", "age_months")),
        )
        .join(hours_a_year(engine_use), left_on="hours_engine_id", right_on="engine_id", how="left", maintain_order="left")
        .drop("ended_on", "ending")
    )


def with_carrier(rows: pl.DataFrame) -> pl.DataFrame:
    """Add what carries the part, so that a part of an engine is told from one of its boat."""
    carrier = (
        pl.when(pl.col("engine_id").is_not_null()).then(pl.format("engine {}", "engine_id")).otherwise(pl.format("vessel {}", "vessel_id"))
    )
    return rows.with_columns(carrier.alias("carrier"))
