"""Which positions a part on a shelf is for, which lives were its, and which positions no recorded part is for.

In: the accepted records `parts`, positions, lives. Out: one frame of positions a part; counts of what is left.
A shelf of a base, or a part for a model, comes before one for any. A part that several models or components take names them all, with `;`
between.
Elsewhere: what they will ask for (`stock`), which shelf a due renewal is picked from (`picking`).
"""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import polars as pl
from numpy.typing import NDArray

Rule = Mapping[str, Any]
CONDITIONS = ("engine_model", "base")
_SERVES = ("component", *CONDITIONS)
_BETWEEN = ";"


def served(rule: Rule, rules: Sequence[Rule], rows: pl.DataFrame) -> pl.DataFrame:
    """Return the rows that this part is for and no part with more conditions is.

    Parameters
    ----------
    rule, rules
        One part and all of them, as rows of `parts`.
    rows
        With component, engine_model and base: positions or lives.
    """
    return rows.filter(is_served(rule, rules, rows))


def is_served(rule: Rule, rules: Sequence[Rule], rows: pl.DataFrame) -> NDArray[np.bool_]:
    """Say of each row whether this part is for it and no part with more conditions is."""
    finer = [
        other
        for other in rules
        if other is not rule and set(words(other["component"])) & set(words(rule["component"])) and _is_finer(other, rule)
    ]
    return rows.select(pl.all_horizontal(_fits(rule), *(~_fits(other) for other in finer))).to_series().to_numpy()


def beside(rule: Rule, rules: Sequence[Rule]) -> list[str]:
    """Return the other parts that serve the very same places."""
    return [other["part_id"] for other in rules if other is not rule and all(other[name] == rule[name] for name in _SERVES)]


def unserved(rules: Sequence[Rule], positions: pl.DataFrame) -> pl.DataFrame:
    """Count the positions that no recorded part is for: component, base, positions."""
    taken = pl.any_horizontal(pl.lit(value=False), *(_fits(rule) for rule in rules))
    left = positions.filter(~taken).group_by("component", "base").len("positions")
    return left.with_columns(pl.col("positions").cast(pl.Int64)).sort("component", "base", nulls_last=True)


def words(said: str | None) -> list[str]:
    """Return the words of a condition that may name several."""
    return [word.strip() for word in (said or "").split(_BETWEEN) if word.strip()]


def _fits(rule: Rule) -> pl.Expr:
    conditions = [pl.col(name).is_in(words(rule[name])) for name in CONDITIONS if words(rule[name])]
    return pl.all_horizontal(pl.col("component").is_in(words(rule["component"])), *conditions).fill_null(value=False)


def _is_finer(other: Rule, rule: Rule) -> bool:
    """Whether another row serves some of the same positions with more conditions."""
    return all(other[name] == rule[name] or not rule[name] for name in CONDITIONS) and any(
        other[name] and not rule[name] for name in CONDITIONS
    )
