"""The cost of every interval on each clock, with its band: what the chart of a verdict draws.

In: an estimate, the fleet's tables, settings. Out: a frame of ages and costs on both clocks.
Elsewhere: the verdict itself (`verdict`).
"""

import numpy as np
import polars as pl

from pipelines.advice.case import Estimate, Fleet, case_of
from pipelines.advice.prospect import Decision
from pipelines.advice.weighing import Weighed, weigh
from pipelines.fits.ages import CLOCKS
from pipelines.terms.settings import Settings

POINTS = 60
CURVE_SCHEMA = {**dict.fromkeys(("component", "group", "clock"), pl.String), **dict.fromkeys(("age", "cost", "low", "high"), pl.Float64)}
_BEYOND = 1.6
_LEAST_SHARE = 30.0


def cost_curves(estimate: Estimate, fleet: Fleet, settings: Settings) -> pl.DataFrame:
    """Cost per position and year of renewing at each age, on hours and on months, with central limits at the posterior level.

    Returns
    -------
    pl.DataFrame
        Columns component, group (its words, one after the other; empty: the whole fleet), clock (`hours` or `months`), age (on that clock),
        cost, low, high; rising ages, up to beyond the longest interval that is allowed. Empty where there are no costs, no laws or no
        yearly use.
    """
    weighed = weigh(case_of(estimate, fleet), settings)
    if weighed is None or not weighed.has_yearly_costs:
        return pl.DataFrame(schema=CURVE_SCHEMA)
    group = " · ".join(word for word in (estimate.group or {}).values() if word)
    rows = [(estimate.component, group, clock, *row) for clock in CLOCKS for row in _rows(weighed, clock)]
    return pl.DataFrame(rows, schema=CURVE_SCHEMA, orient="row")


def _rows(weighed: Weighed, clock: str) -> list[tuple[float, float, float, float]]:
    axis = weighed.bounds.hours if clock == "hours" else weighed.bounds.months
    if not axis.is_open:
        return []
    last = _BEYOND * max(axis.top, axis.records if np.isfinite(axis.records) else 0.0)
    return [_row(weighed, clock, float(age)) for age in np.geomspace(last / _LEAST_SHARE, last, POINTS)]


def _row(weighed: Weighed, clock: str, age: float) -> tuple[float, float, float, float]:
    costs = weighed.prospect.each(Decision(age, None) if clock == "hours" else Decision(None, age))
    return age, float(weighed.prospect.weight @ costs), *weighed.prospect.limits(costs, weighed.level)
