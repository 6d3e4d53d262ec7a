"""Ledgers for tests: takings made in memory, and a publication that codes no word."""

from collections.abc import Sequence
from pathlib import Path

import polars as pl

from pipelines.intake.identity import MADE_ID
from pipelines.intake.taking import Taken
from pipelines.ledger.publishing import publish
from pipelines.ledger.workbench import Workbench
from pipelines.ledger.writing import open_for_writing
from pipelines.ledger.written import apply_codes
from pipelines.terms.tables import RECORD_KINDS

NO_WORDS = pl.DataFrame(schema={"list": pl.String, "word": pl.String, "code": pl.String, "how": pl.String})
FAULTS = {"line": pl.Int64, "raw": pl.String, "column": pl.String, "value": pl.String, "reason": pl.String}


def taking(
    kind: str, rows: Sequence[dict], file: str = "by hand.csv", faulty: Sequence[dict] = (), sheet: str = "", sha256: str = ""
) -> Taken:
    """Make a taking of rows given as {column: value}; the key is the kind's key columns, faulty rows stand after the good ones."""
    columns = RECORD_KINDS[kind]
    frame = pl.DataFrame(
        [{"line": line, "extra": None, "made": _made(kind, row), "raw": repr(row), **row} for line, row in enumerate(rows, start=2)],
        schema={
            "line": pl.Int64,
            "raw": pl.String,
            "made": pl.String,
            **{column.name: column.polars_type for column in columns.columns},
            "extra": pl.String,
        },
    )
    left_out = pl.DataFrame([_fault(file, len(rows) + 2 + place, row) for place, row in enumerate(faulty)], schema=FAULTS)
    return Taken(kind, file, sheet, sha256, ("header",), frame, left_out)


def boats(*names: str, file: str = "boats.csv", sha256: str = "", faulty: int = 0) -> Taken:
    """Make a taking of boats given as 'id' or 'id=name', with so many faulty rows after them."""
    rows = [dict(zip(("vessel_id", "name"), boat.split("="), strict=False)) for boat in names]
    faults = [{"column": "tank_l", "value": "full", "reason": "Litres are a number such as 90."}] * faulty
    return taking("vessels", rows, file, faults, sha256=sha256)


def uncoded(bench: Workbench) -> None:
    """Build a generation that knows no word."""
    apply_codes(bench, NO_WORDS)


def ledger_of(path: Path, *takings: Taken) -> Path:
    """Make a published ledger with one import a taking."""
    with open_for_writing(path, "test") as ledger:
        for taken in takings:
            ledger.take_in([taken], "A. Tester")
        publish(ledger, uncoded)
    return path


def _fault(file: str, line: int, row: dict) -> dict:
    reason = f"{file}, line {line}, {row['column']}: {row['value']!r}. {row['reason']}"
    return {"line": line, "raw": repr(row), "column": row["column"], "value": row["value"], "reason": reason}


def _made(kind: str, row: dict) -> str | None:
    made_id = RECORD_KINDS[kind].made_id
    return MADE_ID if made_id and row.get(made_id) is None else None
