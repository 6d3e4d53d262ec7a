"""The shelf changed by hand: an order placed, an order received, a shelf counted.

In: a ledger, what was done to which part, by whom. Out: `ShelfWritten`, each change with what stands there now and what nothing explains.
A change is a row of the kind `parts` that supersedes the one before, so it is counted, told in the history and undone like any other row;
`extra` holds what was done and by which form, for without it a shelf that comes back to an earlier number would be the earlier row again.
Elsewhere: keeping rows (`ledger`), how much to order (`advice.stock`), one ticket or call by hand (`by_hand`).
"""

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches
from pathlib import Path
from typing import Any

import polars as pl

from pipelines.advice.words import counted
from pipelines.errors import LedgerUnavailable, NoLedger, UnknownWord, WrongInput
from pipelines.flow.by_hand import Written
from pipelines.flow.copies import publish_anew
from pipelines.flow.queries import query
from pipelines.intake.by_hand import made_by_hand
from pipelines.ledger.reading import open_published
from pipelines.ledger.store import Ledger
from pipelines.ledger.writing import open_for_writing
from pipelines.terms.settings import Settings
from pipelines.terms.tables import RECORD_KINDS

SOURCE = "shelf, by hand"
ORDERED, RECEIVED, COUNTED = "ordered", "received", "counted"
DONE = (ORDERED, RECEIVED, COUNTED)
MOST = 100_000
"""More pieces than this of one part are a slip of the pen."""
_COLUMNS = tuple(column.name for column in RECORD_KINDS["parts"].columns)
Row = dict[str, Any]


@dataclass(frozen=True)
class ShelfChange:
    """What was done to one part: `ordered`, `received` or `counted` so many whole pieces; an empty base: the only shelf that has it."""

    part_id: str
    done: str
    pieces: int
    base: str = ""


@dataclass(frozen=True)
class ShelfWritten(Written):
    """What was written: besides the import, one sentence a change."""

    told: tuple[str, ...] = ()


Tell = Callable[[Written], None]


def whole_pieces(said: str) -> int:
    """Read a number of pieces as it was written.

    Raises
    ------
    WrongInput
        If it is no whole number of 0 or more: no part of a piece can be ordered, received or counted.
    """
    word = said.strip()
    if word.isdigit() and word.isascii() and int(word) <= MOST:
        return int(word)
    if word.isdigit():
        raise WrongInput(f"{said!r}: no shelf holds so many. Give up to {MOST:,} pieces.")
    raise WrongInput(f"{said!r}: pieces come whole and none is less than nothing. Give a number such as 0 or 4.")


def write_shelf(
    ledger_path: Path, changes: Sequence[ShelfChange], by: str, because: str, form: str, settings: Settings, kept: Tell | None = None
) -> ShelfWritten:
    """Keep changes of the shelf as one import, publish, and say what stands there now and what nothing explains.

    Parameters
    ----------
    ledger_path, settings
        The ledger, and what is made when it is published.
    changes
        One or more; several of one part are done one after the other.
    by, because
        Who did it, and why (may be empty).
    form
        The form's own id: the same one again writes nothing.
    kept
        Called as soon as the rows are safe, before the figures are made anew.

    Raises
    ------
    UnknownWord
        If no shelf holds a part of that number, or several do and no base is named; nothing is written.
    WrongInput
        If there is nothing to write, nobody's name is given or a number of pieces cannot be; nothing is written.
    """
    _refuse_unfit(changes, by)
    if not ledger_path.exists():
        raise NoLedger(f"{ledger_path}: there is no ledger there, so no shelf can be counted. Name the ledger with --ledger.")
    with open_for_writing(ledger_path, "write down") as ledger:
        before = ledger.frame(query("shelf_forms"), {"form": form, "source": SOURCE})["import_id"].to_list()
        rows, told = ([], []) if before else _changed(ledger, ledger_path, changes, because, form)
        number = before[0] if before else _taken_in(ledger, rows, by)
        written = ShelfWritten(number, ledger.version, tuple(told))
        if kept:
            kept(written)
        publish_anew(ledger, settings)
    return written


def _refuse_unfit(changes: Sequence[ShelfChange], by: str) -> None:
    if not by.strip():
        raise WrongInput("Nothing was written: say who did it.")
    if not changes:
        raise WrongInput("Nothing was written: no part has a number of pieces.")
    for change in changes:
        least = 0 if change.done == COUNTED else 1
        if isinstance(change.pieces, bool) or not isinstance(change.pieces, int) or not least <= change.pieces <= MOST:
            raise WrongInput(
                f"Nothing was written: {change.part_id}, {change.done} {change.pieces}. Give a whole number from {least} to {MOST:,}."
            )


def _changed(ledger: Ledger, ledger_path: Path, changes: Sequence[ShelfChange], because: str, form: str) -> tuple[list[Row], list[str]]:
    """Return the rows that are to stand now, and what is to be said of each change."""
    stand = ledger.frame(query("shelf_now")).to_dicts()
    rows: dict[int, Row] = {}
    told = []
    for change in changes:
        row = _meant(stand, change)
        told.append(_told(row, change, _used_since(ledger_path, row) if change.done == COUNTED else 0))
        _do(row, change)
        row["extra"] = _extra(row["extra"], change, because, form)
        rows[row["row_id"]] = row
    return [{name: row[name] for name in (*_COLUMNS, "extra")} for row in rows.values()], told


def _taken_in(ledger: Ledger, rows: list[Row], by: str) -> int:
    told = ledger.take_in([made_by_hand("parts", rows, SOURCE)], by.strip(), strict=True)
    assert told.import_id is not None, "what has no file is never in already"
    return told.import_id


def _meant(stand: list[Row], change: ShelfChange) -> Row:
    """Return the row of the part that is meant.

    Raises
    ------
    UnknownWord
        If there is none, or there are several.
    """
    number, base = change.part_id.strip().casefold(), change.base.strip().casefold()
    named = [row for row in stand if row["part_id"].casefold() == number]
    if not named:
        known = sorted({row["part_id"] for row in stand})
        near = get_close_matches(change.part_id, known, n=1, cutoff=0.4)
        way_out = f"The nearest is {near[0]!r}." if near else f"Known: {', '.join(known[:8]) or 'none; take in `parts` first'}."
        raise UnknownWord(f"{change.part_id!r}: no part of that number is on a shelf list. {way_out}")
    here = [row for row in named if (row["base"] or "").casefold() == base] if base else named
    if len(here) == 1:
        return here[0]
    bases = ", ".join(repr(row["base"] or "no base") for row in named)
    if not here:
        raise UnknownWord(f"{change.part_id}: {change.base!r} has no shelf with it. It lies at: {bases}.")
    raise UnknownWord(f"{change.part_id}: lies on {len(here)} shelves. Say which with --base: {bases}.")


def _do(row: Row, change: ShelfChange) -> None:
    here, coming = row["on_hand"] or 0, row["on_order"] or 0
    if change.done == COUNTED:
        row["on_hand"] = change.pieces
    elif change.done == ORDERED:
        row["on_order"] = coming + change.pieces
    else:
        row["on_hand"], row["on_order"] = here + change.pieces, max(0, coming - change.pieces)


def _extra(extra: str | None, change: ShelfChange, because: str, form: str) -> str:
    """Columns of the fleet's own stay; what was done to the shelf stands beside them."""
    own = json.loads(extra) if extra else {}
    done = {"shelf_change": f"{change.done} {change.pieces}", "shelf_because": because.strip(), "shelf_form": form}
    counted_on = {"shelf_on": date.today().isoformat()}
    return json.dumps({**own, **{name: value for name, value in (done | counted_on).items() if value}}, ensure_ascii=False)


def _told(row: Row, change: ShelfChange, used: int) -> str:
    here, coming = row["on_hand"] or 0, row["on_order"] or 0
    place = f"{row['part_id']} at {row['base']}" if row["base"] else row["part_id"]
    pieces = counted(change.pieces, "piece", "pieces")
    if change.done == ORDERED:
        return f"{place}: {pieces} ordered, {coming + change.pieces:,} on order now."
    if change.done == COUNTED:
        return f"{place}: {change.pieces:,} counted. {difference(change.pieces, here, used, row['since_on'])}"
    beyond = f" {counted(change.pieces - coming, 'piece', 'pieces')} more than was on order." if change.pieces > coming else ""
    return f"{place}: {pieces} received, {here + change.pieces:,} on the shelf and {max(0, coming - change.pieces):,} on order now.{beyond}"


def difference(found: int, listed: int, used: int, since: date | None) -> str:
    """Say whether a count is what the list and the jobs since explain, and by how much not.

    Parameters
    ----------
    found, listed
        Pieces counted, and pieces on the list.
    used
        Pieces that jobs written down since took.
    since
        Day on which the list was true.
    """
    expected = max(0, listed - used)
    after = f", {used:,} used by jobs written down since {since}" if used else f", and no job written down since {since} took one"
    stood = f"The list says {listed:,}{after}"
    if found == expected:
        return f"{stood}: as it should be." if used else "As the list says."
    off = counted(abs(found - expected), "piece", "pieces")
    return f"{stood}: {off} {'more' if found > expected else 'fewer'} than that explains."


def _used_since(ledger_path: Path, row: Row) -> int:
    """Ask readers' copy as it stands: a count must not wait for a publication that is owed, and what it does not know yet is of today."""
    try:
        with open_published(ledger_path) as copy:
            known = standing(copy).filter(pl.col("row_id") == row["row_id"])["used"].to_list()
    except LedgerUnavailable:
        return 0
    return known[0] if known else 0


def standing(copy: Any) -> pl.DataFrame:
    """Return every part on every shelf with what was last done to it by hand and what jobs since took, as readers know it.

    Returns
    -------
    pl.DataFrame
        row_id, part_id, component, label, engine_model, base, supplier, on_hand, on_order, last_change, last_because, since_on (day the
        list was true), last_by, used (pieces that jobs written down after that day took).
    """
    return copy.frame(query("shelf_told"))
