"""Looking at a part instead of waiting for its age: where wear shows before the failure, renew when it shows.

In: a weighed case. Out: `Inspection`, or `None` where looking does not clearly beat renewing at the interval alone.
Delay-time model: wear shows from a fixed share of the life on (the fraction by which condition renewals are read), each look from then on
sees it with the chance that the records show, and each look costs a visit of its own. Renewal at the advised interval stays as the latest.
Elsewhere: the interval (`interval`), the words (`reasons`).

References
----------
Christer, A. H. and Waller, W. M. (1984). Delay time models of industrial inspection maintenance problems. Journal of the Operational
Research Society 35(5), 401-406.
"""

from dataclasses import dataclass, replace

import numpy as np

from pipelines.advice.age_replacement import Array
from pipelines.advice.case import Case
from pipelines.advice.laws import Tabulated
from pipelines.advice.prospect import Decision
from pipelines.advice.use import MONTHS_A_YEAR
from pipelines.advice.weighing import Weighed

CONDITION_RENEWALS = 5
"""Parts renewed because they looked worn, before looking is believed to see wear."""

CLEARLY = 0.95
SURE_ENOUGH = 0.8
_CANDIDATES = 40
_MOST_LOOKS = 20.0
_MOST_TRIES = 60
_STEPS = {"hours": 10.0, "months": 1.0}


@dataclass(frozen=True, eq=False)
class Inspection:
    """Look at so many hours or months; `costs` per position and year under each law, looks included, renewal at the latest as decided.

    `sight` is the chance that a look sees wear that shows.
    """

    every: Decision
    costs: Array
    sight: float


def sight_of(case: Case) -> float:
    """Chance that a look sees wear that shows: the share of ends that were caught, as if one look had fallen into each delay time.

    Where looks were rarer than that, or a failure came without wear before it, this errs on the low side.
    """
    return (case.condition_renewals + 0.5) / (case.condition_renewals + case.failures + 1)


def best_inspection(weighed: Weighed, decision: Decision, fraction: float) -> Inspection | None:
    """Find the interval of looks that clearly beats the decision alone.

    Parameters
    ----------
    weighed
        The case; wear must be visible, a visit have a cost, and at least 5 parts have been renewed on condition.
    decision
        Renewal at the latest.
    fraction
        Share of the life from which on wear shows.
    """
    visit = weighed.case.costs.visit if weighed.case.costs else None
    if not weighed.case.part.wear_visible or visit is None or weighed.case.condition_renewals < CONDITION_RENEWALS:
        return None
    if not weighed.case.use.is_known:
        return None
    clock = "hours" if max(weighed.prospect.tables, key=lambda table: table.weight.sum()).clock == "hours" else "months"
    looks = np.append(_candidates(weighed, decision, clock), np.inf)
    watch = Watch(looks, fraction, sight_of(weighed.case), visit)
    costs = _costs(weighed, decision, clock, watch)
    weight = weighed.prospect.weight
    expected, alone = weight @ costs, costs[:, -1]
    best = int(np.argmin(expected))
    clearly = expected[best] < CLEARLY * expected[-1] and weight @ (costs[:, best] < alone) >= SURE_ENOUGH
    every = float(looks[best])
    return (
        Inspection(Decision(every, None) if clock == "hours" else Decision(None, every), costs[:, best], watch.sight) if clearly else None
    )


def _candidates(weighed: Weighed, decision: Decision, clock: str) -> Array:
    """Give looks a yard can keep: whole tens of hours or whole months, up to the limit on inspection, renewal or records."""
    axis, named, limit = (
        (weighed.bounds.hours, decision.hours, weighed.case.inspect_limit.ceiling_hours)
        if clock == "hours"
        else (weighed.bounds.months, decision.months, weighed.case.inspect_limit.ceiling_months)
    )
    last = min(age for age in (axis.top or np.inf, named or np.inf, limit or np.inf))
    step = min(_STEPS[clock], last)
    return np.unique(np.maximum(np.floor(np.geomspace(last / _MOST_LOOKS, last, _CANDIDATES) / step), 1)) * step


@dataclass(frozen=True, eq=False)
class Watch:
    """Intervals of looks to weigh (infinite: none), share of the life from which on wear shows, chance to see it, cost of a look."""

    looks: Array
    fraction: float
    sight: float
    visit: float


def _costs(weighed: Weighed, decision: Decision, clock: str, watch: Watch) -> Array:
    """Cost per position and year of each interval of looks under each law, at the mean use; shape (laws, looks)."""
    year_h = weighed.case.use.year_h or np.nan
    units = {"hours": year_h, "months": MONTHS_A_YEAR}
    rows = []
    for table in (held.at_use(year_h) for held in weighed.prospect.tables):
        own = units[table.clock]
        ages = (("hours", decision.hours), ("months", decision.months))
        latest = min(own / units[name] * (np.inf if age is None else age) for name, age in ages)
        rows.append(own * _per_unit(weighed, table, replace(watch, looks=watch.looks * own / units[clock]), latest))
    return np.vstack(rows)


def _per_unit(weighed: Weighed, table: Tabulated, watch: Watch, latest: float) -> Array:
    """Cost per unit of the clock of a table under each of its laws, summed over every age at which the part might fail."""
    life = np.sqrt(table.ages[1:] * table.ages[:-1])[:, None]
    mass = table.surviving[:, :-1] - table.surviving[:, 1:]
    cost, end = cost_and_end(life, watch, latest, weighed.prospect.planned_cost, weighed.prospect.failure_cost)
    return (mass @ cost) / (mass @ end)


def cost_and_end(life: Array, watch: Watch, latest: float, planned: float, failure: float) -> tuple[Array, Array]:
    """Give the expected cost and age at the end of parts that would fail at these ages, shape (lives, looks) each.

    The looks from the one on that first can see wear are gone through in turn; each sees what is left unseen with the same chance.
    """
    first = np.where(np.isfinite(watch.looks), np.ceil(watch.fraction * life / watch.looks), np.inf)
    unseen = np.ones(first.shape)
    cost, end = np.zeros(first.shape), np.zeros(first.shape)
    for number in (first + step for step in range(_MOST_TRIES)):
        age = number * watch.looks
        comes = (age < life) & (age <= latest)
        if not comes.any():
            break
        share = np.where(comes, watch.sight * unseen, 0.0)
        cost += share * np.where(comes, planned + watch.visit * number, 0.0)
        end += share * np.where(comes, age, 0.0)
        unseen -= share
    stop = np.minimum(life, latest)
    cost += unseen * (np.where(life <= latest, failure, planned) + watch.visit * np.floor(stop / watch.looks))
    return cost, end + unseen * stop
