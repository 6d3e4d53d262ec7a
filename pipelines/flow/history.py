"""How a row came to say what it says: every version of it, who sent it, when, in which file.

In: a ledger's path, a record kind and id, or a row's number. Out: `Answer`, one row a version, each with a sentence.
Elsewhere: the rows (`ledger.history`). It reads the ledger itself, since readers' copies hold only what counts; so it waits for a writer.
"""

from pathlib import Path
from typing import Any

import polars as pl

from pipelines.errors import NoLedger, UnknownWord
from pipelines.exports.answer import Answer
from pipelines.ledger.history import history_of, is_row, rows_named
from pipelines.ledger.store import Ledger
from pipelines.ledger.writing import open_for_writing
from pipelines.terms.tables import RECORD_KINDS

NOBODY = "nobody named"


def history(ledger_path: Path, kind: str = "", key: str = "", row: int | None = None) -> Answer:
    """Tell every version of the rows that go by an id, or of one row by its number.

    Returns
    -------
    Answer
        Rows: row_id, kind, fate, reason (what became of it, in words), file, sheet, line, sha256 (of the file), import_id, taken_by,
        taken_at, undone_by, undone_at (UTC), header, raw (the row as it came).

    Raises
    ------
    NoLedger
        If there is none.
    UnknownWord
        If no row goes by that id or number, or there is no such kind.
    """
    if row is None and kind not in RECORD_KINDS:
        raise UnknownWord(f"{kind!r}: no such kind of record. Known: {', '.join(RECORD_KINDS)}.")
    if not ledger_path.exists():
        raise NoLedger(f"{ledger_path}: there is no ledger there, so no row has a history. Name the ledger with --ledger.")
    with open_for_writing(ledger_path, "history") as ledger:
        found = history_of(ledger, [_known(ledger, row)] if row is not None else rows_named(ledger, kind, key))
        version = ledger.version
    reasons = [_reason(version_of) for version_of in found.iter_rows(named=True)]
    told = found.with_columns(pl.Series("reason", reasons, pl.String)).drop("of_row", "fault")
    order = ["row_id", "kind", "fate", "reason", *(name for name in told.columns if name not in ("row_id", "kind", "fate", "reason"))]
    head = {
        "as_of": None,
        "ledger_version": version,
        "records": found.height,
        "left_out": int((found["fate"] == "left_out").sum()),
    }
    return Answer(head, told.select(order))


def _known(ledger: Ledger, row: int) -> int:
    if not is_row(ledger, row):
        raise UnknownWord(f"{row}: no row of that number ever came in. Rows and their numbers: towless lives --format json, key evidence")
    return row


def _reason(version: dict[str, Any]) -> str:
    match version["fate"]:
        case "accepted":
            return "it counts"
        case "superseded":
            return f"row {version['of_row']} corrected it" if version["of_row"] is not None else "a later row corrected it"
        case "repeated":
            return f"it says again what row {version['of_row']} says"
        case "undone":
            return f"import {version['import_id']} was undone by {version['undone_by'] or NOBODY} on {version['undone_at']:%Y-%m-%d}"
        case _:
            return version["fault"] or "it was left out"
