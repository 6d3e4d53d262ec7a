"""Ids of rows that came without: made from file and line, and told apart from those that were written.

In: typed rows. Out: the rows with their ids filled, and `made`, which says what of an id was made. A made id is no part of a row's key or
content, so that the same row of another file is the same row.
Elsewhere: keys, contents and their hashes (`ledger.identity`), what follows from equal ones (`ledger`).
"""

import polars as pl

from pipelines.terms.tables import RecordKind

SEPARATOR = "\x1f"
MADE, MADE_ID = "made", "id"
"""Column that says what was made of a row's id, and what stands there for an id made from file and line."""
SAME_JOB = ("component", "position", "action")
"""Lines of one ticket that have no line number are told apart by these."""


def identified(rows: pl.DataFrame, kind: RecordKind, place: str) -> pl.DataFrame:
    """Fill the ids that are absent, and say which were.

    Parameters
    ----------
    rows
        Columns of the kind and `line`.
    kind
        Record kind of the rows.
    place
        File, with the sheet if it has one: made ids are `place#line`.

    Returns
    -------
    pl.DataFrame
        With `made`: `id` where the id was made, `+2`, `+3`, ... for the second and further jobs of a ticket whose lines have no number,
        else null.
    """
    if not kind.made_id or not any(rows[name].null_count() for name in {kind.made_id, *kind.key}):
        return rows.with_columns(pl.lit(None, pl.String).alias(MADE))
    absent = pl.col(kind.made_id).is_null()
    jobs = _made_lines(rows) if "line_no" in kind.key else pl.lit(None, pl.String)
    made = pl.when(absent).then(pl.lit(MADE_ID)).otherwise(jobs)
    filled = pl.coalesce(kind.made_id, pl.format("{}#{}", pl.lit(place), "line"))
    return rows.with_columns(made.alias(MADE), filled.alias(kind.made_id))


def _made_lines(rows: pl.DataFrame) -> pl.Series:
    """Give each further job of a ticket whose lines have no number one; the first has none, so a ticket of one job keeps its key."""
    job = pl.concat_str([pl.col(name).fill_null("").str.to_lowercase() for name in SAME_JOB], separator=SEPARATOR)
    numbered = pl.col("ticket_id").is_not_null() & pl.col("line_no").is_null()
    open_ = rows.with_row_index("row").filter(numbered).select("row", "ticket_id", job=job)
    jobs = open_.unique(["ticket_id", "job"], keep="first", maintain_order=True)
    jobs = jobs.with_columns(number=pl.int_range(pl.len()).over("ticket_id")).filter(pl.col("number") > 0)
    made = open_.join(jobs, on=["ticket_id", "job"]).select("row", pl.format("+{}", pl.col("number") + 1).alias(MADE))
    every = pl.DataFrame({"row": pl.int_range(rows.height, eager=True, dtype=pl.UInt32)})
    return every.join(made, on="row", how="left", maintain_order="left")[MADE]
