"""Looking at a part instead of waiting for its age: where wear shows before the failure, renew when it shows.

In: a weighed case. Out: `Inspection`, or `None` where looking does not clearly beat renewing at the interval alone.
First form of the delay-time model: wear shows from a fixed share of the life on (the fraction by which condition renewals are read), a look
sees all that shows, and each look costs a visit of its own. Renewal at the advised interval stays as the latest.
Elsewhere: the interval (`interval`), the words (`reasons`).

References
----------
Christer, A. H. and Waller, W. M. (1984). Delay time models of industrial inspection maintenance problems. Journal of the Operational
Research Society 35(5), 401-406.
"""

from dataclasses import dataclass

import numpy as np

from pipelines.advice.age_replacement import Array
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
_STEPS = {"hours": 10.0, "months": 1.0}


@dataclass(frozen=True, eq=False)
class Inspection:
    """Look at so many hours or months; `costs` per position and year under each law, looks included, renewal at the latest as decided."""

    every: Decision
    costs: Array


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
    costs = _costs(weighed, decision, clock, looks, fraction, visit)
    weight = weighed.prospect.weight
    expected, alone = weight @ costs, costs[:, -1]
    best = int(np.argmin(expected))
    clearly = expected[best] < CLEARLY * expected[-1] and weight @ (costs[:, best] < alone) >= SURE_ENOUGH
    every = float(looks[best])
    return Inspection(Decision(every, None) if clock == "hours" else Decision(None, every), costs[:, best]) if clearly else None


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


def _costs(weighed: Weighed, decision: Decision, clock: str, looks: Array, fraction: float, visit: float) -> Array:
    """Cost per position and year of each interval of looks (infinite: none) under each law, at the mean use; shape (laws, looks)."""
    year_h = weighed.case.use.year_h or np.nan
    units = {"hours": year_h, "months": MONTHS_A_YEAR}
    rows = []
    for table in (held.at_use(year_h) for held in weighed.prospect.tables):
        own = units[table.clock]
        ages = (("hours", decision.hours), ("months", decision.months))
        latest = min(own / units[name] * (np.inf if age is None else age) for name, age in ages)
        rows.append(own * _per_unit(weighed, table, looks * own / units[clock], latest, fraction, visit))
    return np.vstack(rows)


def _per_unit(weighed: Weighed, table: Tabulated, looks: Array, latest: float, fraction: float, visit: float) -> Array:
    """Cost per unit of the clock of a table under each of its laws, summed over every age at which the part might fail."""
    life = np.sqrt(table.ages[1:] * table.ages[:-1])[:, None]
    mass = table.surviving[:, :-1] - table.surviving[:, 1:]
    with np.errstate(invalid="ignore"):
        seen_at = np.where(np.isfinite(looks), np.ceil(fraction * life / looks) * looks, np.inf)
    fails = (life < seen_at) & (life <= latest)
    end = np.minimum(np.minimum(life, seen_at), latest)
    cost = np.where(fails, weighed.prospect.failure_cost, weighed.prospect.planned_cost) + visit * np.floor(end / looks)
    return (mass @ cost) / (mass @ end)
