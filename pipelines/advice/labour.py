"""Hours of labour a task takes, from the fleet's own tickets.

In: ticket lines with what was done and how long it took, tasks. Out: hours a task and where each comes from.
Elsewhere: the weeks they are laid into (`weeks`).
"""

import polars as pl

LEAST_TICKETS = 3
"""Fewer lines than this tell no median of their own."""
ASSUMED_H = 1.0
ASSUMED = "assumed: no ticket says how long such work takes"
_TASK_OF = {"renew": "renew", "fit": "renew", "inspect": "inspect", "clean": "inspect", "test": "test"}


def with_labour(tasks: pl.DataFrame, tickets: pl.DataFrame) -> pl.DataFrame:
    """Add the hours each task takes.

    Parameters
    ----------
    tasks
        Columns component, task.
    tickets
        Accepted service tickets: component, action, labour_h.

    Returns
    -------
    pl.DataFrame
        The tasks in their order with labour_h and labour_from: the median of at least `LEAST_TICKETS` lines of that task on that
        component, else of all lines of that task, else one hour, said to be assumed.
    """
    known = tickets.select(
        "component", pl.col("action").replace_strict(_TASK_OF, default=None, return_dtype=pl.String).alias("task"), "labour_h"
    ).filter((pl.col("labour_h") > 0) & pl.col("task").is_not_null())
    own = _medians(known, ["component", "task"], "own")
    like = _medians(known, ["task"], "like")
    told = tasks.join(own, on=["component", "task"], how="left", maintain_order="left").join(
        like, on="task", how="left", maintain_order="left"
    )
    return told.with_columns(
        pl.coalesce("own_h", "like_h", pl.lit(ASSUMED_H)).alias("labour_h"),
        pl.when(pl.col("own_h").is_not_null())
        .then(pl.format("median of {} ticket lines", "own_lines"))
        .when(pl.col("like_h").is_not_null())
        .then(pl.format("assumed: median of all {} lines to {}", "like_lines", "task"))
        .otherwise(pl.lit(ASSUMED))
        .alias("labour_from"),
    ).drop("own_h", "own_lines", "like_h", "like_lines")


def _medians(known: pl.DataFrame, keys: list[str], name: str) -> pl.DataFrame:
    return (
        known.group_by(keys)
        .agg(pl.col("labour_h").median().alias(f"{name}_h"), pl.len().alias(f"{name}_lines"))
        .filter(pl.col(f"{name}_lines") >= LEAST_TICKETS)
    )
