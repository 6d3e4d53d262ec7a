"""A file to checked rows: the public face of intake.

In: a file, a mapping, perhaps the record kind a person named. Out: one `Taken` a table in it: typed rows, and the rows left out with
their reasons. Rows in are always rows and left out together. Nothing here opens the ledger.
Elsewhere: which files (`finding`), what becomes of equal rows (`ledger`), what words mean (`coding`).
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path

import polars as pl

from pipelines.intake.cells import Reading, read_column
from pipelines.intake.checks import Read, find_faults, shown
from pipelines.intake.decoding import Source, read_source
from pipelines.intake.evidence import Evidence, gather
from pipelines.intake.grids import Grid
from pipelines.intake.identity import identified
from pipelines.intake.json_rows import as_objects
from pipelines.intake.mapping import Mapping
from pipelines.intake.numbers import Mark
from pipelines.intake.opening import open_grids
from pipelines.intake.recognise import known_names
from pipelines.intake.tables import Table, recognised
from pipelines.terms.columns import Column, ColumnType

IN_TIME = (ColumnType.DATE, ColumnType.MOMENT)
IN_NUMBERS = (ColumnType.NUMBER, ColumnType.WHOLE)
HAPPENED = ("done_on", "called_at", "read_on", "moved_on", "out_at", "back_at")
"""Columns of what has happened: they cannot lie in the future, or one slip would move the last day of all records."""
LEFT_OUT_SCHEMA = {"line": pl.Int64(), "raw": pl.String(), "column": pl.String(), "value": pl.String(), "reason": pl.String()}


@dataclass(frozen=True)
class Taken:
    """One table of a file, checked.

    Attributes
    ----------
    kind
        Name of the record kind.
    file, sheet, sha256
        Where it came from: file name, sheet (empty unless a workbook), hash of the file's bytes in hex.
    header
        Column names as written, so that `raw` can be read.
    rows
        All columns of the kind, typed, coded columns still as written; `line` (from 1), `extra` (JSON object of the fleet's own columns,
        null if there is none), `made` (see `identity`), `raw` (the row as it came).
    left_out
        `line`, `raw`, `column`, `value`, `reason`: one row a row left out; column and value are of its first fault.
    remarks
        What was settled by looking at the file, one sentence each.
    text
        For a part of a large file whose rows have no `raw`: the number of its first line, and its lines as they came.
    """

    kind: str
    file: str
    sheet: str
    sha256: str
    header: tuple[str, ...]
    rows: pl.DataFrame
    left_out: pl.DataFrame
    remarks: tuple[str, ...] = ()
    text: tuple[int, bytes] | None = None

    def slices(self) -> Iterator["Taken"]:
        """Give the whole as one part; a large file comes in several (`slicing`)."""
        yield self

    @property
    def rows_in(self) -> int:
        """Rows of the table, taken and left out together."""
        return self.rows.height + self.left_out.height


def read_file(path: str | Path, mapping: Mapping | None = None, as_kind: str = "", today: date | None = None) -> list[Taken]:
    """Read and check one file.

    Parameters
    ----------
    path
        A file: delimited text, XLSX, Parquet or JSON lines, told by what it holds.
    mapping
        What the fleet's columns and words mean; `None`: the file speaks our names.
    as_kind
        Record kind that a person named; empty: the columns show it.
    today
        Day of taking in, the last that something can have happened on (a day of grace for zones); `None`: today.

    Returns
    -------
    list[Taken]
        One a table; several for a workbook. A table with a header and no rows has none.

    Raises
    ------
    UnreadableFile
        If the file cannot be opened, is empty or is not what it seems.
    UnknownKind
        If its columns fit no record kind.
    WrongMapping
        If two of its columns are the same column of ours.
    """
    looked = look(read_source(Path(path)), mapping or Mapping(), as_kind)
    taken = [checked(looked, place, today) for place in range(len(looked.tables))]
    return [replace(taken[0], remarks=tuple(looked.remarks)), *taken[1:]]


@dataclass(frozen=True)
class Looked:
    """A file that was opened and recognised, and what it shows of its dates and numbers; nothing is read or checked yet."""

    sha256: str
    tables: list[Table]
    evidence: Evidence
    remarks: list[str]


def look(source: Source, mapping: Mapping, as_kind: str) -> Looked:
    """Open a file and recognise its tables; raises as `read_file`."""
    tables, remarks = recognised(open_grids(source, lambda row: known_names(row, mapping, source.name, as_kind)), mapping, as_kind)
    evidence = evidence_of(tables)
    said = mapping.rules(source.name)
    remarks += evidence.remarks(source.name, order_said=bool(said.date_order), mark_said=bool(said.decimal))
    return Looked(source.sha256, tables, evidence, remarks)


def checked(looked: Looked, place: int, today: date | None = None) -> Taken:
    """Read and check the table that stands at `place` among those of a file."""
    latest = (today or date.today()) + timedelta(days=1)
    return _taken(looked.tables[place], looked.evidence, latest, looked.sha256)


def evidence_of(tables: list[Table]) -> Evidence:
    """Look through the dates and numbers of tables for the form they are written in."""

    def texts(types: tuple[ColumnType, ...]) -> list[tuple[Column, pl.Series, bool]]:
        return [
            (column, table.ours[column.name].drop_nulls().unique(), table.grid.typed)
            for table in tables
            for column in table.kind.columns
            if column.type in types and column.name in table.ours.columns
        ]

    in_time = [(column.name, distinct) for column, distinct, _ in texts(IN_TIME)]
    in_numbers = [(column.name, column.unit, distinct, typed) for column, distinct, typed in texts(IN_NUMBERS)]
    return gather(in_time, in_numbers, next((table.grid.point for table in tables), ""))


def _taken(table: Table, evidence: Evidence, latest: date, sha256: str) -> Taken:
    columns = [_read(table, column, evidence, latest) for column in table.kind.columns if column.name in table.ours.columns]
    return assembled(table, columns, sha256)


def assembled(table: Table, columns: list[Read], sha256: str) -> Taken:
    """Check columns that were read, and part the sound rows from those left out.

    Parameters
    ----------
    table
        Where they stand: lines and rows as they came, and the fleet's own columns.
    columns
        Each of our columns that the table has.
    sha256
        Hash of the file.
    """
    grid, kind = table.grid, table.kind
    faults = find_faults(kind, columns, grid.rows.height)
    there = {read.column.name for read in columns}
    rows = grid.rows.with_columns(
        *(read.values.alias(read.column.name) for read in columns),
        *(pl.lit(None, column.polars_type).alias(column.name) for column in kind.columns if column.name not in there),
        _extra(table.own),
    )
    made_from = f"{grid.file}/{grid.sheet.strip()}" if grid.sheet else grid.file
    known = identified(rows, kind, made_from).select(*kind.column_names, "line", "extra", "made", "raw")
    return Taken(kind.name, grid.file, grid.sheet, sha256, grid.header, _sound(known, faults), _left_out(grid, faults))


def _sound(rows: pl.DataFrame, faults: pl.DataFrame) -> pl.DataFrame:
    if faults.is_empty():
        return rows
    return rows.filter(pl.repeat(True, rows.height, eager=True).scatter(faults["row"].unique(), False))


def _read(table: Table, column: Column, evidence: Evidence, latest: date) -> Read:
    texts = table.ours[column.name]
    reading = reading_of(table, column, evidence, latest)
    read = read_column(texts, column, reading)
    return Read(column, texts, read["value"], read["fault"], reading.latest.isoformat())


def reading_of(table: Table, column: Column, evidence: Evidence, latest: date) -> Reading:
    """Return how the texts of a column are read: by the mapping, else by what the file shows."""
    return Reading(
        table.rules.date_order or evidence.order(column.name),
        Mark(table.rules.decimal or evidence.mark(column.name), table.grid.typed),
        latest if column.name in HAPPENED else date(2100, 1, 1),
        tuple(table.rules.words.get(column.name, {}).items()),
    )


def _extra(own: pl.DataFrame) -> pl.Expr | pl.Series:
    """Write the fleet's own filled cells of each row as a JSON object; null where there is none."""
    if not own.width:
        return pl.lit(None, pl.String).alias("extra")
    written = as_objects(own.columns, own.columns)
    return own.select(pl.when(written != "{}").then(written).alias("extra")).to_series()


def _left_out(grid: Grid, faults: pl.DataFrame) -> pl.DataFrame:
    """Put the faults of a row together in one sentence after another, and add the rows that could not be cut into cells."""
    value = pl.when(pl.col("value").is_null()).then(pl.lit("empty")).otherwise(shown(pl.col("value")))
    told = faults.with_columns(said=pl.format("{}: {}. {}", "column", value, "advice"))
    by_row = told.group_by("row", maintain_order=True).agg(
        pl.col("column").first(), pl.col("value").first(), said=pl.col("said").str.join(" ")
    )
    placed = grid.rows.with_row_index("row").join(by_row, on="row")
    reason = pl.format("{}, line {}, {}", pl.lit(grid.place), "line", "said")
    at_fault = placed.select("line", "raw", "column", "value", reason=reason)
    torn_reason = pl.format("{}, line {}: {}. {}", pl.lit(grid.place), "line", shown(pl.col("value")), "reason")
    torn = grid.torn.select("line", "raw", column=pl.lit(""), value=pl.col("value"), reason=torn_reason)
    return pl.concat([at_fault, torn], how="vertical").cast(LEFT_OUT_SCHEMA).sort("line")  # type: ignore[arg-type]
