"""When each part was last inspected or tested and found sound.

In: `derived.lives`, `derived.life_evidence`, the accepted service tickets, hours of engines on the days of tickets. Out: `last_looks`.
Elsewhere: when the next look is due (`due`).
"""

import polars as pl

SOUND = "sound finding"


def last_looks(lives: pl.DataFrame, evidence: pl.DataFrame, tickets: pl.DataFrame, hours_at: pl.DataFrame) -> pl.DataFrame:
    """List every inspection and test that found a part sound.

    Parameters
    ----------
    lives, evidence
        `derived.lives` and `derived.life_evidence`.
    tickets
        Accepted service tickets: row_id, action, done_on.
    hours_at
        Columns engine_id, on_date, hours: engine hours since commissioning on those days.

    Returns
    -------
    pl.DataFrame
        Columns engine_id, vessel_id, component, position, task (`inspect` or `test`), done_on, done_h (empty: not known).
    """
    looked = tickets.filter(pl.col("action").is_in(["inspect", "test"])).select("row_id", pl.col("action").alias("task"), "done_on")
    return (
        evidence.filter(pl.col("part_played") == SOUND)
        .join(looked, on="row_id")
        .join(lives.select("life_id", "engine_id", "vessel_id", "component", "position"), on="life_id")
        .join(
            hours_at.select("engine_id", pl.col("on_date").alias("done_on"), pl.col("hours").alias("done_h")).unique(
                ["engine_id", "done_on"]
            ),
            on=["engine_id", "done_on"],
            how="left",
        )
        .select("engine_id", "vessel_id", "component", "position", "task", "done_on", "done_h")
    )
