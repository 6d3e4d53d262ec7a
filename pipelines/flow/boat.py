"""One boat: its engines, every reading of its hours, everything written down of it, what is fitted now and how old.

In: a published copy, a boat. Out: `Boat`. Nothing is estimated here: what was made when the copy was published is looked up.
Elsewhere: how hours are cleaned and lives made (`lives`), which interval is in force (`advice.current_plan`).
"""

from dataclasses import dataclass
from typing import Any

import polars as pl

from pipelines.advice.current_plan import with_interval
from pipelines.advice.due import due_rows
from pipelines.errors import UnknownWord
from pipelines.flow.building import DUE_WITHIN_DAYS
from pipelines.flow.queries import query
from pipelines.flow.sources import day_of, known_day
from pipelines.ledger.reading import Published


@dataclass(frozen=True)
class Boat:
    """What the records know of one boat.

    Attributes
    ----------
    about
        vessel_id, name, vessel_class, base, withdrawn_on, listed.
    engines
        One row a stay of an engine, as in `boat_engines.sql`.
    hours
        One row a reading, used or set aside, as in `boat_hours.sql`.
    events
        One row a ticket line or call, the latest first, as in `boat_events.sql`.
    fitted
        One row a position: the columns of `derived.fitted_now`, `every_h` and `every_months` in force, `interval_from`, and `used`, the
        share of its interval that it has run on the clock that is further (1: due; empty: no interval, or its age is not known).
    due
        Its rows of the due list that was made with this version.
    head
        as_of, ledger_version, records (ticket lines and calls of the boat), left_out (readings set aside).
    """

    about: dict[str, Any]
    engines: pl.DataFrame
    hours: pl.DataFrame
    events: pl.DataFrame
    fitted: pl.DataFrame
    due: pl.DataFrame
    head: dict[str, Any]


def boats(copy: Published) -> pl.DataFrame:
    """Return every boat that the records know: vessel_id, name, vessel_class, base, withdrawn_on, listed; those in service first."""
    return copy.frame(query("boats"))


def boat(copy: Published, vessel_id: str) -> Boat:
    """Return all that is known of one boat.

    Raises
    ------
    UnknownWord
        If no record names it.
    """
    found = boats(copy).filter(pl.col("vessel_id") == vessel_id)
    if found.is_empty():
        raise UnknownWord(f"{vessel_id!r}: no boat of that name in the records. Pick one from the list.")
    engines, hours, events, fitted = (
        copy.frame(query(f"boat_{name}"), {"boat": vessel_id}) for name in ("engines", "hours", "events", "fitted")
    )
    aside = hours.filter(~pl.col("used")).height
    head = {"as_of": day_of(copy), "ledger_version": copy.version, "records": events.height, "left_out": aside}
    return Boat(found.row(0, named=True), engines, hours, events, _against_plan(copy, fitted), _due_of(copy, vessel_id), head)


def _against_plan(copy: Published, fitted: pl.DataFrame) -> pl.DataFrame:
    plan, limits = (copy.frame(f"select * from accepted.{kind} order by row_id") for kind in ("plan", "limits"))
    known = with_interval(fitted, plan, limits)
    shares = [pl.when(pl.col(f"every_{clock}") > 0).then(pl.col(f"age_{clock}") / pl.col(f"every_{clock}")) for clock in ("h", "months")]
    used = known.with_columns(pl.max_horizontal(shares).alias("used"))
    return used.sort("down", "used", "age_months", descending=True, nulls_last=True, maintain_order=True)


def _due_of(copy: Published, vessel_id: str) -> pl.DataFrame:
    made = copy.frame("select count(*) as tables from information_schema.tables where table_schema = 'derived' and table_name = 'due'")
    if not made.item():
        return pl.DataFrame(schema={"overdue": pl.Boolean, "component": pl.String})
    tasks = copy.frame("select * from derived.due where vessel_id = ? order by overdue desc, due_on", [vessel_id])
    return due_rows(tasks, known_day(copy), DUE_WITHIN_DAYS)
