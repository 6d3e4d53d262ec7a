"""What a file would come to, before anything of it is taken in.

In: a file, a mapping, perhaps the record kind a person named, words that are known beyond the built-in ones. Out: `Preview`, one a table.
The first part of a large file is looked at, by the very steps that take it in; nothing is kept.
Elsewhere: taking in (`taking`), a first mapping for a file that fits no kind (`suggesting`).
"""

from collections.abc import Mapping as Dictionary
from collections.abc import Set
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

import polars as pl

from pipelines.errors import UnknownKind, WrongMapping
from pipelines.intake.coding import NEAR_MISS, code_words
from pipelines.intake.decoding import read_source
from pipelines.intake.mapping import Mapping
from pipelines.intake.names import fold
from pipelines.intake.suggesting import suggested
from pipelines.intake.taking import Looked, checked, look
from pipelines.terms.causes import UNCODED
from pipelines.terms.columns import Column, ColumnType

LOOKED_AT_BYTES = 16_000_000
"""Bytes of a delimited file that are looked at."""
FIRST_ROWS = 20
COLUMNS_SCHEMA: dict[str, pl.DataType] = dict.fromkeys(("yours", "ours", "meaning", "unit", "settled", "example"), pl.String())
WORDS_SCHEMA = {"list": pl.String(), "word": pl.String(), "code": pl.String(), "rows": pl.Int64()}


@dataclass(frozen=True)
class Preview:
    """One table of a file as it would be taken in.

    Attributes
    ----------
    file, sheet
        Where it stands; `sheet` is empty unless a workbook.
    kind
        Record kind; empty if the file would be refused.
    refusal
        Why the file would be refused and the way out; empty: it would be taken.
    columns
        `yours`, `ours` (empty: kept as a column of your own), `meaning`, `unit`, `settled` (order of dates, decimal mark), `example`: one
        row a column of the file, in order. A column of ours that stands without one of yours comes from a constant.
    rows
        The first sound rows, typed, under our names.
    left_out
        The first rows that would be left out: `line`, `reason`.
    rows_in, rows_left_out
        How many of the rows looked at there are, and how many of them would be left out.
    words
        Words that would be `uncoded` and near misses to be looked over: `list`, `word`, `code`, `rows`, the most frequent first.
    remarks
        What was settled by looking at the file.
    suggestion
        A first mapping as TOML, where the file would be refused without one; else empty.
    whole
        Whether the whole file was looked at.
    """

    file: str
    sheet: str = ""
    kind: str = ""
    refusal: str = ""
    columns: pl.DataFrame = field(default_factory=lambda: pl.DataFrame(schema=COLUMNS_SCHEMA))
    rows: pl.DataFrame = field(default_factory=pl.DataFrame)
    left_out: pl.DataFrame = field(default_factory=lambda: pl.DataFrame(schema={"line": pl.Int64(), "reason": pl.String()}))
    rows_in: int = 0
    rows_left_out: int = 0
    words: pl.DataFrame = field(default_factory=lambda: pl.DataFrame(schema=WORDS_SCHEMA))
    remarks: tuple[str, ...] = ()
    suggestion: str = ""
    whole: bool = True


def preview_file(
    path: Path, mapping: Mapping, as_kind: str = "", known: Dictionary[str, Set[str]] | None = None, today: date | None = None
) -> list[Preview]:
    """Say what a file would come to.

    Parameters
    ----------
    path
        The file.
    mapping
        What the fleet's columns and words mean.
    as_kind
        Record kind that a person named; empty: the columns show it.
    known
        {code list: folded words that are known beyond the built-in ones}, such as those a person settled.
    today
        As for `read_file`.

    Returns
    -------
    list[Preview]
        One a table. A file that fits no kind, or whose mapping is wrong for it, gives one that says why and suggests a mapping.

    Raises
    ------
    UnreadableFile
        If the file cannot be opened or is no table at all.
    """
    source = read_source(path, LOOKED_AT_BYTES)
    whole = len(source.data) == path.stat().st_size
    try:
        looked = look(source, mapping, as_kind)
    except (UnknownKind, WrongMapping) as fault:
        return [Preview(path.name, refusal=str(fault), suggestion=suggested(source, as_kind), whole=whole)]
    return [_preview(looked, place, known or {}, mapping, today, whole) for place in range(len(looked.tables))]


def _preview(looked: Looked, place: int, known: Dictionary[str, Set[str]], mapping: Mapping, today: date | None, whole: bool) -> Preview:
    taken = checked(looked, place, today)
    table = looked.tables[place]
    said = [*(column.name for column in table.kind.columns if column.name in table.ours.columns)]
    return Preview(
        taken.file,
        taken.sheet,
        taken.kind,
        columns=_columns(looked, place),
        rows=taken.rows.select(said).head(FIRST_ROWS),
        left_out=taken.left_out.select("line", "reason").head(FIRST_ROWS),
        rows_in=taken.rows_in,
        rows_left_out=taken.left_out.height,
        words=_words(taken.rows, [column for column in table.kind.columns if column.coded_as], known, mapping),
        remarks=tuple(looked.remarks),
        whole=whole,
    )


def _columns(looked: Looked, place: int) -> pl.DataFrame:
    table = looked.tables[place]
    named = list(zip(table.grid.header, table.fit.targets, strict=True))
    constant = [("", name) for name in table.rules.constants if name in table.ours.columns and name not in table.fit.targets]
    rows = [_column_row(looked, place, yours, ours, index) for index, (yours, ours) in enumerate([*named, *constant])]
    return pl.DataFrame(rows, schema=COLUMNS_SCHEMA, orient="row")


def _column_row(looked: Looked, place: int, yours: str, ours: str, index: int) -> tuple[str, str, str, str, str, str]:
    table = looked.tables[place]
    if not ours:
        return yours, "", "Kept as a column of your own.", "", "", _example(table.own, table.own_names.get(index, ""))
    column = table.kind.column(ours)
    return yours, ours, column.meaning, column.unit, _settled(looked, place, column), _example(table.ours, ours)


def _settled(looked: Looked, place: int, column: Column) -> str:
    """Say in which order the dates of a column are read, or with which decimal mark its numbers."""
    rules = looked.tables[place].rules
    if column.type in (ColumnType.DATE, ColumnType.MOMENT):
        order = rules.date_order or looked.evidence.order(column.name)
        return "both orders: say which in a mapping" if order == "mixed" else order
    if column.type in (ColumnType.NUMBER, ColumnType.WHOLE):
        return {",": "decimal comma", ".": "decimal point"}.get(rules.decimal or looked.evidence.mark(column.name), "")
    return ""


def _example(cells: pl.DataFrame, name: str) -> str:
    filled = cells[name].drop_nulls().head(1).to_list() if name in cells.columns else []
    return filled[0] if filled else ""


def _words(rows: pl.DataFrame, columns: list[Column], known: Dictionary[str, Set[str]], mapping: Mapping) -> pl.DataFrame:
    found = [_column_words(rows[column.name], column.coded_as, known, mapping) for column in columns]
    return pl.concat(found).sort(["rows", "word"], descending=[True, False]) if found else pl.DataFrame(schema=WORDS_SCHEMA)


def _column_words(words: pl.Series, code_list: str, known: Dictionary[str, Set[str]], mapping: Mapping) -> pl.DataFrame:
    counts = words.drop_nulls().alias("word").to_frame().group_by("word").len("rows")
    said = known.get(code_list, set()) | mapping.words_of(code_list).keys()
    told = counts.join(code_words(code_list, [word for word in counts["word"] if fold(word) not in said]), on="word")
    doubtful = told.filter(pl.col("how").is_in([UNCODED, NEAR_MISS]))
    return doubtful.select("list", "word", "code", pl.col("rows").cast(pl.Int64)).cast(WORDS_SCHEMA)  # type: ignore[arg-type]
