"""Craft identification numbers withheld from whatever leaves: a figure needs none, and who has one can look up a boat's owner.

In: text or a frame that is about to leave. Out: the same with `[craft number]` where one stood.
Elsewhere: its form (`intake.masks`), what is masked before it is stored (`intake.masking`).
"""

from typing import Any

import polars as pl

from pipelines.intake.masks import CRAFT

WITHHELD = "[craft number]"


def withheld(text: str) -> str:
    """Return a text without craft identification numbers."""
    return CRAFT.sub(WITHHELD, text)


def without_craft_numbers(frame: pl.DataFrame) -> pl.DataFrame:
    """Return a frame without craft identification numbers in its words and in the words of its groups."""
    return frame.with_columns(_withheld(frame[name]) for name in frame.columns)


def _withheld(column: pl.Series) -> pl.Series:
    if column.dtype == pl.String:
        return column.str.replace_all(CRAFT.pattern, WITHHELD)
    if isinstance(column.dtype, pl.Struct) and column.len():
        made = without_craft_numbers(column.struct.unnest()).to_struct(column.name)
        return pl.select(pl.when(column.is_not_null()).then(made).alias(column.name)).to_series()
    if isinstance(column.dtype, pl.List) and column.dtype.inner is not None and _holds_words(column.dtype.inner):
        return pl.Series(column.name, [None if cell is None else _withheld(cell) for cell in column], column.dtype)
    return column


def _holds_words(kind: Any) -> bool:
    return kind == pl.String or isinstance(kind, pl.Struct | pl.List)
