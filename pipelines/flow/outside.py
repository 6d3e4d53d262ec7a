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
    rows = pl.concat([taken.rows.drop("line", "raw", "made") for taken in takings])
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
        If it has no column `low`, and is not a table that `towless lives` wrote.
    NoFigure
        If no life can be used.
    """
    given = _table(file)
    table = _of_clock(given, clock)
    if "low" not in table.columns:
        raise WrongInput(
            f"{file}: no column `low`. A table of lives has low and high, and may have entry, count, group and cause; "
            "or it is what `towless lives --format csv` or `towless export` wrote."
        )
    rows = fit_outside_table(table, clock, settings)
    head = {"as_of": None, "ledger_version": None, "records": given.height, "left_out": given.height - _used(rows, table)}
    return Answer(head, rows)


def _of_clock(table: pl.DataFrame, clock: str) -> pl.DataFrame:
    """Read lives as `towless lives` writes them: ages of the clock asked for, a group a component; a life of unknown age is left out.

    A table that has a column `low` is read as it is.
    """
    unit = "h" if clock == "hours" else "months"
    if "low" in table.columns or f"low_{unit}" not in table.columns:
        return table
    ages = [pl.col(f"{name}_{unit}").alias(name) for name in ("low", "high", "entry") if f"{name}_{unit}" in table.columns]
    group = [pl.col(name).alias("group") for name in ("group", "component") if name in table.columns][:1]
    kept = table.select(*ages, *group)
    return kept.filter(pl.col("low").is_not_null() & (pl.col("low").cast(pl.String).str.strip_chars() != ""))


def _used(rows: pl.DataFrame, table: pl.DataFrame) -> int:
    return table.height if "count" in table.columns else int(rows["lives"].sum())


def _table(file: Path) -> pl.DataFrame:
    try:
        if file.suffix.lower() in (".parquet", ".pq"):
            return pl.read_parquet(file)
        return pl.read_csv(file, infer_schema=False)
    except (OSError, pl.exceptions.PolarsError) as fault:
        raise UnreadableFile(f"{file}: cannot be read as a table of lives ({fault}). Give CSV with a header, or Parquet.") from fault
