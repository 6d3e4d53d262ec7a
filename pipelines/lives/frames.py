"""Lives as a frame for other rooms: filtered, with the rows they rest on, and with any column of boats and engines as a group.

In: a published copy or a workbench with `derived.*`. Out: Polars frames.
Elsewhere: how the tables are made (`lives` and the SQL files), what is estimated from them (`fits`).
"""

import json
from collections.abc import Sequence
from typing import Any, Protocol

import polars as pl

from pipelines.errors import UnknownWord
from pipelines.terms.scope import Scope


class Source(Protocol):
    """Anything that answers SQL with a frame: a workbench or a published copy."""

    def frame(self, sql: str, parameters: Any = ()) -> pl.DataFrame:
        """Run one query and return its rows."""
        ...


def lives_frame(source: Source, scope: Scope | None = None) -> pl.DataFrame:
    """Return the lives of `derived.lives` that a question is about.

    Parameters
    ----------
    source
        Has `derived.lives` and `derived.life_evidence`.
    scope
        Words keep the lives of that base, class, model or component; `since` and `until` keep lives that were running on some day between.
        `as_of` is not looked at: it decides which source to ask.

    Returns
    -------
    pl.DataFrame
        One row a life in order of part and day, the columns of `derived.lives` and `evidence`, the row numbers it rests on, in order.
    """
    rows = source.frame("select life_id, row_id from derived.life_evidence")
    evidence = rows.unique().group_by("life_id").agg(pl.col("row_id").sort().alias("evidence"))
    lives = in_scope(source.frame("select * from derived.lives"), scope or Scope())
    order = ["component", "engine_id", "vessel_id", "position", "began_on"]
    return lives.join(evidence, on="life_id", how="left").with_columns(pl.col("evidence").fill_null([])).sort(order)


def in_scope(lives: pl.DataFrame, scope: Scope) -> pl.DataFrame:
    """Keep the rows that the filters leave; a filter on a column the frame does not have is not applied."""
    for column, word in scope.columns.items():
        if column in lives.columns:
            lives = lives.filter(pl.col(column) == word)
    if scope.since is not None:
        lives = lives.filter(pl.col("ended_on") >= scope.since)
    if scope.until is not None:
        lives = lives.filter(pl.col("began_on") <= scope.until)
    return lives


def with_groups(frame: pl.DataFrame, vessels: pl.DataFrame, engines: pl.DataFrame, names: Sequence[str]) -> pl.DataFrame:
    """Add columns of boats and engines, so that they can be groups.

    Parameters
    ----------
    frame
        Columns vessel_id and engine_id at least.
    vessels, engines
        `accepted.vessels` and `accepted.engines`; columns a fleet added stand as JSON in `extra`.
    names
        Columns wanted; one that the frame has already stays as it is. A column of both is taken from the boat.

    Returns
    -------
    pl.DataFrame
        The frame in its order with every name as a column; where the boat or engine is not known the value is empty.

    Raises
    ------
    UnknownWord
        If no boat and no engine has a column of that name.
    """
    for name in names:
        if name not in frame.columns:
            frame = _with_group(frame, vessels, engines, name)
    return frame


def own_columns(vessels: pl.DataFrame, engines: pl.DataFrame) -> list[str]:
    """Return the columns that a fleet added to its boats and engines, in alphabetical order."""
    return sorted(_extra_names(vessels) | _extra_names(engines))


def _with_group(frame: pl.DataFrame, vessels: pl.DataFrame, engines: pl.DataFrame, name: str) -> pl.DataFrame:
    for key, owners in (("vessel_id", vessels), ("engine_id", engines)):
        values = _values(owners, name)
        if values is not None:
            column = owners.select(key, values.alias(name))
            return frame.join(column.unique(key), on=key, how="left", maintain_order="left")
    known = sorted({*_columns(vessels), *_columns(engines)})
    raise UnknownWord(f"'{name}' is no column of the boats or engines. Group by one of: {', '.join(known)}.")


def _values(owners: pl.DataFrame, name: str) -> pl.Series | None:
    if name in owners.columns:
        return owners[name]
    if name not in _extra_names(owners):
        return None
    return owners.select(pl.col("extra").str.json_path_match(f'$["{name}"]'))["extra"]


def _columns(owners: pl.DataFrame) -> set[str]:
    hidden = {"row_id", "extra", "name"}
    return {column for column in owners.columns if column not in hidden and not column.endswith("_as_written")} | _extra_names(owners)


def _extra_names(owners: pl.DataFrame) -> set[str]:
    if "extra" not in owners.columns:
        return set()
    return {name for text in owners["extra"].drop_nulls().unique() for name in json.loads(text)}
