"""The day each record is dated, and what was known on a day.

In: record kinds. Out: the columns that date a row, and queries that show only what was known on or before a day.
Elsewhere: who asks (`reading`).
"""

from datetime import date

from pipelines.ledger.tables_from_terms import accepted_columns, quoted
from pipelines.ledger.workbench import Workbench
from pipelines.terms.tables import RecordKind

DATED_BY: dict[str, str] = {
    "vessels": "in_service_on",
    "engines": "commissioned_on",
    "engine_moves": "moved_on",
    "hour_readings": "read_on",
    "service_tickets": "done_on",
    "rescue_calls": "called_at",
    "trips": "out_at",
    "plan": "adopted_on",
}
"""Record kind to the column that dates its rows; a kind that is not here, or an empty day, was always known."""

EVENTS = ("engine_moves", "hour_readings", "service_tickets", "rescue_calls", "trips")
"""Kinds whose rows are things that happened, so that their last day is how far the records reach."""

LATER_UNKNOWN = "withdrawn_on"
"""Column whose day was unknown before it came."""


def known_on(kind: RecordKind, day: date, source: str) -> str:
    """Query for the rows of the table `source`, in the layout of `accepted.<kind>`, that were known at the end of `day`."""
    columns = ", ".join(_known_value(name, day) for name in accepted_columns(kind))
    query = f"select {columns} from {source}"
    if dated := DATED_BY.get(kind.name):
        query += f" where {dated} is null or cast({dated} as date) <= date '{day.isoformat()}'"
    return query


def last_day(bench: Workbench) -> date | None:
    """Return the last day on which anything happened by the accepted records; `None` without records."""
    days = " union all ".join(f"select max(cast({DATED_BY[kind]} as date)) as day from accepted.{kind}" for kind in EVENTS)
    return bench.frame(f"select max(day) as day from ({days})").item()


def _known_value(name: str, day: date) -> str:
    if name != LATER_UNKNOWN:
        return quoted(name)
    return f"case when {name} <= date '{day.isoformat()}' then {name} end as {name}"
