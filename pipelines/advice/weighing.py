"""One case weighed: which interval is best within what must be kept, and what it and today's interval would cost.

In: a `Case` and the settings. Out: `Weighed`, or `None` where there are no costs or no laws to weigh.
Elsewhere: the search (`interval`), the words (`verdict`).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from pipelines.advice.age_replacement import Array
from pipelines.advice.case import Case
from pipelines.advice.early import EarlyFailures, early_failures, failed_of_bad_fitting
from pipelines.advice.interval import FAR_ENOUGH, REACH_TIMES, Axis, Bounds, Choice, choose, reached
from pipelines.advice.laws import tabulate
from pipelines.advice.prospect import NEVER, Prospect
from pipelines.fits.ages import CLOCKS
from pipelines.fits.two_clock_block import BOTH
from pipelines.terms.settings import Settings

PAYS_BELOW = 0.98


@dataclass(frozen=True, eq=False)
class Weighed:
    """A case with its prospect and the choice; `choice` is `None` where nothing that is allowed can be chosen."""

    case: Case
    prospect: Prospect
    bounds: Bounds
    choice: Choice | None
    early: EarlyFailures | None
    level: float

    @cached_property
    def never(self) -> Array:
        """Cost of renewing only at failure, under each law."""
        return self.prospect.each(NEVER)

    def beats(self, costs: Array, other: Array, times: float = 1.0) -> float:
        """Probability that some costs are below `times` others."""
        return float(self.prospect.weight @ (costs < times * other * (1 - 1e-9)))

    def pays(self, costs: Array) -> float:
        """Probability that some costs are below 0.98 of running to failure."""
        return self.beats(costs, self.never, PAYS_BELOW)

    @property
    def has_yearly_costs(self) -> bool:
        """Whether costs a year can be given: hours a year are known, or nothing counts in hours."""
        return self.case.use.is_known or all(table.clock == "months" for table in self.prospect.tables)


def weigh(case: Case, settings: Settings) -> Weighed | None:
    """Weigh one case; `None` without costs, laws or positions.

    Bad fitting is among the laws, so that every renewal runs its risk anew and what wears is read from the other failures.
    """
    if case.costs is None or case.posterior is None:
        return None
    prospect = Prospect(tabulate(case.posterior, case.use), case.use, case.costs.planned, case.costs.failure)
    bounds = bounds_of(case, prospect)
    return Weighed(case, prospect, bounds, choose(prospect, bounds, settings.worth_it), early_failures(case), settings.posterior_level)


def bounds_of(case: Case, prospect: Prospect) -> Bounds:
    """Say what the interval must keep: the limits, and what the records have seen."""
    clocks = {clock for table in prospect.tables for clock in (CLOCKS if table.clock == BOTH else (table.clock,))}
    seen = {clock: REACH_TIMES * (reached(case.behind, clock) or 0.0) for clock in ("hours", "months")}
    hours = _axis("hours" in clocks, seen["hours"], case.today.hours, case.limit.ceiling_hours)
    months = _axis("months" in clocks, seen["months"], case.today.months, case.limit.ceiling_months)
    return Bounds(hours, months, may_never=_may_never(case, prospect, seen))


def _axis(has_laws: bool, seen: float, today: float | None, ceiling: float | None) -> Axis:
    """Keep the limit; within it, go no further than the records allow, but never below today's interval for want of data alone."""
    limit = np.inf if ceiling is None else ceiling
    return Axis(limit, max(seen, today or 0.0) if has_laws else 0.0)


def _may_never(case: Case, prospect: Prospect, seen: Mapping[str, float]) -> bool:
    """Whether the part may be left to fail: no safety or hidden part, no limit, and records that reach far enough to have seen its wear."""
    if case.part.must_not_fail or case.limit.is_ceiling:
        return False
    if prospect.planned_cost >= prospect.failure_cost:
        return True
    failed = prospect.failed_by(seen["hours"], seen["months"])
    return failed - failed_of_bad_fitting(case.posterior, seen) >= FAR_ENOUGH
