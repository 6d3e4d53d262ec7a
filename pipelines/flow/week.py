"""The week: which boats stay tied up, what is overdue and due soon, which calls came in, alarms, what runs out, what waits for a person.

In: a published copy, filters, settings. Out: `Answer`, one row a line of the week, in the order of `terms.week`; beside the rows what each
line was counted from. Nothing is worked out here that another answer does not say: the due list, the alarms, the shelf, the queues.
Elsewhere: the words of the lines (`week_lines`), each answer (`answering`, `alarms`).
"""

from collections.abc import Mapping
from datetime import date, timedelta

import polars as pl

from pipelines.exports.answer import Answer
from pipelines.flow import week_lines as lines
from pipelines.flow.alarms import alarms
from pipelines.flow.answering import due, stock
from pipelines.flow.building import DUE_WITHIN_DAYS
from pipelines.flow.coding_queue import queue
from pipelines.flow.mending import to_mend
from pipelines.flow.pairs import doubtful_pairs
from pipelines.flow.queries import query
from pipelines.flow.scoping import as_watched, of_scope
from pipelines.flow.sources import known_source
from pipelines.ledger.reading import Published
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings
from pipelines.terms.week import CALL_DAYS, RUNS_OUT, SOON_DAYS

TIED_UP_SCHEMA = {"vessel_id": pl.String, "reasons": pl.List(pl.String), "since": pl.Date, "jobs": pl.Int64}
NAMES = "select vessel_id, name from accepted.vessels where name is not null"


def week(copy: Published, scope: Scope, settings: Settings) -> Answer:
    """Tell the week that ends with the day that is known.

    Parameters
    ----------
    copy, scope, settings
        As of every answer. What waits for a person is told of the whole ledger, whatever the filters.

    Returns
    -------
    Answer
        Columns of `week`. Beside the rows: `since` (first day of calls told), `until` (last day of work due soon), `calls_before` (calls
        in as many days before), `false_alarm`, `waits` (counts), and the rows behind the lines: `tied_up`, `overdue`, `due_soon`,
        `age_not_known`, `calls`, `alarms`, `runs_out`.
    """
    work = due(copy, scope, settings, DUE_WITHIN_DAYS)
    today: date = work.head["as_of"]
    until = today + timedelta(days=SOON_DAYS)
    names, calls, before = _calls(copy, scope, settings, today)
    watched = alarms(copy, scope, settings)
    short = _running_out(stock(copy, scope, settings).rows)
    waits = what_waits(copy)
    late, soon, unknown = (work.rows.filter(keep) for keep in _kinds_of_work(until))
    tied_up = tied_up_of(work)
    told = [
        *lines.tied_up(tied_up, names),
        *lines.overdue(late, names, today),
        *lines.due_soon(soon, names),
        *lines.calls(calls),
        *lines.alarms(watched.rows, names),
        *lines.runs_out(short),
        *lines.waits({**waits, "age not known": unknown.height}),
    ]
    behind = {"tied_up": tied_up, "overdue": late, "due_soon": soon, "age_not_known": unknown, "calls": calls}
    extra = {"since": today - timedelta(days=CALL_DAYS), "until": until, "calls_before": before, "waits": waits}
    extra |= {"false_alarm": watched.extra["false_alarm"], **behind, "alarms": watched.rows, "runs_out": short}
    return Answer(work.head, lines.as_rows(told), extra)


def what_waits(copy: Published) -> dict[str, int]:
    """Count what waits for a person: `words` (without a code, or taken for a near one), `suggestions`, `pairs`, `left out`."""
    return counts_of({**queue(copy), "pairs": doubtful_pairs(copy), "to_mend": to_mend(copy)})


def counts_of(waiting: Mapping[str, pl.DataFrame]) -> dict[str, int]:
    """Count what waits in the queues: frames `uncoded`, `near_misses`, `suggestions`, `pairs` and `to_mend`."""
    return {
        "words": waiting["uncoded"].height + waiting["near_misses"].height,
        "suggestions": waiting["suggestions"].height,
        "pairs": waiting["pairs"].height,
        "left out": waiting["to_mend"].filter(pl.col("mended_as").is_null()).height,
    }


def tied_up_of(work: Answer) -> pl.DataFrame:
    """Return the boats that should stay tied up, as the due list tells them: vessel_id, reasons, since, jobs; one row a boat."""
    told = work.extra.get("tied_up")
    return told if isinstance(told, pl.DataFrame) else pl.DataFrame(schema=TIED_UP_SCHEMA)


def _kinds_of_work(until: date) -> tuple[pl.Expr, pl.Expr, pl.Expr]:
    """Tell jobs that are overdue, that fall due by a day, and of parts whose age is not known; what was put off counts from its day on."""
    put_off = (pl.col("deferred_until") > until).fill_null(value=False)
    late = pl.col("overdue").fill_null(value=False)
    return late & ~put_off, ~late & (pl.col("due_on") <= until) & ~put_off, pl.col("due_on").is_null() & pl.col("fitted_on").is_null()


def _calls(copy: Published, scope: Scope, settings: Settings, today: date) -> tuple[dict[str, str], pl.DataFrame, int]:
    """Return names of boats, the calls since this day last week, and how many came in as many days before."""
    since = today - timedelta(days=CALL_DAYS)
    before = {"since": since - timedelta(days=CALL_DAYS + 1), "until": since - timedelta(days=1)}
    with known_source(copy, as_watched(scope), settings) as source:
        here, earlier = (of_scope(source.frame(query("week_calls"), days), scope) for days in ({"since": since, "until": today}, before))
        names = dict(source.frame(NAMES).iter_rows())
    return names, here, earlier.height


def _running_out(rows: pl.DataFrame) -> pl.DataFrame:
    """Keep the parts that sooner run out than not before an order comes, the likeliest first."""
    return rows.filter(pl.col("probability_of_stock_out") >= RUNS_OUT).sort(
        "probability_of_stock_out", descending=True, maintain_order=True
    )
