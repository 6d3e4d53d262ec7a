"""What would be advised if costs, prior, today's interval, the limit or the hours of a season were other than they are.

In: a `Case` as the records make it, and what is supposed. Out: the case that would then be weighed; nothing is kept of it.
Its laws stay as the lives make them, so that an answer takes no fit: another chance of random failure weighs the branches anew, which is
exact, since a prior enters a posterior as a factor.
Elsewhere: which supposition would turn the verdict (`sensitivity`), the verdict (`verdict`).
"""

from dataclasses import dataclass, replace

from pipelines.advice.case import Case, Costs, Limit
from pipelines.advice.prospect import Decision
from pipelines.advice.use import Use
from pipelines.fits.posterior import RANDOM, Posterior, pruned


@dataclass(frozen=True)
class Supposed:
    """What is supposed; `None`: as the records have it.

    Attributes
    ----------
    planned_cost, failure_cost
        Money per position, without the visit.
    every_h, every_months
        Today's interval at every position.
    max_h, max_months
        A limit that must be kept.
    year_h
        Engine hours a year of the mean position; all positions go up or down by the same share.
    random
        Chance that the part fails at random, believed before its lives are read; between 0 and 1.
    """

    planned_cost: float | None = None
    failure_cost: float | None = None
    every_h: float | None = None
    every_months: float | None = None
    max_h: float | None = None
    max_months: float | None = None
    year_h: float | None = None
    random: float | None = None

    @property
    def is_nothing(self) -> bool:
        """Whether all is as the records have it."""
        return self == Supposed()


def supposed_case(case: Case, supposed: Supposed, prior_random: float) -> Case:
    """Give the case as it would be.

    Parameters
    ----------
    case
        As the records make it.
    supposed
        What is changed.
    prior_random
        The prior chance of random failure that its laws were weighed with.
    """
    changed = replace(case, costs=_costs(case.costs, supposed), use=_use(case.use, supposed.year_h))
    if supposed.random is not None and case.posterior is not None:
        changed = replace(changed, posterior=with_random(case.posterior, prior_random, supposed.random))
    if (supposed.max_h, supposed.max_months) != (None, None):
        ceiling = (supposed.max_h, supposed.max_months)
        changed = replace(changed, limit=Limit(*ceiling, True, *ceiling), makers=((Decision(*ceiling), case.positions),))
    if (supposed.every_h, supposed.every_months) != (None, None):
        today = Decision(supposed.every_h, supposed.every_months)
        changed = replace(changed, today=today, today_from="plan", todays=((today, case.positions),))
    return changed


def with_random(believed: Posterior, before: float, after: float) -> Posterior:
    """Weigh a posterior anew as if random failure had had another prior chance; the other branches keep their shares of the rest."""
    if not (0 < before < 1 and 0 < after < 1):
        return believed
    times = {True: after / before, False: (1 - after) / (1 - before)}
    blocks = [replace(block, weight=block.weight * times[block.branch == RANDOM]) for block in believed.blocks]
    return replace(believed, blocks=pruned(blocks))


def _costs(costs: Costs | None, supposed: Supposed) -> Costs | None:
    planned = supposed.planned_cost if supposed.planned_cost is not None else costs and costs.planned
    failure = supposed.failure_cost if supposed.failure_cost is not None else costs and costs.failure
    if planned is None or failure is None:
        return costs
    return Costs(planned, failure) if costs is None else replace(costs, planned=planned, failure=failure)


def _use(use: Use, year_h: float | None) -> Use:
    if year_h is None or not use.year_h:
        return use
    return Use(use.hours * (year_h / use.year_h), use.share)
