"""Which assumption would turn a verdict, and at which value.

In: a `Case` and the settings. Out: one row an assumption: how far it may go either way before the verdict is another.
One assumption is moved at a time, by factors between a quarter and four; the turn is found by halving.
Elsewhere: the case with a moved assumption (`what_if`), the verdict (`ruling`).
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import polars as pl

from pipelines.advice.case import Case
from pipelines.advice.ruling import rule
from pipelines.advice.weighing import weigh
from pipelines.advice.what_if import Supposed, supposed_case
from pipelines.terms.settings import Settings

SPAN = 4.0
"""Farthest an assumption is moved: from a quarter of what it is to four times."""

_HALVINGS = 4
_TEXTS, _FIGURES = ("assumption", "unit", "verdict_below", "verdict_above"), ("now", "least", "most", "turns_below", "turns_above")
TURNS_SCHEMA = {**dict.fromkeys(_TEXTS, pl.String), **dict.fromkeys(_FIGURES, pl.Float64)}


@dataclass(frozen=True)
class Assumption:
    """One figure a verdict rests on: its name, unit and value, the most it can be, and what to suppose to move it."""

    name: str
    unit: str
    now: float
    supposed: Callable[[float], Supposed]
    most: float = float("inf")


def turning_points(case: Case, settings: Settings) -> pl.DataFrame:
    """Say for each assumption where the verdict turns.

    Returns
    -------
    pl.DataFrame
        assumption, unit, now, least and most (how far was looked), turns_below and turns_above (empty: not within that), verdict_below and
        verdict_above (what it would be beyond). Empty where nothing can be weighed.
    """
    if case.costs is None or case.posterior is None:
        return pl.DataFrame(schema=TURNS_SCHEMA)
    verdict = _verdict(case, settings)
    rows = [_row(case, each, verdict, settings) for each in _assumptions(case, settings)]
    return pl.DataFrame(rows, schema=TURNS_SCHEMA, orient="row")


def _assumptions(case: Case, settings: Settings) -> Iterator[Assumption]:
    costs = case.costs
    if costs is not None:
        yield Assumption("cost of a failure", costs.currency, costs.failure, lambda value: Supposed(failure_cost=value))
        yield Assumption("cost of a planned renewal", costs.currency, costs.planned, lambda value: Supposed(planned_cost=value))
    if case.use.year_h:
        yield Assumption("engine hours a year", "h", case.use.year_h, lambda value: Supposed(year_h=value))
    random = settings.prior.random
    yield Assumption("prior chance of random failure", "", random, lambda value: Supposed(random=value), 0.95)
    limit = case.limit
    if limit.ceiling_hours is not None:
        yield Assumption("limit, hours", "h", limit.ceiling_hours, lambda value: Supposed(max_h=value, max_months=limit.ceiling_months))
    if limit.ceiling_months is not None:
        yield Assumption(
            "limit, months", "months", limit.ceiling_months, lambda value: Supposed(max_h=limit.ceiling_hours, max_months=value)
        )


def _row(case: Case, each: Assumption, verdict: str, settings: Settings) -> dict[str, object]:
    least, most = each.now / SPAN, min(each.now * SPAN, each.most)
    below, verdict_below = _turn(case, each, least, verdict, settings)
    above, verdict_above = _turn(case, each, most, verdict, settings)
    return {
        "assumption": each.name,
        "unit": each.unit,
        "now": each.now,
        "least": least,
        "most": most,
        "turns_below": below,
        "turns_above": above,
        "verdict_below": verdict_below,
        "verdict_above": verdict_above,
    }


def _turn(case: Case, each: Assumption, end: float, verdict: str, settings: Settings) -> tuple[float | None, str | None]:
    """Find, between the value now and an end, where the verdict turns, by halving their ratio."""

    def at(value: float) -> str:
        return _verdict(supposed_case(case, each.supposed(value), settings.prior.random), settings)

    other = at(end) if each.now > 0 else verdict
    if other == verdict:
        return None, None
    same = each.now
    for _ in range(_HALVINGS):
        middle = (same * end) ** 0.5
        found = at(middle)
        same, end, other = (middle, end, other) if found == verdict else (same, middle, found)
    return (same * end) ** 0.5, other


def _verdict(case: Case, settings: Settings) -> str:
    return rule(case, weigh(case, settings), settings).verdict
