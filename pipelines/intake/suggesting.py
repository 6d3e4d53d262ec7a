"""A first mapping for a file, made by reading it: a person looks it over, puts it right and keeps it.

In: a file. Out: TOML text in the form of `mapping`; what is not sure stands in it as a comment.
Elsewhere: which column is which (`guessing`), what a mapping may say (`mapping`).
"""

import json
import re
from pathlib import Path

import polars as pl

from pipelines.intake.cells import cleaned
from pipelines.intake.coding import NEAR_MISS, code_words
from pipelines.intake.decoding import Source, read_source
from pipelines.intake.evidence import gather
from pipelines.intake.grids import Grid
from pipelines.intake.guessing import Guess, guess, likely_names
from pipelines.intake.names import squash
from pipelines.intake.opening import open_grids
from pipelines.intake.taking import IN_NUMBERS, IN_TIME
from pipelines.terms.causes import UNCODED
from pipelines.terms.columns import Column, ColumnType

MOST_WORDS = 60
"""Unknown words of one list that are written out, the most frequent first."""
CLOCK = re.compile(r"^\d{1,2}[:.h]\d{2}(?::\d{2})?(?:\s*[ap]\.?m\.?)?$", re.IGNORECASE)

Pairs = list[tuple[Grid, Guess]]


def suggest_mapping(path: str | Path, as_kind: str = "") -> str:
    """Read a file and return a first mapping for it as TOML text.

    Parameters
    ----------
    path
        The file.
    as_kind
        Record kind that a person named; empty: the one that fits best.

    Raises
    ------
    UnreadableFile
        If the file cannot be read.
    UnknownWord
        If `as_kind` is no record kind.
    """
    return suggested(read_source(Path(path)), as_kind)


def suggested(source: Source, as_kind: str = "") -> str:
    """Return a first mapping for a file that was opened already, as `suggest_mapping`."""
    pairs = [(grid, guess(grid, as_kind)) for grid in open_grids(source, likely_names)]
    kinds = dict.fromkeys(guessed.kind.name for _, guessed in pairs)
    parts = [
        _opening(source.name, pairs),
        _forms(pairs),
        *(_columns(kind, [pair for pair in pairs if pair[1].kind.name == kind]) for kind in kinds),
        *_words(pairs),
    ]
    return "\n".join(part for part in parts if part)


def _opening(file: str, pairs: Pairs) -> str:
    kinds = " and ".join(dict.fromkeys(guessed.kind.name for _, guessed in pairs))
    missing = dict.fromkeys(name for _, guessed in pairs for name in guessed.missing)
    lines = [
        f"# A first mapping for {file}, made by reading it as {kinds}.",
        "# Look it over, put it right, and save it as mapping.toml beside the file. A line that begins with # says nothing.",
        *(f"# Not found, and needed: {name}. Write the column that it is under columns." for name in missing),
    ]
    return "\n".join(lines) + "\n"


def _forms(pairs: Pairs) -> str:
    """Say what the file shows of its dates and numbers, and offer the choice where it shows nothing."""
    found = [(grid, column, _distinct(grid, index)) for grid, guessed in pairs for index, column in _that_show(grid, guessed)]
    evidence = gather(
        [(column.name, texts) for _, column, texts in found if column.type in IN_TIME],
        [(column.name, column.unit, texts, grid.typed) for grid, column, texts in found if column.type in IN_NUMBERS],
    )
    return "\n".join([*_order_lines(*evidence.orders.whole), *_decimal_lines(*evidence.marks.whole), ""])


def _order_lines(day: int, month: int) -> tuple[str, str]:
    shown = f"# The file shows the order of its dates: {day} with the day first, {month} with the month first."
    unsaid = "# If the file has dates such as 03/04/2024, say the order: nothing in it shows one."
    return (shown if day or month else unsaid), f'# date_order = "{"month" if month > day else "day"} first"'


def _decimal_lines(point: int, comma: int) -> tuple[str, str]:
    shown = f"# Numbers in the file: {point} with a decimal point, {comma} with a decimal comma."
    return shown, f'# decimal = "{"," if comma > point else "."}"'


def _that_show(grid: Grid, guessed: Guess) -> list[tuple[int, Column]]:
    """Return the columns whose cells may show a form: ours by what they are declared as, the fleet's own as dates and as numbers."""
    own = [index for index in range(len(grid.header)) if index not in guessed.columns]
    forms = [Column(f"own {index}", form, "") for index in own for form in (ColumnType.DATE, ColumnType.NUMBER)]
    return [*_typed(guessed), *zip([index for index in own for _ in range(2)], forms, strict=True)]


def _typed(guessed: Guess) -> list[tuple[int, Column]]:
    return [(index, guessed.kind.column(name)) for index, name in guessed.columns.items()]


def _distinct(grid: Grid, index: int) -> pl.Series:
    return grid.rows.select(cleaned(pl.col(f"c{index}")).alias("text"))["text"].drop_nulls().unique()


def _columns(kind: str, pairs: Pairs) -> str:
    """Write the columns of one kind: ours under another name as lines, the rest as comments."""
    lines: dict[str, str] = {}
    for grid, guessed in pairs:
        for index, name in enumerate(grid.header):
            target = guessed.columns.get(index) or _clock_of(grid, guessed, index)
            if name and squash(name) != squash(target):
                lines.setdefault(
                    name, f'{_quoted(name)} = "{target}"' if target else f'# {_quoted(name)} = ""  # stays a column of your own'
                )
    return "\n".join([f"[kind.{kind}.columns]", *lines.values(), ""]) if lines else ""


def _clock_of(grid: Grid, guessed: Guess, index: int) -> str:
    """Return the moment whose time of day stands in a column of its own."""
    moments = [column.name for _, column in _typed(guessed) if column.type is ColumnType.MOMENT]
    texts = _distinct(grid, index).head(50).to_list()
    return moments[0] if len(moments) == 1 and texts and all(CLOCK.match(text) for text in texts) else ""


def _words(pairs: Pairs) -> list[str]:
    """Write for each code list the words that are near misses, and those that nobody knows, the most frequent first."""
    counted: dict[str, list[pl.DataFrame]] = {}
    for grid, guessed in pairs:
        for index, column in _typed(guessed):
            if column.coded_as:
                texts = grid.rows.select(cleaned(pl.col(f"c{index}")).alias("word")).drop_nulls()
                counted.setdefault(column.coded_as, []).append(texts)
    return [part for name, frames in counted.items() if (part := _list_part(name, pl.concat(frames)))]


def _list_part(code_list: str, words: pl.DataFrame) -> str:
    counts = words.group_by("word").len("rows")
    rows = counts.join(code_words(code_list, counts["word"]), on="word").sort(["rows", "word"], descending=[True, False])
    near = [_word_line(word, code, f"a near miss, {count} rows") for word, count, code in _of(rows, NEAR_MISS)]
    unknown = [f"# {_word_line(word, '', f'not known, {count} rows')}" for word, count, _ in _of(rows, UNCODED)[:MOST_WORDS]]
    return "\n".join([f"[words.{code_list}]", *near, *unknown, ""]) if near or unknown else ""


def _of(rows: pl.DataFrame, how: str) -> list[tuple[str, int, str]]:
    return rows.filter(pl.col("how") == how).select("word", "rows", "code").rows()


def _word_line(word: str, code: str, why: str) -> str:
    return f"{_quoted(word)} = {_quoted(code)}  # {why}"


def _quoted(word: str) -> str:
    """Quote a word as TOML does; JSON's escapes are TOML's, but for the delete sign."""
    return json.dumps(word, ensure_ascii=False).replace("\x7f", "\\u007f")
