"""Which verdict a case gets, and what is to be done.

In: a `Case` and what it weighs. Out: `Ruling`. Whatever the verdict, its decision is what to do.
Elsewhere: the sentence that gives the reason (`reasons`), the row (`verdict`).
"""

from dataclasses import dataclass
from enum import Enum, auto

from pipelines.advice.case import Case
from pipelines.advice.early import EarlyFailures, early_failures
from pipelines.advice.inspection import Inspection, best_inspection
from pipelines.advice.prospect import NEVER, Decision
from pipelines.advice.weighing import Weighed
from pipelines.advice.words import IMPROVE, KEEP, ON_CONDITION, RENEW, RUN, TEST, TOO_LITTLE
from pipelines.terms.settings import Settings

SURE_ENOUGH = 0.8
"""With few failures, today's interval stands unless another beats it with this probability."""

FEW_FAILURES = 3
_WORTH_BEGINNING = 1.02
_AT_THE_END = 0.95
_AT_THE_LIMIT = 0.999


class Why(Enum):
    """What settled the decision."""

    NO_COSTS = auto()
    NO_LIVES = auto()
    NO_REACH = auto()
    UNDECIDED = auto()
    LIMIT = auto()
    STAGE = auto()
    LEAST_COST = auto()
    NOT_WORTH_IT = auto()


@dataclass(frozen=True)
class Ruling:
    """A verdict with the decision and what settled it.

    Attributes
    ----------
    early
        Failures soon after fitting, if there are too many.
    inspection
        Looks that clearly beat the interval alone; `None`: none does.
    """

    verdict: str
    decision: Decision
    why: Why
    early: EarlyFailures | None = None
    inspection: Inspection | None = None


def rule(case: Case, weighed: Weighed | None, settings: Settings) -> Ruling:
    """Give the verdict of one case."""
    decision, why = _settle(case, weighed)
    early = early_failures(case) if weighed is None else weighed.early
    verdict = _word(case, why, early)
    inspection = None
    if weighed is not None and verdict in (RENEW, KEEP, RUN):
        inspection = best_inspection(weighed, decision, settings.condition_fraction)
    return Ruling(verdict if inspection is None else ON_CONDITION, decision, why, early, inspection)


def _word(case: Case, why: Why, early: EarlyFailures | None) -> str:
    if case.part.hidden:
        return TEST
    if early is not None:
        return IMPROVE
    if why in (Why.NO_COSTS, Why.NO_LIVES, Why.NO_REACH):
        return KEEP if case.today_from == "limit" else TOO_LITTLE
    return {Why.UNDECIDED: TOO_LITTLE, Why.LIMIT: KEEP, Why.NOT_WORTH_IT: RUN}.get(why, RENEW)


def _settle(case: Case, weighed: Weighed | None) -> tuple[Decision, Why]:
    if weighed is None:
        return case.kept, Why.NO_COSTS if case.costs is None else Why.NO_LIVES
    if weighed.choice is None:
        return case.kept, Why.NO_REACH
    decision = weighed.choice.decision
    if _is_undecided(case, weighed, decision):
        return _kept(case, decision), Why.UNDECIDED
    return decision, _what_settled(weighed, decision)


def _is_undecided(case: Case, weighed: Weighed, decision: Decision) -> bool:
    """With few failures behind it, a change of interval has to be nearly sure to pay, and renewing never stops.

    A part that must not fail is not stretched at all then.
    """
    if case.behind.is_empty() or _is_not_worth_beginning(case, weighed, decision):
        return True
    if case.signs >= FEW_FAILURES:
        return False
    if decision.is_never or (case.part.must_not_fail and _is_longer(decision, case.kept)):
        return True
    other = weighed.never if case.kept.is_never else weighed.prospect.each(case.kept)
    return decision != case.kept and weighed.beats(weighed.prospect.each(decision), other) < SURE_ENOUGH


def _is_not_worth_beginning(case: Case, weighed: Weighed, decision: Decision) -> bool:
    """Whether a part that is left to fail today, and may be, would not surely cost less with the interval, and hardly less on the mean.

    Records that do not reach far enough to stop renewing are no reason to begin it.
    """
    if decision.is_never or weighed.early is not None or not (case.may_fail and case.today.is_never and case.today_from):
        return False
    advised = weighed.prospect.each(decision)
    if weighed.beats(advised, weighed.never) >= SURE_ENOUGH:
        return False
    mean = weighed.prospect.weight
    return float(mean @ weighed.never) <= _WORTH_BEGINNING * float(mean @ advised)


def _is_longer(decision: Decision, today: Decision) -> bool:
    if today.is_never:
        return False
    pairs = ((decision.hours, today.hours), (decision.months, today.months))
    return decision.is_never or any(then is not None and (now is None or now > then) for now, then in pairs)


def _kept(case: Case, decision: Decision) -> Decision:
    """Today's interval, unless there is none and the part must not fail."""
    return decision if case.kept.is_never and case.part.must_not_fail else case.kept


def _what_settled(weighed: Weighed, decision: Decision) -> Why:
    if decision == NEVER:
        return Why.NOT_WORTH_IT
    named = [
        (age, axis) for age, axis in ((decision.hours, weighed.bounds.hours), (decision.months, weighed.bounds.months)) if age is not None
    ]
    if all(age >= _AT_THE_LIMIT * axis.limit for age, axis in named):
        return Why.LIMIT
    return Why.STAGE if any(_AT_THE_END * axis.top <= age < _AT_THE_LIMIT * axis.limit for age, axis in named) else Why.LEAST_COST
