"""One ticket or call written down by hand: what the form offers, what the meter should show, and keeping it.

In: a published copy, or a ledger and the values of a form. Out: pick lists, the last reading, `Written`.
Elsewhere: the row itself (`intake.by_hand`), keeping it (`ledger`), taking files in (`taking`).
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any, TypeAlias

import polars as pl

from pipelines.errors import WrongInput
from pipelines.flow.copies import publish_anew
from pipelines.flow.queries import query
from pipelines.intake.by_hand import made_by_hand
from pipelines.intake.taking import Taken
from pipelines.ledger.reading import Published
from pipelines.ledger.store import Ledger
from pipelines.ledger.writing import open_for_writing
from pipelines.terms.codes import CODE_LISTS
from pipelines.terms.settings import Settings
from pipelines.terms.tables import RECORD_KINDS

SOURCE = "written by hand"
IDS = {"service_tickets": "ticket_id", "rescue_calls": "call_id"}
"""Kinds that are written down, with the id that a form gives."""
OFFERED = ("component", "action", "reason", "finding", "cause", "symptom", "outcome")
USE = "select month_of_year, hours_per_day from derived.engine_use where engine_id = ?"


@dataclass(frozen=True)
class LastReading:
    """What an engine's meter showed last, and what it should show on a day.

    Attributes
    ----------
    meter_h, read_on
        As it stood on the meter, engine hours, and the day.
    expected_h
        What it should show on the day asked for, by how that engine is used at that time of the year; `None`: its use is not known.
    """

    meter_h: float
    read_on: date
    expected_h: float | None


@dataclass(frozen=True)
class Written:
    """What was written down.

    Attributes
    ----------
    import_id
        The number by which it can be taken back.
    version
        The ledger's version now.
    """

    import_id: int
    version: int


Tell: TypeAlias = Callable[[Written], None]


def pick_lists(copy: Published, vessel_id: str) -> dict[str, list[tuple[str, str]]]:
    """Return for each coded column the codes to pick from, each with the words people use for it.

    Returns
    -------
    dict[str, list[tuple[str, str]]]
        {column: [(code, other words, comma between)]}; the parts of this boat first, then those the fleet names, then the rest.
    """
    said = copy.frame("select list, code, word from accepted.words where how <> 'near miss' order by length(word), word")
    lists = {name: [(code, _words(said, name, code, words)) for code, words in CODE_LISTS[name].items()] for name in OFFERED}
    parts = copy.frame(query("parts_offered"), {"boat": vessel_id})["component"].to_list()
    lists["component"] = [(part, _words(said, "component", part, CODE_LISTS["component"].get(part, ()))) for part in parts]
    return lists


def _words(said: pl.DataFrame, code_list: str, code: str, built_in: tuple[str, ...], most: int = 4) -> str:
    own = said.filter((pl.col("list") == code_list) & (pl.col("code") == code))["word"].to_list()
    other = {word.casefold(): word for word in (*own, *built_in) if word.casefold() != code.casefold()}
    return ", ".join(list(other.values())[:most])


def last_reading(copy: Published, engine_id: str, on: date) -> LastReading | None:
    """Return what the engine's meter showed last and what it should show `on` a day; `None`: it was never read."""
    found = copy.frame(query("last_meter"), {"engine": engine_id})
    if found.is_empty():
        return None
    read_on, meter_h, _ = found.row(0)
    use = dict(copy.frame(USE, [engine_id]).iter_rows())
    days = pl.date_range(read_on, on, closed="right", eager=True) if on > read_on else pl.Series(dtype=pl.Date)
    run = sum(use.get(month, 0.0) for month in days.dt.month())
    return LastReading(meter_h, read_on, meter_h + run if use else None)


def write_down(ledger_path: Path, kind: str, row: Mapping[str, Any], by: str, settings: Settings, kept: Tell | None = None) -> Written:
    """Keep one ticket line or call as an import of its own, publish, and say by which number it can be taken back.

    The same row under the same id is kept once: a second touch on the button writes nothing.

    Parameters
    ----------
    ledger_path, settings
        The ledger, and what is made when it is published.
    kind, row
        A kind of `IDS`; value by column, the id of the form among them.
    by
        Who writes it down.
    kept
        Called as soon as the row is safe, before the figures are made anew, so that nobody stands waiting for them with wet hands.

    Raises
    ------
    WrongInput
        If a required value is missing, the day lies ahead, or nobody's name is given; nothing is written.
    """
    refuse_unfit(kind, row, by, date.today())
    taken = made_by_hand(kind, [row], SOURCE)
    with open_for_writing(ledger_path, "write down") as ledger:
        held = ledger.frame(query("kept_already"), {"kind": kind, "id": row[IDS[kind]], "source": SOURCE})
        number = held["import_id"][0] if held.height else _taken_in(ledger, taken, by)
        written = Written(number, ledger.version)
        if kept:
            kept(written)
        publish_anew(ledger, settings)
    return written


def _taken_in(ledger: Ledger, taken: Taken, by: str) -> int:
    told = ledger.take_in([taken], by.strip(), strict=True)
    assert told.import_id is not None, "what has no file is never in already"
    return told.import_id


def take_back(ledger_path: Path, written: Written, by: str, settings: Settings, kept: Tell | None = None) -> Written:
    """Take what was written down out of every count again, publish, and return the ledger's version; `kept` as for `write_down`."""
    with open_for_writing(ledger_path, "undo") as ledger:
        ledger.undo(written.import_id, by.strip())
        undone = Written(written.import_id, ledger.version)
        if kept:
            kept(undone)
        publish_anew(ledger, settings)
    return undone


def refuse_unfit(kind: str, row: Mapping[str, Any], by: str, today: date) -> None:
    """Raise `WrongInput` where a form cannot be kept: nothing required may be missing, and what has happened is not ahead."""
    if not by.strip():
        raise WrongInput("Nothing was written: say who writes it down.")
    missing = [IDS[kind]] if not row.get(IDS[kind]) else []
    missing += [column.name for column in RECORD_KINDS[kind].columns if column.required and row.get(column.name) in (None, "")]
    missing += ["engine_id or vessel_id"] if kind == "service_tickets" and not (row.get("engine_id") or row.get("vessel_id")) else []
    if missing:
        raise WrongInput(f"Nothing was written: {', '.join(missing)} {'is' if len(missing) == 1 else 'are'} missing.")
    happened = row.get("done_on") or row.get("called_at")
    if happened is not None and str(happened)[:10] > today.isoformat():
        raise WrongInput(f"Nothing was written: {str(happened)[:10]} lies ahead. Give the day on which it happened.")
