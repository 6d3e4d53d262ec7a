"""Boats that should stay tied up until a person has looked: one line a boat, with its reasons in order.

In: tasks from `due`. Out: `tied_up`. towless advises and certifies nothing: whether a boat may go out a licensed technician decides.
A put-off, which never passes a ceiling, keeps a late safety part from tying up its boat until its day; it unties nothing else.
Common practice in yards, no source, but for limits, which are the maker's or the law's.
Elsewhere: what is due (`due`), which limits must be kept (`current_plan`).
"""

from datetime import date

import polars as pl

from pipelines.advice.present import DOWN
from pipelines.terms.spoken import spoken_day

DECIDES = (
    "Leave these boats tied up until a person has looked. towless advises and certifies nothing: a licensed technician decides whether a "
    "boat may go out."
)
SCHEMA = {"vessel_id": pl.String, "reason": pl.String, "reasons": pl.List(pl.String), "since": pl.Date, "jobs": pl.Int64}

_REASONS = ("failed and not renewed", "safety part overdue", "hidden function not tested in time", "limit that must be kept is passed")


def tied_up(tasks: pl.DataFrame, as_of: date) -> pl.DataFrame:
    """List the boats that should stay tied up.

    Parameters
    ----------
    tasks
        From `due.due_tasks`.
    as_of
        Today.

    Returns
    -------
    pl.DataFrame
        One row a boat: vessel_id, reasons (in words; the gravest sort first, then the oldest), reason (all of them in a line), since (day
        of the oldest), jobs (how many tasks stand behind it). Boats with the gravest first reason come first, then those tied up longest.
        A part whose age is not known ties up no boat; it stands in the list of what is due.
    """
    rank = _rank(as_of)
    found = tasks.with_columns(rank.alias("rank")).filter(pl.col("rank").is_not_null() & pl.col("vessel_id").is_not_null())
    ordered = found.with_columns(_since().alias("since")).sort("vessel_id", "rank", "since", "component", "engine_id", "position")
    said = [_sentence(row) for row in ordered.select("rank", "since", "component", "task", "engine_id", "position").to_dicts()]
    boats = (
        ordered.with_columns(pl.Series("reason", said, pl.String))
        .group_by("vessel_id", maintain_order=True)
        .agg(pl.col("reason").alias("reasons"), pl.col("since").min(), pl.len().cast(pl.Int64).alias("jobs"), pl.col("rank").first())
    )
    return boats.with_columns(pl.col("reasons").list.join("; ").alias("reason")).sort("rank", "since", "vessel_id").select(*SCHEMA)


def _rank(as_of: date) -> pl.Expr:
    """Which reason ties the boat of a task up, the gravest first; empty: none."""
    passed = (pl.col("ceiling_on") <= as_of).fill_null(value=False)
    late = (pl.col("due_on") <= as_of).fill_null(value=False)
    is_test = (pl.col("task") == "test") & pl.col("hidden")
    return (
        pl.when(pl.col("state") == DOWN)
        .then(0)
        .when(pl.col("safety") & (pl.col("task") == "renew") & late & (pl.col("overdue") | passed))
        .then(1)
        .when(is_test & passed)
        .then(2)
        .when(pl.col("limit_is_ceiling").fill_null(value=False) & passed)
        .then(3)
    )


def _since() -> pl.Expr:
    return pl.when(pl.col("rank") >= 2).then("ceiling_on").otherwise("due_on")


def _sentence(row: dict) -> str:
    where = " ".join(str(word) for word in (row["position"], row["component"]) if word)
    on = f" of engine {row['engine_id']}" if row["engine_id"] else ""
    what = f"{row['task']} " if row["rank"] in (1, 3) and row["task"] != "renew" else ""
    return f"{_REASONS[row['rank']]}: {what}{where}{on}, since {spoken_day(row['since'])}"
