"""Tables from outside the ledger: costs for a what-if, lives to fit.

In: a file. Out: rows as the estimates need them; nothing is kept.
Elsewhere: records that are kept (`taking`).
"""

from pathlib import Path

import polars as pl

from pipelines.errors import RowsLeftOut, UnreadableFile, WrongInput
from pipelines.exports.answer import Answer
from pipelines.fits.fit_table import fit_outside_table
from pipelines.flow.sources import Source
from pipelines.intake.taking import read_file
from pipelines.terms.settings import Settings

COSTS = "costs"


def costs_of(file: Path, source: Source) -> pl.DataFrame:
    """Read costs for a what-if, their components in the words of the ledger.

    Raises
    ------
    UnreadableFile, UnknownKind
        If the file is not one of costs.
    RowsLeftOut
        If a row has a fault.
    """
    takings = read_file(file, None, COSTS)
    faults = [reason for taken in takings for reason in taken.left_out["reason"]]
    if faults:
        raise RowsLeftOut("\n".join([*faults, "A what-if needs every row; put these right and ask again."]))
    rows = pl.concat([taken.rows.drop("line", "raw", "key_hash", "content_hash") for taken in takings])
    words = source.frame("select word, code from accepted.words where list = 'component'")
    known = rows.join(words, left_on="component", right_on="word", how="left", maintain_order="left")
    return known.with_columns(pl.coalesce("code", "component").alias("component")).drop("code")


def fits_of_table(file: Path, clock: str, settings: Settings) -> Answer:
    """Fit a table of lives from outside, one row a group.

    Raises
    ------
    UnreadableFile
        If the file cannot be read as CSV or Parquet.
    WrongInput
        If it has no column `low`.
    NoFigure
        If no life can be used.
    """
    table = _table(file)
    if "low" not in table.columns:
        raise WrongInput(f"{file}: no column `low`. A table of lives has low and high, and may have entry, count, group and cause.")
    rows = fit_outside_table(table, clock, settings)
    head = {"as_of": None, "ledger_version": None, "records": table.height, "left_out": table.height - _used(rows, table)}
    return Answer(head, rows)


def _used(rows: pl.DataFrame, table: pl.DataFrame) -> int:
    return table.height if "count" in table.columns else int(rows["lives"].sum())


def _table(file: Path) -> pl.DataFrame:
    try:
        if file.suffix.lower() in (".parquet", ".pq"):
            return pl.read_parquet(file)
        return pl.read_csv(file, infer_schema=False)
    except (OSError, pl.exceptions.PolarsError) as fault:
        raise UnreadableFile(f"{file}: cannot be read as a table of lives ({fault}). Give CSV with a header, or Parquet.") from fault
