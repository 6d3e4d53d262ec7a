"""Taking records in, whole: find the files, read and check them, write one import, publish.

In: what a person wishes taken in. Out: `TakenIn`, with what became of every row.
Elsewhere: reading and checking (`intake`), keeping (`ledger`), what is made of the records (`building`).
"""

from collections.abc import Mapping as Dictionary
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import polars as pl

from pipelines.advice.words import counted
from pipelines.errors import UnreadableFile
from pipelines.exports.answer import Answer
from pipelines.flow.copies import last_day_published, publish_anew
from pipelines.flow.files_read import How, Said, read_files, written
from pipelines.flow.previewing import preview
from pipelines.intake.finding import find_files, mapping_beside, passed_over
from pipelines.intake.mapping import Mapping, mapping_from, read_mapping
from pipelines.intake.masking import counted as counted_masks
from pipelines.intake.slicing import Sliced
from pipelines.intake.suggesting import suggest_mapping
from pipelines.intake.taking import Taken
from pipelines.ledger.counts import Counts, Undone
from pipelines.ledger.store import Ledger
from pipelines.ledger.writing import open_for_writing
from pipelines.terms.settings import Settings

SHOWN_FAULTS = 20
__all__ = ["TakenIn", "Wish", "preview", "suggested_map", "take_in", "undo"]

NO_MAPPING = Mapping()
COUNTED = ("rows_in", "accepted", "repeated", "superseded", "left_out")


@dataclass(frozen=True)
class Wish:
    """What to take in, and how.

    Attributes
    ----------
    paths
        Files, folders and patterns.
    mapping
        A mapping file; `None`: the one beside the files, else the one kept with the ledger.
    kind
        Take every file as this record kind; `None`: as its columns say.
    strict
        Take in nothing if any row would be left out.
    by
        Who takes it in.
    """

    paths: tuple[str | Path, ...]
    mapping: Path | None = None
    kind: str | None = None
    strict: bool = False
    by: str = ""


@dataclass(frozen=True)
class TakenIn:
    """What became of the rows.

    Attributes
    ----------
    answer
        Rows: `kind` and the five counts.
    left_out
        One row a fault: file, sheet, line, column, value, reason, raw.
    sentence
        The whole in a sentence.
    remarks
        Files passed over, files that were in already.
    """

    answer: Answer
    left_out: pl.DataFrame
    sentence: str
    remarks: tuple[str, ...] = ()

    def complaints(self) -> list[str]:
        """Return the lines to tell a person: each fault of the first twenty, how many rows are out, and the way out."""
        faults = self.left_out.head(SHOWN_FAULTS)["reason"].to_list()
        rows = self.left_out.select("file", "sheet", "line").n_unique()
        more = self.left_out.height - len(faults)
        if not faults:
            return [*self.remarks, self.sentence]
        hint = f"(+{more:,} more; `--left-out FILE` writes them all)" if more > 0 else "Put these right and run the same command again."
        out = f"{counted(rows, 'row was', 'rows were')} left out."
        return [*self.remarks, *faults, f"{out} {hint} Rows already in are not taken twice.", self.sentence]


def take_in(ledger_path: Path, wish: Wish, settings: Settings, said: Said | None = None) -> TakenIn:
    """Take records in as one import and publish the new version; `said` is told how far the reading of a large file is.

    Raises
    ------
    UnreadableFile, UnknownKind, WrongMapping
        If a file or the mapping is wrong; nothing is taken in.
    RowsLeftOut
        If the wish is strict and a row would be left out.
    LedgerUnavailable
        If the ledger is in use or damaged.
    """
    files = find_files(wish.paths)
    with open_for_writing(ledger_path, "intake") as ledger:
        mapping, mapping_text = _mapping(wish, ledger)
        how = How(mapping, wish.kind or "", said)
        read, known = read_files(files, ledger, mapping_text, how)
        told = written(read, lambda takings: ledger.take_in(takings, wish.by, mapping_text, strict=wish.strict, known=known), how)
        remarks = _of_import(ledger, told.import_id)
        publish_anew(ledger, settings)
        version = ledger.version
    takings = [taken for each in read.values() for taken in each]
    again = tuple(f"{file}: is in already, so nothing of it was taken." for file in told.files_again)
    skipped = tuple(f"{file}: not a file of records, passed over." for file in passed_over(wish.paths))
    noticed = tuple(remark for taken in takings if taken.file not in told.files_again for remark in taken.remarks)
    head = {"as_of": last_day_published(ledger_path), "ledger_version": version}
    return _told(told.counts, head, _faults(takings, told.files_again), skipped + again + noticed + remarks)


def _of_import(ledger: Ledger, number: int | None) -> tuple[str, ...]:
    """Say what an import named that is in no list, and how much of it was masked."""
    if number is None:
        return ()
    unlisted = [
        f"{counted(rows, 'row names', 'rows name')} {counted(ids, what, f'{what}s')} that no list of {what}s holds, such as {example}: "
        f"kept, but without hours or lives until the list is taken in too or the {what}'s number is put right."
        for what, rows, ids, example in ledger.unlisted(number).iter_rows()
    ]
    masks = counted_masks(ledger.masked(number))
    return (*unlisted, *((masks,) if masks else ()))


def undo(ledger_path: Path, number: int, settings: Settings, by: str = "") -> TakenIn:
    """Take import `number` out of every count and publish; its rows are kept and marked, with who undid it."""
    if not ledger_path.exists():
        raise UnreadableFile(f"{ledger_path}: there is no ledger there, so there is no import to undo.")
    with open_for_writing(ledger_path, "undo") as ledger:
        told = ledger.undo(number, by)
        publish_anew(ledger, settings)
        counts = ledger.reconciliation()
        version = ledger.version
    head = {
        "as_of": last_day_published(ledger_path),
        "ledger_version": version,
        "records": int(counts["accepted"].sum()),
        "left_out": int(counts["left_out"].sum()),
    }
    return TakenIn(Answer(head, counts, {"came_back": dict(told.restored)}), _no_faults(), _undone(told))


def suggested_map(file: Path, kind: str = "") -> str:
    """Read one file, as the record kind named if there is one, and return a first mapping for it as TOML text."""
    if file.is_dir():
        raise UnreadableFile(f"{file}: this is a folder. Name one of the files in it to make a mapping from.")
    if not file.is_file():
        raise UnreadableFile(f"{file}: there is no such file. Name one file to make a mapping from.")
    return suggest_mapping(file, kind)


def _mapping(wish: Wish, ledger: Ledger) -> tuple[Mapping, str]:
    file = wish.mapping or mapping_beside(wish.paths)
    if file is not None:
        mapping = read_mapping(file)
        return mapping, file.read_text(encoding="utf-8")
    kept = ledger.kept_mapping()
    return (mapping_from(kept), "") if kept else (NO_MAPPING, "")


def _faults(takings: Sequence[Taken | Sliced], again: tuple[str, ...]) -> pl.DataFrame:
    found = [
        taken.left_out.with_columns(
            pl.lit(taken.file).alias("file"), pl.lit(taken.sheet or "").alias("sheet"), pl.lit(taken.kind).alias("kind")
        )
        for taken in takings
        if taken.file not in again and taken.left_out.height
    ]
    columns = _no_faults().columns
    return pl.concat([faults.select(columns) for faults in found], how="vertical_relaxed") if found else _no_faults()


def _no_faults() -> pl.DataFrame:
    words = dict.fromkeys(("file", "sheet", "kind"), pl.String)
    return pl.DataFrame(schema={**words, "line": pl.Int64, **dict.fromkeys(("column", "value", "reason", "raw"), pl.String)})


def _undone(told: Undone) -> str:
    """Say what is out of the count, and which rows that it had corrected or repeated count again."""
    out = counted(sum(told.rows_out.values()), "row is", "rows are")
    back = ", ".join(f"{number:,} of {kind.replace('_', ' ')}" for kind, number in told.restored.items())
    again = f"{counted(sum(told.restored.values()), 'earlier row counts', 'earlier rows count')} again: {back}." if back else ""
    nothing = "" if back else "No earlier row had been corrected by it, so none comes back."
    return f"Import {told.import_id} is undone: {out} out of every count, kept and marked. {again or nothing}"


def _told(counts: Dictionary[str, Counts], head: Dictionary[str, object], left_out: pl.DataFrame, remarks: tuple[str, ...]) -> TakenIn:
    rows = pl.DataFrame(
        [{"kind": kind, **{name: getattr(count, name) for name in COUNTED}} for kind, count in counts.items()],
        schema={"kind": pl.String, **dict.fromkeys(COUNTED, pl.Int64)},
    )
    total = sum(counts.values(), Counts())
    sentence = (
        f"{counted(total.rows_in, 'row', 'rows')} in = {total.accepted:,} accepted + {total.repeated:,} repeated "
        f"+ {total.superseded:,} superseded + {total.left_out:,} left out."
    )
    whole = {**head, "records": total.accepted, "left_out": total.left_out}
    return TakenIn(Answer(whole, rows), left_out, sentence, remarks)
