"""The interval of least expected cost that the limits and the records allow.

In: a `Prospect` and the `Bounds` it must keep. Out: `Choice`: what to do, its expected cost, and the ages that cost hardly more.
A limit is a ceiling. The records are one too: never past twice the age that ten lives have reached, so that no verdict rests on ages
nobody has seen; a longer interval is reached in stages.
Elsewhere: the words of the verdict (`verdict`), the costs (`prospect`).
"""

from dataclasses import dataclass, field

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipelines.advice.age_replacement import Array
from pipelines.advice.prospect import NEVER, Decision, Prospect
from pipelines.fits.two_clock_block import BOTH

LIVES_TO_REACH = 10
REACH_TIMES = 2.0
WITHIN = 1.02
"""An interval is within the range when it costs no more than this times the best."""

SIMPLER_IF_WITHIN = 1.005
ROUNDING_MAY_COST = 1.01
FAR_ENOUGH = 0.1
"""Only when this share is expected to have failed by the age the records allow do they reach far enough to stop renewing. In simulation
(`tests/whole/interval_regret.py`) a half kept renewing 32 % of random parts with 200 failures, a tenth none, at no more regret."""

_AS_CHEAP = 1 + 1e-7
_POINTS = 100
_SPAN = 300.0
_FINE = np.linspace(-1.0, 1.0, 9)
_STEPS = {"hours": (10.0, 5.0, 1.0, 0.1), "months": (1.0, 0.5, 0.25, 0.05)}


@dataclass(frozen=True)
class Axis:
    """What an interval on one clock must keep.

    Attributes
    ----------
    limit
        Longest the maker or another limit allows; infinite: none. With a limit the interval must name this clock.
    records
        Longest the records allow; infinite: not asked. 0: they allow none on this clock.
    """

    limit: float = np.inf
    records: float = np.inf

    @property
    def top(self) -> float:
        """Longest interval allowed on this clock."""
        return min(self.limit, self.records) if self.records > 0 else (self.limit if np.isfinite(self.limit) else 0.0)

    @property
    def is_forced(self) -> bool:
        """Whether an interval has to name this clock."""
        return bool(np.isfinite(self.limit))

    @property
    def is_open(self) -> bool:
        """Whether an interval can name this clock."""
        return 0 < self.top < np.inf


@dataclass(frozen=True)
class Bounds:
    """What the interval must keep on each clock, and whether renewing only at failure is allowed at all."""

    hours: Axis = field(default_factory=Axis)
    months: Axis = field(default_factory=Axis)
    may_never: bool = True


@dataclass(frozen=True)
class Choice:
    """The decision with its expected cost and the ages within 2 % of the best on each clock.

    Attributes
    ----------
    decision
        Rounded to what a yard can keep.
    cost
        Money per position and year.
    range_hours, range_months
        (least, most) age; most `None`: however long. `None`: the decision does not name that clock.
    """

    decision: Decision
    cost: float
    range_hours: tuple[float, float | None] | None
    range_months: tuple[float, float | None] | None


def reached(lives: pl.DataFrame, clock: str) -> float | None:
    """Age that ten lives have reached, from the column low_h or low_months; `None` with fewer than ten."""
    column = {"hours": "low_h", "months": "low_months"}[clock]
    ages = lives[column].drop_nulls().sort(descending=True)
    return float(ages[LIVES_TO_REACH - 1]) if ages.len() >= LIVES_TO_REACH else None


def choose(prospect: Prospect, bounds: Bounds, worth_it: float = 1.02) -> Choice | None:
    """Choose the decision of least expected cost within the bounds.

    Parameters
    ----------
    prospect
        Expected costs.
    bounds
        What must be kept.
    worth_it
        Renew only at failure if that costs no more than this times the best interval.

    Returns
    -------
    Choice or None
        `None` where the bounds leave no interval and do not allow renewing only at failure.
    """
    best = _best_interval(prospect, bounds)
    if bounds.may_never and (best is None or prospect.cost(NEVER) <= worth_it * prospect.cost(best)):
        return Choice(NEVER, prospect.cost(NEVER), *_ranges(prospect, bounds, NEVER))
    if best is None:
        return None
    kept = _keepable(prospect, bounds, best)
    return Choice(kept, prospect.cost(kept), *_ranges(prospect, bounds, kept))


def _best_interval(prospect: Prospect, bounds: Bounds) -> Decision | None:
    """Find the least cost over hours, months and both.

    A limit has to be named in any case. Beside it the clock of the laws alone is named, or else one clock alone, unless another form saves
    enough to be worth the trouble.
    """
    forms = [form for form in ((True, False), (False, True), (True, True)) if _is_allowed(form, bounds)]
    found = {form: _least(prospect, bounds, *form) for form in forms}
    if not found:
        return None
    least = min(prospect.cost(decision) for decision in found.values())
    simple = [form for form in (_natural(prospect, bounds), (True, False), (False, True)) if form in found]
    good = [found[form] for form in simple if prospect.cost(found[form]) <= SIMPLER_IF_WITHIN * least]
    return good[0] if good else min(found.values(), key=prospect.cost)


def _natural(prospect: Prospect, bounds: Bounds) -> tuple[bool, bool]:
    """Name the clock that most of the laws are on, and the limits."""
    main = max(prospect.tables, key=lambda table: table.weight.sum()).clock
    return main in ("hours", BOTH) or bounds.hours.is_forced, main in ("months", BOTH) or bounds.months.is_forced


def _is_allowed(form: tuple[bool, bool], bounds: Bounds) -> bool:
    return all((axis.is_open if named else not axis.is_forced) for named, axis in zip(form, (bounds.hours, bounds.months), strict=True))


def _least(prospect: Prospect, bounds: Bounds, on_hours: bool, on_months: bool) -> Decision:
    hours = _ages(bounds.hours.top) if on_hours else np.array([np.inf])
    months = _ages(bounds.months.top) if on_months else np.array([np.inf])
    for _ in range(2):
        costs = prospect.expected(hours[:, None], months[None, :])
        at_h, at_months = np.argwhere(costs <= costs.min() * _AS_CHEAP)[-1]
        least = Decision(_or_none(float(hours[at_h])), _or_none(float(months[at_months])))
        hours, months = _around(hours, int(at_h)), _around(months, int(at_months))
    return least


def _ages(top: float) -> Array:
    return np.geomspace(top / _SPAN, top, _POINTS)


def _around(ages: Array, place: int) -> Array:
    """Finer ages between the neighbours of one; the ends stay where they are."""
    if ages.size == 1:
        return ages
    ratio = ages[-1] / ages[-2]
    return np.minimum(ages[place] * ratio**_FINE, ages[-1])


def _or_none(age: float) -> float | None:
    return age if np.isfinite(age) else None


def _keepable(prospect: Prospect, bounds: Bounds, best: Decision) -> Decision:
    """Round to whole tens of hours and whole months, finer only where that would cost 1 % or more."""
    exact = prospect.cost(best)
    rounded = best
    for coarse_h, coarse_months in zip(_STEPS["hours"], _STEPS["months"], strict=True):
        options = [
            Decision(hours, months)
            for hours in _multiples(best.hours, coarse_h, bounds.hours)
            for months in _multiples(best.months, coarse_months, bounds.months)
        ]
        rounded = min(options, key=prospect.cost, default=best)
        if prospect.cost(rounded) < ROUNDING_MAY_COST * exact and options:
            break
    return rounded


def _multiples(age: float | None, step: float, axis: Axis) -> list[float | None]:
    """Whole steps next to an age that keep the bound; a limit that is reached is kept as it is written."""
    if age is None:
        return [None]
    if age >= 0.999 * axis.limit:
        return [axis.limit]
    below = step * np.floor(age / step + 1e-9)
    return [float(round(multiple, 6)) for multiple in (below, below + step) if 0 < multiple <= axis.top * (1 + 1e-9)]


def _ranges(prospect: Prospect, bounds: Bounds, decision: Decision) -> tuple:
    allowed = WITHIN * prospect.cost(decision)
    stops = bounds.may_never and prospect.cost(NEVER) <= allowed
    other_h, other_m = (np.inf if age is None else age for age in (decision.hours, decision.months))
    range_h = range_m = None
    if decision.hours is not None or decision.is_never:
        hours = _ages_with(bounds.hours, decision.hours)
        range_h = _within(hours, prospect.expected(hours, other_m) <= allowed, decision.hours, stops and decision.months is None)
    if decision.months is not None or decision.is_never:
        months = _ages_with(bounds.months, decision.months)
        range_m = _within(months, prospect.expected(other_h, months) <= allowed, decision.months, stops and decision.hours is None)
    return range_h, range_m


def _ages_with(axis: Axis, own: float | None) -> Array:
    """Ages to look at on one clock, the advised one among them."""
    ages = _ages(axis.top) if axis.is_open else np.empty(0)
    return ages if own is None else np.union1d(ages, [own])


def _within(ages: Array, inside: NDArray[np.bool_], own: float | None, stops: bool) -> tuple[float, float | None] | None:
    """Give the ages within the allowed cost that go on unbroken from the advised one (from the oldest, where renewing stops)."""
    if not ages.size:
        return None
    at = ages.size - 1 if own is None else int(np.searchsorted(ages, own))
    if not inside[at] and own is None:
        return None
    outside = np.flatnonzero(~inside)
    first = int(outside[outside < at].max(initial=-1)) + 1
    last = int(outside[outside > at].min(initial=ages.size)) - 1
    return float(ages[first]), (None if stops and last == ages.size - 1 else float(ages[last]))
