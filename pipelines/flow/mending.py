"""Rows that were left out, put right by hand and taken again.

In: a published copy, or a ledger and rows as a person mended them. Out: the rows with their cells; what became of them.
A mended row comes in as an import of its own, checked like any other, under the line of the file it was left out of; the row that was left
out stays in the account as it came, so that rows in remain the sum of what became of them.
Elsewhere: why rows are left out (`intake.checks`), taking files in (`taking`).
"""

import csv
import json
import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import polars as pl

from pipelines.errors import RowsLeftOut, WrongInput
from pipelines.flow.copies import publish_anew
from pipelines.flow.queries import query
from pipelines.intake.mapping import mapping_from
from pipelines.intake.taking import Taken, read_file
from pipelines.ledger.counts import TakenIn
from pipelines.ledger.reading import Published
from pipelines.ledger.writing import open_for_writing
from pipelines.terms.settings import Settings

MARK = " (mended by hand)"
DELIMITERS = ",;\t|"
Cells = dict[str, str]


def to_mend(copy: Published) -> pl.DataFrame:
    """Return the rows that were left out: row_id, kind, file, sheet, line, column, value, reason, raw, header, mended_as (empty: waits)."""
    return copy.frame(query("to_mend"), {"mark": MARK})


def cells_of(raw: str, header: str) -> Cells:
    """Return the cells of a row as it came, by the names of its header; a row that could not be cut has all of it in the first."""
    names = json.loads(header)
    if raw.startswith("{"):
        held = json.loads(raw)
        return {name: "" if held.get(name) is None else str(held[name]) for name in names}
    cut = [next(csv.reader([raw], delimiter=mark), []) for mark in DELIMITERS]
    fitting = [cells for cells in cut if len(cells) == len(names)]
    cells = fitting[0] if fitting else [raw.strip()]
    return dict(zip(names, [*cells, *[""] * (len(names) - len(cells))], strict=True))


def take_mended(
    ledger_path: Path,
    rows: pl.DataFrame,
    cells: Sequence[Mapping[str, str]],
    by: str,
    settings: Settings,
    kept: Callable[[TakenIn], None] | None = None,
) -> TakenIn:
    """Take mended rows in as one import and publish; all of them or, if one is still at fault, none.

    Parameters
    ----------
    ledger_path, settings
        The ledger, and what is made when it is published.
    rows
        Rows of `to_mend`.
    cells
        The cells of each as they should be, by the names of the file's header.
    by
        Who mended them (needed).
    kept
        Called as soon as the rows are safe, before the figures are made anew.

    Raises
    ------
    WrongInput
        If nobody's name or no row is given.
    RowsLeftOut
        If a row is still at fault, with the reason.
    """
    if not by.strip() or rows.is_empty():
        raise WrongInput("Nothing was taken: " + ("say who mended the rows." if rows.height else "no row was changed."))
    with open_for_writing(ledger_path, "mend") as ledger:
        mapping_text = ledger.kept_mapping()
        takings = [_taken(part, cells, mapping_text) for part in _by_table(rows)]
        _refuse_faults(takings)
        told = ledger.take_in(takings, by.strip(), mapping_text, strict=True)
        if kept:
            kept(told)
        publish_anew(ledger, settings)
    return told


def _by_table(rows: pl.DataFrame) -> list[pl.DataFrame]:
    placed = rows.with_row_index("place").sort("line", maintain_order=True)
    return placed.partition_by("kind", "file", "sheet", "header", maintain_order=True)


def _taken(part: pl.DataFrame, cells: Sequence[Mapping[str, str]], mapping_text: str) -> Taken:
    """Read mended rows as if they stood in their file, each on its own line, so that ids made from file and line stay the same."""
    first = part.row(0, named=True)
    names = json.loads(first["header"])
    lines = {row["line"]: [cells[row["place"]].get(name) or "" for name in names] for row in part.to_dicts()}
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / Path(f"{first['file']} {first['sheet'] or ''}".strip()).name
        _write(path, names, lines)
        mapping = mapping_from(mapping_text) if mapping_text else None
        taken = read_file(path, mapping, first["kind"])[0]
    return replace(taken, file=first["file"] + MARK, sheet=first["sheet"] or "", sha256="")


def _write(path: Path, names: list[str], lines: dict[int, list[str]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(names)
        for line in range(2, max(lines) + 1):
            if line in lines:
                writer.writerow(lines[line])
            else:
                file.write("\n")


def _refuse_faults(takings: Sequence[Taken]) -> None:
    reasons = [reason for taken in takings for reason in taken.left_out["reason"].to_list()]
    if reasons:
        raise RowsLeftOut("Nothing was taken, for a row is still at fault. " + " ".join(reasons))
