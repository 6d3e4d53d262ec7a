"""Whether the groups of a part are worth intervals of their own.

In: the estimate of the part taken as one, those of its groups, the fleet's tables. Out: yes or no.
Lives may differ surely and still not matter: where one interval for all costs hardly more, it is the better rule for a yard.
Elsewhere: whether the lives differ (`fits.covariates`).
"""

from collections.abc import Sequence

from pipelines.advice.case import Case, Estimate, Fleet, case_of
from pipelines.advice.early import early_failures
from pipelines.advice.prospect import Decision
from pipelines.advice.ruling import rule
from pipelines.advice.weighing import Weighed, weigh
from pipelines.terms.settings import Settings

WORTH = 0.01
"""Share of the cost that intervals of their own have to save; one interval is easier to keep."""


def worth_telling_apart(whole: Estimate, groups: Sequence[Estimate], fleet: Fleet, settings: Settings) -> bool:
    """Say whether an interval a group saves enough over one for all.

    A part with too many failures soon after fitting is never told apart: that is a matter of the fitting, and counts in a group are too small
    to see it.
    """
    case = case_of(whole, fleet)
    weighed = weigh(case, settings)
    if weighed is None or early_failures(case) is not None:
        return False
    one_for_all = rule(case, weighed, settings).decision
    costs = [_costs(case_of(group, fleet), one_for_all, settings) for group in groups]
    own, same = (sum(column) for column in zip(*costs, strict=True))
    return own < (1 - WORTH) * same


def _costs(case: Case, one_for_all: Decision, settings: Settings) -> tuple[float, float]:
    """Cost of a group's positions under its own decision and under the one for all."""
    weighed = weigh(case, settings) if case.positions else None
    if weighed is None or not weighed.has_yearly_costs:
        return 0.0, 0.0
    own = rule(case, weighed, settings).decision
    same = _allowed(one_for_all, weighed)
    return case.positions * weighed.prospect.cost(own), case.positions * weighed.prospect.cost(same)


def _allowed(decision: Decision, weighed: Weighed) -> Decision:
    """Keep the group's own limits."""
    hours, months = weighed.bounds.hours.limit, weighed.bounds.months.limit
    return Decision(_capped(decision.hours, hours), _capped(decision.months, months))


def _capped(age: float | None, limit: float) -> float | None:
    return min(age, limit) if age is not None else limit if limit < float("inf") else None
