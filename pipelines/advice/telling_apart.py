"""Whether the groups of a part are worth intervals of their own.

In: the estimate of the part taken as one, those of its groups, the fleet's tables. Out: yes or no.
Lives may differ surely and still not matter: where one interval for all costs hardly more, it is the better rule for a yard.
Elsewhere: whether the lives differ (`fits.covariates`).
"""

from collections.abc import Sequence
from dataclasses import dataclass

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

    A part with too many failures soon after fitting is never told apart: that is a matter of the fitting, and the counts of a group are too
    small to see it.
    """
    case = case_of(whole, fleet)
    weighed = weigh(case, settings)
    if weighed is None or early_failures(case) is not None:
        return False
    one_for_all = rule(case, weighed, settings).decision
    ruled = [_ruled(case_of(group, fleet), one_for_all, settings) for group in groups]
    weighty = [one for one in ruled if one is not None]
    own, same = (sum(getattr(one, name) for one in weighty) for name in ("own", "same"))
    return len({one.decision for one in weighty}) > 1 and own < (1 - WORTH) * same


@dataclass(frozen=True)
class _Ruled:
    """Decision of a group, what it costs its positions a year, and what the one for all would."""

    decision: Decision
    own: float
    same: float


def _ruled(case: Case, one_for_all: Decision, settings: Settings) -> _Ruled | None:
    weighed = weigh(case, settings) if case.positions else None
    if weighed is None or not weighed.has_yearly_costs:
        return None
    own = rule(case, weighed, settings).decision
    costs = (case.positions * weighed.prospect.cost(decision) for decision in (own, _allowed(one_for_all, weighed)))
    return _Ruled(own, *costs)


def _allowed(decision: Decision, weighed: Weighed) -> Decision:
    """Keep the group's own limits."""
    hours, months = weighed.bounds.hours.limit, weighed.bounds.months.limit
    return Decision(_capped(decision.hours, hours), _capped(decision.months, months))


def _capped(age: float | None, limit: float) -> float | None:
    return min(age, limit) if age is not None else limit if limit < float("inf") else None
