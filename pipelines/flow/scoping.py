"""Filters applied: the rows of a scope, and the columns a question may be grouped by.

In: a frame of `derived` or `accepted`, filters, words for columns. Out: the frame that is left; column names.
"""

from collections.abc import Sequence

import polars as pl

from pipelines.errors import UnknownWord
from pipelines.terms.scope import Scope

OUR_GROUPS = {
    "model": "engine_model",
    "class": "vessel_class",
    "base": "base",
    "water": "water",
    "drive": "drive",
    "fuel": "fuel",
}
"""Words a person groups by, with the column they mean; any other word is a column of the fleet's own."""


def of_scope(frame: pl.DataFrame, scope: Scope, columns: Sequence[str] = ()) -> pl.DataFrame:
    """Keep the rows that the filters on words keep; `columns` names those that apply (none: all that the frame has).

    A component's filter is passed over where the frame has no component, as with hours watched.
    """
    wanted = {column: word for column, word in scope.columns.items() if column in (columns or frame.columns)}
    return frame.filter(*(pl.col(column) == word for column, word in wanted.items()))


def dated_within(frame: pl.DataFrame, column: str, scope: Scope) -> pl.DataFrame:
    """Keep the rows whose day is within the filters' days."""
    bounds = []
    if scope.since is not None:
        bounds.append(pl.col(column) >= scope.since)
    if scope.until is not None:
        bounds.append(pl.col(column) <= scope.until)
    return frame.filter(*bounds)


def group_columns(words: Sequence[str], frame: pl.DataFrame) -> tuple[str, ...]:
    """Return the columns of `frame` that the words mean.

    Raises
    ------
    UnknownWord
        If a word means no column there.
    """
    columns = tuple(OUR_GROUPS.get(word, word) for word in words)
    for word, column in zip(words, columns, strict=True):
        if column not in frame.columns:
            known = sorted({*OUR_GROUPS, *(name for name in frame.columns if name.startswith("own_"))})
            raise UnknownWord(f"--by {word}: not a column of your boats or engines. Known: {', '.join(known)}.")
    return columns
