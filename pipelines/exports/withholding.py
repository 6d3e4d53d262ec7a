"""Craft identification numbers withheld from whatever leaves: a figure needs none, and who has one can look up a boat's owner.

In: text or a frame that is about to leave. Out: the same with `[craft number]` where one stood.
Elsewhere: its form (`intake.masks`), what is masked before it is stored (`intake.masking`).
"""

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
        return without_craft_numbers(column.struct.unnest()).to_struct(column.name)
    return column
