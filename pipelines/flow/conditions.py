"""What a plan has to name so that a group of a part gets its interval.

In: positions of a part with the columns of its groups, a group. Out: engine models and bases, one pair a row of the plan.
A plan names models and bases alone. A group by another column, such as water, is named by the bases (or models, or both together) whose
positions are all of that group; where none will do, an interval for all has to be chosen by hand.
Elsewhere: the interval itself (`adopting`), which rule outranks which (`advice.current_plan`).
"""

from collections.abc import Mapping, Sequence

import polars as pl

from pipelines.errors import WrongInput
from pipelines.flow.grouping import NOT_KNOWN

Condition = dict[str, str | None]
_NAMES = ("engine_model", "base")
_WAYS = (("base",), ("engine_model",), ("engine_model", "base"))


def conditions_of(component: str, positions: pl.DataFrame, group: Mapping[str, str | None] | None) -> list[Condition]:
    """Name a group by engine models and bases.

    Parameters
    ----------
    component
        The part, for the message.
    positions
        All positions of the part, with the columns of the group.
    group
        {column: word}; `None`: the whole fleet, which names neither.

    Raises
    ------
    WrongInput
        If models and bases cannot tell the group from the others.
    """
    told = {column: word for column, word in (group or {}).items() if word is not None}
    if set(told) <= set(_NAMES):
        return [dict(told)] if NOT_KNOWN not in told.values() else []
    inside = pl.all_horizontal(pl.col(column) == word for column, word in told.items())
    for names in _WAYS:
        pure = positions.group_by(names).agg(inside.all().alias("all"), inside.any().alias("any"))
        if not pure.filter(pl.col("any") & ~pl.col("all")).height:
            return [dict(row) for row in pure.filter("any").sort(names).select(names).to_dicts()]
    raise WrongInput(
        f"{component}: its interval differs by {' and '.join(told).replace('_', ' ')}, and engines of one model at one base differ in "
        "that; a plan can name models and bases alone. Give one interval for all: --every-h H or --every-months M."
    )


def outranked(positions: pl.DataFrame, plan: pl.DataFrame, conditions: Sequence[Condition]) -> bool:
    """Say whether rows of the plan for some of these positions name other models or bases: they could outrank new rows.

    Parameters
    ----------
    positions
        Of one part.
    plan
        Its rows of the plan.
    conditions
        What the new rows name.
    """
    new = {_key(condition) for condition in conditions}
    others = {_key(row) for row in plan.select(_NAMES).unique().to_dicts()} - new - {(None, None)}
    return any(positions.filter(_meets(dict(zip(_NAMES, key, strict=True)))).height for key in others)


def spelt_out(positions: pl.DataFrame, condition: Condition) -> list[Condition]:
    """Name a condition by every model at every base that it holds for: nothing outranks that."""
    pairs = positions.filter(_meets(condition)).select(_NAMES).unique().sort(_NAMES, nulls_last=True).to_dicts()
    return [{name: None if word == NOT_KNOWN else word for name, word in pair.items()} for pair in pairs]


def _key(condition: Condition) -> tuple[str | None, ...]:
    return tuple((condition.get(name) or "").strip() or None for name in _NAMES)


def _meets(condition: Condition) -> pl.Expr:
    named = [pl.col(name) == word for name, word in zip(_NAMES, _key(condition), strict=True) if word is not None]
    return pl.all_horizontal(pl.lit(value=True), *named).fill_null(value=False)
