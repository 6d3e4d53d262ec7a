"""What stands in every position now: the part's age, or that it is not known, or that the position is down.

In: `derived.positions`, `derived.lives` and `derived.fitted_now`. Out: positions with began_on, began_h, age_h, age_months and state.
Elsewhere: when it is due (`due`), what will be needed (`demand`).
"""

import polars as pl

from pipelines.advice.use import hours_a_year

RUNNING, DOWN, UNKNOWN = "running", "down", "unknown"
_BROKEN = ("failed", "found failed")
_GONE = "withdrawn"
PLACE = ("carrier", "component", "position")
NOTHING_SAID = pl.DataFrame(
    schema={
        **dict.fromkeys(("engine_id", "vessel_id", "component", "position"), pl.String),
        "fitted_on": pl.Date,
        "age_h": pl.Float64,
        "age_months": pl.Float64,
        "down": pl.Boolean,
    }
)


def present_parts(
    positions: pl.DataFrame, lives: pl.DataFrame, engine_use: pl.DataFrame, fitted_now: pl.DataFrame = NOTHING_SAID
) -> pl.DataFrame:
    """Join to every position the part that is in it.

    Where `derived.fitted_now` has the position it counts, because a life may be too young or too unsure to be one, and that of a hidden
    function ends at its last sound test; else the last life does.

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
        _as_fitted_now(joined.filter(pl.col("ending").fill_null("") != _GONE).with_columns(state.alias("state")), fitted_now)
        .with_columns(
            pl.when(pl.col("state") == DOWN).then("ended_on").alias("since"),
            *(pl.when(runs).then(name).alias(name) for name in ("began_on", "began_h", "age_h", "age_months")),
        )
        .join(hours_a_year(engine_use), left_on="hours_engine_id", right_on="engine_id", how="left", maintain_order="left")
        .drop("ended_on", "ending")
    )


def _as_fitted_now(parts: pl.DataFrame, fitted_now: pl.DataFrame) -> pl.DataFrame:
    """Put what is in each position now in place of what its last life says, where both do not say that it is down."""
    said = with_carrier(fitted_now).select(
        *PLACE, "fitted_on", pl.col("age_h").alias("now_h"), pl.col("age_months").alias("now_months"), "down"
    )
    joined = parts.join(said, on=PLACE, how="left", nulls_equal=True, maintain_order="left")
    is_running = pl.col("fitted_on").is_not_null() & ~pl.col("down")
    return joined.with_columns(
        pl.when(is_running).then(pl.lit(RUNNING)).otherwise("state").alias("state"),
        pl.when(is_running).then("fitted_on").otherwise("began_on").alias("began_on"),
        pl.when(is_running).then("now_h").otherwise("age_h").alias("age_h"),
        pl.when(is_running).then("now_months").otherwise("age_months").alias("age_months"),
    ).drop("fitted_on", "now_h", "now_months", "down")


def with_carrier(rows: pl.DataFrame) -> pl.DataFrame:
    """Add what carries the part, so that a part of an engine is told from one of its boat."""
    carrier = (
        pl.when(pl.col("engine_id").is_not_null()).then(pl.format("engine {}", "engine_id")).otherwise(pl.format("vessel {}", "vessel_id"))
    )
    return rows.with_columns(carrier.alias("carrier"))
