"""Putting a task of a position off: who, why, until when; never past what must be kept. And what was ever put off.

In: a part, where it is, a day, a name and a reason. Out: an import of its own in the ledger, undone as any other (`taking.undo`).
Elsewhere: what a put-off does to a task (`advice.put_off`), the rows themselves (`ledger/put_offs.sql`).
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

import polars as pl

from pipelines.advice.present import PLACE, with_carrier
from pipelines.advice.prospect import Decision
from pipelines.advice.put_off import NOTHING_PUT_OFF
from pipelines.advice.words import interval_words
from pipelines.errors import UnknownWord, WrongInput
from pipelines.exports.answer import Answer
from pipelines.flow.answering import every_task
from pipelines.flow.calls_now import boat_called
from pipelines.flow.copies import current_copy, publish_anew
from pipelines.flow.fleet_words import understood
from pipelines.flow.sources import known_day
from pipelines.ledger.reading import Published
from pipelines.ledger.writing import open_for_writing
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings

Row = dict[str, Any]

IN_FORCE, OVER, DONE, REPLACED, TAKEN_BACK = "in force", "its day is over", "done or failed since", "replaced", "taken back"
TASK = [*PLACE, "task"]
KEPT = ("engine_id", "vessel_id", "component", "position", "task", "due_on")


@dataclass(frozen=True)
class PutOff:
    """What is put off: a task of a part on a boat or engine, until a day, or until the part is so old if that comes first."""

    component: str
    until: date | None
    by: str
    because: str
    boat: str = ""
    engine: str = ""
    position: str = ""
    task: str = ""
    until_h: float | None = None


def put_off(ledger_path: Path, wish: PutOff, settings: Settings, kept: Callable[[str], None] | None = None) -> str:
    """Write the put-off down, publish, and say what was put off and how to take it back.

    Parameters
    ----------
    ledger_path, settings
        The ledger, and what is made when it is published.
    wish
        What is put off.
    kept
        Called with the sentence as soon as all is safe, before the figures are made anew.

    Raises
    ------
    WrongInput
        If the name, the reason or the day is missing, the day is past, the task is not due by then, or it would pass its ceiling.
    UnknownWord
        If no such task is there, or more than one is.
    """
    until = _refuse_unsigned(wish)
    with current_copy(ledger_path, settings) as copy:
        part = understood(copy, Scope(component=wish.component)).component
        if wish.boat:
            wish = replace(wish, boat=boat_called(copy, wish.boat)["vessel_id"])
        row = _the_task(every_task(copy, Scope(), settings).filter(pl.col("component") == part), wish, part)
        _refuse(row, wish, until, known_day(copy))
    with open_for_writing(ledger_path, "put off") as ledger:
        number = ledger.put_off(_as_kept(row, wish, until), wish.by.strip())
        told = f"Put off: {_named(row)}, until {until}{_or_age(wish)}. To take it back: towless intake --undo {number}"
        if kept:
            kept(told)
        publish_anew(ledger, settings)
    return told


def put_offs(copy: Published, scope: Scope, settings: Settings) -> Answer:
    """List what was ever put off, the latest first.

    Returns
    -------
    Answer
        Rows: the columns of `about.put_offs` and state: in force; its day is over; done or failed since; replaced (by a later put-off of
        the same task); taken back.
    """
    told = with_carrier(copy.frame("select * from about.put_offs"))
    tasks = every_task(copy, Scope(), settings).select(*TASK, pl.col("put_off_import").alias("standing"), "deferred_until")
    joined = told.join(tasks, on=TASK, how="left", nulls_equal=True, maintain_order="left")
    today = known_day(copy)
    state = (
        pl.when(pl.col("undone_at").is_not_null())
        .then(pl.lit(TAKEN_BACK))
        .when(pl.col("standing").is_null())
        .then(pl.lit(DONE))
        .when(pl.col("standing") > pl.col("import_id"))
        .then(pl.lit(REPLACED))
        .when(pl.col("standing") < pl.col("import_id"))
        .then(pl.lit(DONE))
        .when(pl.col("deferred_until") > today)
        .then(pl.lit(IN_FORCE))
        .otherwise(pl.lit(OVER))
    )
    rows = joined.with_columns(state.alias("state")).drop("carrier", "standing", "deferred_until")
    kept = rows.filter(pl.col("component") == scope.component) if scope.component else rows
    head = {"as_of": today, "ledger_version": copy.version, "records": kept.height, "left_out": 0}
    return Answer(head, kept.sort("put_off_no", descending=True))


def _refuse_unsigned(wish: PutOff) -> date:
    if not wish.by.strip() or not wish.because.strip():
        raise WrongInput("putting a task off needs who and why: --put-off-by NAME --because TEXT")
    if wish.until is None:
        raise WrongInput("putting a task off needs a day: --until DATE, such as 2026-07-14")
    if not (wish.boat or wish.engine):
        raise WrongInput("putting a task off needs where: --boat VESSEL or --engine ENGINE")
    return wish.until


def _the_task(tasks: pl.DataFrame, wish: PutOff, part: str) -> Row:
    """Find the one task that is meant; where there are more, say which."""
    asked = {"vessel_id": wish.boat, "engine_id": wish.engine, "position": wish.position, "task": wish.task}
    found = tasks.filter(*(pl.col(name) == word for name, word in asked.items() if word))
    if found.height == 1:
        return found.row(0, named=True)
    where = " ".join(word for word in (wish.boat, wish.engine, wish.position, wish.task) if word)
    if found.is_empty():
        raise UnknownWord(f"{part!r} at {where}: no such task in the plan or the limits. What there is: towless due --within 365d")
    known = "; ".join(_named(row) for row in found.head(6).to_dicts())
    raise UnknownWord(f"{part!r} at {where}: {found.height} tasks fit: {known}. Say which with --engine, --position or --task.")


def _refuse(row: Row, wish: PutOff, until: date, today: date) -> None:
    name = _named(row)
    if until <= today:
        raise WrongInput(f"{name}: {until} is not after {today}, the day the list is made for. Give a later day.")
    if row["due_on"] is not None and until <= row["due_on"]:
        raise WrongInput(f"{name}: it is not due before {row['due_on']}, so until {until} there is nothing to put off.")
    if wish.until_h is not None and row["age_h"] is not None and wish.until_h <= row["age_h"]:
        raise WrongInput(f"{name}: it is {row['age_h']:,.0f} h old already, so {wish.until_h:g} h is no later. Give more hours.")
    _refuse_past_ceiling(row, name, until, today)


def _refuse_past_ceiling(row: Row, name: str, until: date, today: date) -> None:
    ceiling = row["ceiling_on"]
    if ceiling is None and not (row["limit_is_ceiling"] or row["safety"] or row["hidden"]):
        return
    what, way_out = _ceiling_words(row)
    if ceiling is None:
        raise WrongInput(f"{name}: {what}, and when that is reached cannot be told, so it cannot be put off. Look at it first.")
    if ceiling <= today:
        raise WrongInput(f"{name}: {what}, and that was reached on {ceiling}. It cannot be put off: do it{way_out}.")
    if until > ceiling:
        raise WrongInput(f"{name}: until {until} passes {ceiling}: {what}. Put it off until {ceiling} or an earlier day{way_out}.")


def _ceiling_words(row: Row) -> tuple[str, str]:
    """Say what may not be passed, and what would allow it."""
    if row["limit_is_ceiling"]:
        limit = interval_words(Decision(row["limit_h"], row["limit_months"]))
        if row["limit_binding"]:
            return f"its limit ({limit}) is binding", ""
        return f"its limit ({limit}) has no written approval to be passed", ", or record the approval_note with the limit"
    sort = "a safety part" if row["safety"] else "a part whose failure is hidden"
    interval = interval_words(Decision(row["every_h"], row["every_months"]))
    if row["state"] == "down":
        return f"it is {sort} and has failed", ""
    return f"it is {sort}, and its interval ({interval}) is its ceiling where no limit is recorded", ", or record the maker's limit"


def _as_kept(row: Row, wish: PutOff, until: date) -> pl.DataFrame:
    signed = {"until_on": until, "until_h": wish.until_h, "put_off_on": date.today(), "put_off_by": wish.by.strip()}
    kept = {name: row[name] for name in KEPT} | signed | {"because": wish.because.strip()}
    return pl.DataFrame([kept], schema={name: NOTHING_PUT_OFF.schema[name] for name in kept})


def _named(row: Row) -> str:
    where = f"engine {row['engine_id']} of boat {row['vessel_id']}" if row["engine_id"] else f"boat {row['vessel_id']}"
    return " ".join(word for word in (row["task"], row["position"], row["component"], "on", where) if word)


def _or_age(wish: PutOff) -> str:
    return "" if wish.until_h is None else f" or until it is {wish.until_h:g} h old, whichever comes first"
