"""Which column of ours each column of a file most likely is, told by its name and by what stands in it.

In: a grid whose names are a yard's own. Out: `Guess`, for the kind of record that it fits best.
A name counts as ours when it is ours, a name that yards use, or a slip of the pen from one; and only if the cells read as that column's
type: a column of dates cannot be hours. A column of words is also known by its words.
Elsewhere: writing the guess down as a mapping (`suggesting`), names that yards use (`header_words`).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import polars as pl
from rapidfuzz.distance import OSA

from pipelines.intake.cells import Reading, cleaned, read_column
from pipelines.intake.coding import code_words
from pipelines.intake.dates import AMBIGUOUS, BOTH_ORDERS
from pipelines.intake.grids import Grid
from pipelines.intake.header_words import HEADER_WORDS
from pipelines.intake.names import squash
from pipelines.intake.numbers import OPEN
from pipelines.intake.recognise import ONE_OF, kinds_for
from pipelines.terms.causes import UNCODED
from pipelines.terms.columns import Column, ColumnType
from pipelines.terms.tables import RECORD_KINDS, RecordKind

LOOKED_AT = 5000
"""Rows of a table that are looked at."""
EXACT, YARD_NAME, SLIP, BY_CONTENT = 1.0, 0.8, 0.5, 0.3
LEAST_FITTING = 0.5
"""Share of a column's cells that must read as the type before the column can be ours."""
KNOWN_BY_WORDS = 0.6
"""Share of known words from which a column is taken for a code list whatever its name."""
LONG_NAME = 5
"""Letters from which on a name may hold a slip."""


@dataclass(frozen=True)
class Guess:
    """The most likely reading of one table.

    Attributes
    ----------
    kind
        Record kind it fits best.
    columns
        {index of a header cell: our column}.
    score
        Sum over the columns, less one for each required column that is missing.
    missing
        Required columns that nothing was found for.
    """

    kind: RecordKind
    columns: dict[int, str]
    score: float
    missing: tuple[str, ...]


def likely_names(row: Sequence[str | None]) -> int:
    """Count the cells of a row that are our names or names that yards use; finds the header of a file that speaks neither ours."""
    return sum(squash(cell) in _all_names() for cell in row if cell)


def guess(grid: Grid, as_kind: str = "") -> Guess:
    """Return the most likely reading of a grid: as the kind that a person named, else of all kinds the one with the highest score."""
    texts = [_texts(grid, index) for index in range(len(grid.header))]
    guesses = [_guess_kind(kind, grid.header, texts) for kind in kinds_for(as_kind)]
    return max(guesses, key=lambda each: each.score)


def _texts(grid: Grid, index: int) -> pl.Series:
    return grid.rows.head(LOOKED_AT).select(cleaned(pl.col(f"c{index}")).alias("text"))["text"].drop_nulls()


def _guess_kind(kind: RecordKind, header: Sequence[str], texts: list[pl.Series]) -> Guess:
    pairs = [
        (score, index, column.name)
        for index, name in enumerate(header)
        for column in kind.columns
        if (score := _score(name, column, texts[index]))
    ]
    columns: dict[int, str] = {}
    total = 0.0
    for score, index, name in sorted(pairs, key=lambda pair: (-pair[0], pair[1])):
        if index not in columns and name not in columns.values():
            columns[index] = name
            total += score
    missing = _missing(kind, set(columns.values()))
    return Guess(kind, dict(sorted(columns.items())), total - len(missing), missing)


def _missing(kind: RecordKind, there: set[str]) -> tuple[str, ...]:
    missing = [column.name for column in kind.columns if column.required and column.name not in there]
    one_of = ONE_OF.get(kind.name, ())
    return (*missing, *((" or ".join(one_of),) if one_of and not there.intersection(one_of) else ()))


def _score(name: str, column: Column, texts: pl.Series) -> float:
    by_name = _name_score(squash(name), column.name)
    if by_name == EXACT:
        return EXACT
    if by_name and (texts.is_empty() or _share_read(texts, column) >= LEAST_FITTING):
        return by_name
    by_words = column.coded_as and not texts.is_empty() and _share_read(texts, column) >= KNOWN_BY_WORDS
    return BY_CONTENT if by_words else 0.0


@lru_cache(maxsize=16384)
def _name_score(name: str, column: str) -> float:
    if name == squash(column):
        return EXACT
    yard_names = [squash(word) for word in HEADER_WORDS.get(column, ())]
    if name in yard_names:
        return YARD_NAME - 0.01 * yard_names.index(name)
    known = [word for word in (squash(column), *yard_names) if len(word) >= LONG_NAME]
    return SLIP if any(OSA.distance(name, word, score_cutoff=1) <= 1 for word in known) else 0.0


def _share_read(texts: pl.Series, column: Column) -> float:
    """Return the share of cells that read as the column's type; for a code list, the share of words that are known."""
    if column.coded_as:
        words = code_words(column.coded_as, texts.unique())
        known = words.filter(pl.col("code") != UNCODED)["word"]
        return float(texts.is_in(known.implode()).mean() or 0.0)  # type: ignore[arg-type]
    if column.type is ColumnType.TEXT:
        return 1.0
    read = read_column(texts, column, Reading())
    open_ = pl.col("fault").is_in([AMBIGUOUS, BOTH_ORDERS, OPEN])
    return float(read.select((pl.col("fault").is_null() | open_).mean()).item())


@lru_cache(maxsize=1)
def _all_names() -> frozenset[str]:
    ours = {squash(name) for kind in RECORD_KINDS.values() for name in kind.column_names}
    return frozenset(ours | {squash(word) for words in HEADER_WORDS.values() for word in words})
