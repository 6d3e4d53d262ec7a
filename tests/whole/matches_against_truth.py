"""Pairs of call and ticket told from records against the true ones, and why those that are missing are.

In: the truth of a generated fleet, a source with `accepted` and `derived`. Out: `Matching`, with the true pairs that are not certain
and why.
Elsewhere: how the truth is made, and lives against it (`lives_against_truth`).
"""

from dataclasses import dataclass
from typing import Protocol

import polars as pl

KEYS = ["carrier_id", "component", "position"]
TICKET_WITHIN = 13
"""Days after the true renewal within which its ticket is dated."""
CERTAIN = (
    "select c.call_id, t.component, t.done_on, t.row_id from derived.matches m join accepted.rescue_calls c on c.row_id = m.call_row_id "
    "join accepted.service_tickets t on t.row_id = m.ticket_row_id where m.certainty = 'certain'"
)
TICKETS = (
    "select t.row_id as ticket_row_id, t.component, coalesce(t.vessel_id, e.vessel_id) as vessel_id, t.engine_id as ticket_engine_id, "
    "t.done_on, t.reason, t.finding, l.reason as unplaced "
    "from accepted.service_tickets t left join accepted.engines e on e.engine_id = t.engine_id "
    "left join derived.left_out_of_lives l on l.row_id = t.row_id where t.action = 'renew'"
)
CALLS = (
    "select c.call_id, c.row_id as call_row_id, c.vessel_id, cast(c.called_at as date) as called_on, c.engine_id as call_engine_id, "
    "m.certainty, p.match_days from accepted.rescue_calls c cross join derived.parameters p "
    "left join derived.matches m on m.call_row_id = c.row_id"
)
NOBODY_COULD_KNOW = ("the ticket names another engine than the call", "another breakdown of that boat was called in the same day")


class Source(Protocol):
    """Anything that answers SQL over `accepted` and `derived`."""

    def frame(self, sql: str) -> pl.DataFrame:
        """Run one query and return its rows."""
        ...


@dataclass(frozen=True)
class Matching:
    """Certain pairs, the share that is right (0 to 1), the share of true pairs that is found, and the true pairs that are not."""

    pairs: int
    precision: float
    recall: float
    misses: pl.DataFrame


def matching(calls: pl.DataFrame, lives: pl.DataFrame, source: Source) -> Matching:
    """Compare certain pairs with the truth.

    Parameters
    ----------
    calls, lives
        True calls with `call_id` and the `life` each ended (-1: none); true lives with `life`, place and `next_began_on`.
    source
        What was told; the same call logged again has its number and a B.

    Returns
    -------
    Matching
        Judged are calls that the log numbers. A pair is true if the ticket is of the part that failed and dated within `TICKET_WITHIN`
        days of the renewal; true pairs count in recall where call and ticket are both among the accepted records.
    """
    pairs = source.frame(CERTAIN).with_columns(pl.col("call_id").str.strip_suffix("B"))
    pairs = pairs.filter(pl.col("call_id").is_in(calls["call_id"].to_list()))
    owned = calls.filter(pl.col("life") >= 0).select("call_id", pl.col("life").cast(pl.UInt32))
    owned = owned.join(lives.select("life", *KEYS, "next_began_on"), on="life").drop_nulls("next_began_on")
    judged = pairs.join(owned, on="call_id", how="left", suffix="_true")
    right = judged.filter((pl.col("component") == pl.col("component_true")) & _dated_after("next_began_on"))
    wanted = _pairs_in_records(owned, source)
    missed = wanted.join(right, on="call_id", how="anti")
    found = len(wanted) - len(missed)
    return Matching(len(pairs), len(right) / max(len(pairs), 1), found / max(len(wanted), 1), _with_reasons(missed))


def _dated_after(day: str) -> pl.Expr:
    return (pl.col("done_on") - pl.col(day)).dt.total_days().is_between(0, TICKET_WITHIN)


def _pairs_in_records(owned: pl.DataFrame, source: Source) -> pl.DataFrame:
    """Keep the calls that were logged and whose renewal is on a ticket, with what both rows say."""
    logged = source.frame(CALLS).with_columns(pl.col("call_id").str.strip_suffix("B")).sort("certainty", nulls_last=True)
    both = owned.join(logged.unique("call_id", keep="first", maintain_order=True), on="call_id")
    both = both.join(source.frame(TICKETS), on=["component", "vessel_id"])
    return both.filter(_dated_after("next_began_on")).sort("done_on").unique("call_id", keep="first", maintain_order=True)


def _with_reasons(missed: pl.DataFrame) -> pl.DataFrame:
    """Add why each true pair is not certain: the first reason that applies."""
    other_engine = pl.col("call_engine_id") != pl.col("ticket_engine_id")
    late = (pl.col("done_on") - pl.col("called_on")).dt.total_days() > pl.col("match_days")
    says_failed = (pl.col("reason") == "failed") | pl.col("finding").is_in(["failed", "outside damage"])
    why = (
        pl.when(other_engine)
        .then(pl.lit(NOBODY_COULD_KNOW[0]))
        .when(pl.col("certainty").is_null())
        .then(pl.lit(NOBODY_COULD_KNOW[1]))
        .when(late)
        .then(pl.lit("typed later than is looked for"))
        .when(pl.col("unplaced").is_not_null())
        .then(pl.lit("the ticket does not say which engine or position"))
        .when(~says_failed.fill_null(value=False))
        .then(pl.lit("not booked as a failure"))
        .when(pl.col("certainty") == "certain")
        .then(pl.lit("another ticket was taken for it"))
        .when(pl.col("certainty") == "doubtful")
        .then(pl.lit("doubtful, for a person to say"))
        .otherwise(pl.lit("no ticket was taken for it"))
    )
    return missed.with_columns(why.alias("why"))
