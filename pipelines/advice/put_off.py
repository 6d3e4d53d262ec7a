"""What putting a task off does to it: not overdue until its day, then overdue again, and never past what must be kept.

In: tasks from `due`, put-offs that were written down. Out: the tasks with what stands of them.
A put-off ends when the task is done, or the part fails, after it; a day past the ceiling counts as the ceiling's own day, whatever the
reason the ceiling came nearer. Common practice in yards, no source.
Elsewhere: what may be put off at all and who is refused (`flow.putting_off`), where they are kept (`ledger`).
"""

from datetime import date

import polars as pl

from pipelines.advice.present import DOWN, PLACE, with_carrier
from pipelines.advice.seasons import Seasons, days_on
from pipelines.terms.account import PUT_OFFS

NOTHING_PUT_OFF = pl.DataFrame(schema={column.name: column.polars_type for column in PUT_OFFS.columns})
TASK = (*PLACE, "task")


def with_put_offs(tasks: pl.DataFrame, put_offs: pl.DataFrame, seasons: Seasons, as_of: date) -> pl.DataFrame:
    """Add what was put off, and whether each task is overdue.

    Parameters
    ----------
    tasks
        Columns carrier, component, position, task, state, since, done_on, age_h, due_on, ceiling_on, hours_engine_id.
    put_offs
        Rows of `about.put_offs`; those taken back count for nothing.
    seasons
        Hours ahead: a put-off may end at an age in hours.
    as_of
        Today.

    Returns
    -------
    pl.DataFrame
        The tasks in their order with deferred_until (the last put-off's day, or the ceiling's, or the day its hours are run, whichever
        comes first; it stays told when it is over), times_put_off, put_off_by, put_off_because, put_off_import, and overdue.
    """
    standing = _standing(tasks, put_offs)
    told = tasks.join(standing, on=list(TASK), how="left", nulls_equal=True, maintain_order="left")
    left_h = (told["until_h"] - told["age_h"]).to_numpy()
    by_hours = pl.Series(days_on(as_of, seasons.days_until(told["hours_engine_id"].to_list(), left_h)), dtype=pl.Date)
    until = pl.when(pl.col("until_on").is_not_null()).then(pl.min_horizontal("until_on", by_hours, "ceiling_on"))
    is_put_off = (pl.col("deferred_until") > as_of).fill_null(value=False)
    return (
        told.with_columns(until.alias("deferred_until"), pl.col("times_put_off").fill_null(0).cast(pl.Int64))
        .with_columns(((pl.col("due_on") <= as_of) & ~is_put_off).alias("overdue"))
        .drop("until_on", "until_h")
    )


def _standing(tasks: pl.DataFrame, put_offs: pl.DataFrame) -> pl.DataFrame:
    """Give for each task the last put-off that stands, and how many of them do."""
    marks = tasks.select(*TASK, pl.when(pl.col("state") == DOWN).then("since").alias("failed_on"), "done_on")
    kept = with_carrier(put_offs.filter(pl.col("undone_at").is_null())).drop("due_on")
    over = (pl.col("done_on") >= pl.col("put_off_on")) | (pl.col("failed_on") > pl.col("put_off_on"))
    return (
        kept.join(marks, on=list(TASK), how="inner", nulls_equal=True)
        .filter(~over.fill_null(value=False))
        .sort("put_off_no")
        .group_by(TASK, maintain_order=True)
        .agg(
            pl.col("until_on", "until_h", "put_off_by").last(),
            pl.col("because").last().alias("put_off_because"),
            pl.col("import_id").last().alias("put_off_import"),
            pl.len().alias("times_put_off"),
        )
    )
