"""The reason of a verdict in one plain sentence with its figures, and what it rests on.

In: a case, what it weighs, its ruling. Out: words.
Elsewhere: which verdict it is (`ruling`).
"""

from pipelines.advice.case import Case
from pipelines.advice.early import EarlyFailures
from pipelines.advice.inspection import Inspection
from pipelines.advice.prospect import Decision
from pipelines.advice.ruling import Ruling, Why
from pipelines.advice.weighing import Weighed
from pipelines.advice.words import IMPROVE, TEST, counted, figure, interval_words

_MORE_LIKELY_THAN_NOT = 0.5


def basis_of(case: Case) -> str:
    """Say what a verdict rests on: failures, lives, and where the prior of the life comes from."""
    lives = counted(case.lives.height, "life", "lives")
    condition = f" and {counted(case.condition_renewals, 'condition renewal', 'condition renewals')}" if case.condition_renewals else ""
    prior = f"; prior of the life from: {case.posterior.basis}" if case.posterior is not None and case.posterior.basis else ""
    others = case.behind.height - case.lives.height
    borrowed = f"; strength borrowed from {counted(others, 'life', 'lives')} of the other groups" if others else ""
    apart = f"; {case.told_apart}" if case.told_apart else ""
    return f"{counted(case.failures, 'failure', 'failures')}{condition} in {lives}{borrowed}{apart}{prior}"


def reason_of(case: Case, weighed: Weighed | None, ruling: Ruling, test_months: float | None, availability: float) -> str:
    """Say in one sentence why."""
    if ruling.verdict == TEST:
        return _tested(case, test_months, availability) + " " + _settled(case, weighed, ruling)
    if ruling.verdict == IMPROVE and ruling.early is not None:
        return _fitted_badly(case, ruling.early, ruling.decision)
    if weighed is not None and ruling.inspection is not None:
        return _looked_at(case, weighed, ruling, ruling.inspection)
    return _settled(case, weighed, ruling)


def _looked_at(case: Case, weighed: Weighed, ruling: Ruling, inspection: Inspection) -> str:
    weight = weighed.prospect.weight
    less = 100 * (1 - float(weight @ inspection.costs) / weighed.prospect.cost(ruling.decision))
    latest = "" if ruling.decision.is_never else f", at the latest {interval_words(ruling.decision)}"
    return (
        f"Its wear shows before it fails ({counted(case.condition_renewals, 'condition renewal', 'condition renewals')}, so that a look "
        f"is taken to see it {100 * inspection.sight:.0f} % of the time): looking "
        f"{interval_words(inspection.every)} and renewing what is worn{latest} costs {less:.0f} % less than not looking, "
        f"each look reckoned as a visit of its own."
    )


def _fitted_badly(case: Case, early: EarlyFailures, decision: Decision) -> str:
    unit = "h" if early.clock == "hours" else "months"
    return (
        f"{early.observed} of {counted(case.failures, 'failure', 'failures')} came within {figure(early.age)} {unit} of fitting, "
        f"where wear alone would bring {figure(early.expected)}; some {100 * early.share:.0f} % of fittings are believed to be bad: "
        f"look at how it is fitted; until then renew {interval_words(decision)}."
    )


def _tested(case: Case, test_months: float | None, availability: float) -> str:
    if test_months is None:
        return "Its failure shows only at a test, and no life is known from which to say how often: keep the maker's test."
    limit = case.test_limit.ceiling_months
    allowed = ", the longest allowed," if limit is not None and limit == test_months else ""
    every = interval_words(Decision(None, test_months))
    return f"Its failure shows only at a test; one {every}{allowed} keeps it working {100 * availability:g} % of the time or more."


def _settled(case: Case, weighed: Weighed | None, ruling: Ruling) -> str:
    if weighed is None or ruling.why in (Why.NO_COSTS, Why.NO_LIVES, Why.NO_REACH):
        return _unweighed(case, ruling)
    saying = {
        Why.UNDECIDED: _undecided,
        Why.LIMIT: _limited,
        Why.STAGE: _staged,
        Why.NOT_WORTH_IT: _not_worth_it,
        Why.LEAST_COST: _least_cost,
    }
    return saying[ruling.why](case, weighed, ruling.decision)


def _unweighed(case: Case, ruling: Ruling) -> str:
    missing = {
        Why.NO_COSTS: "No costs are recorded for it, so no interval can be weighed: give its planned cost and its failure cost",
        Why.NO_LIVES: "No life of it is known yet",
        Why.NO_REACH: "Fewer than ten lives are known and no interval is in force, so no age is known to be safe",
    }[ruling.why]
    return f"{missing}; {_until_then(case, ruling.decision)}."


def _until_then(case: Case, decision: Decision) -> str:
    if not decision.is_never:
        return f"until then renew {interval_words(decision)}, as {'the maker says' if case.today_from == 'limit' else 'planned today'}"
    return (
        "it must not be left to fail: set an interval from the maker's manual"
        if case.part.must_not_fail
        else "until then renew only when it fails"
    )


def _undecided(case: Case, weighed: Weighed, decision: Decision) -> str:
    choice = weighed.choice.decision if weighed.choice else decision
    if choice == decision:
        return f"{_seen(case)} can hardly tell which interval costs least; {_meanwhile(case, decision)}."
    other = "today's" if case.today_from else "renewing only when it fails" if decision.is_never else "another interval"
    question = f"whether renewing {interval_words(choice)} would cost less than {other}"
    return f"{_seen(case)} cannot tell {question}; {_meanwhile(case, decision)}."


def _meanwhile(case: Case, decision: Decision) -> str:
    """Say what is kept to, or, where no interval is in force, what to do until more is known."""
    kept = case.today_from and (decision == case.kept)
    if decision.is_never:
        return "go on renewing only when it fails" if kept else "until more is known renew only when it fails"
    return f"{'keep to renewing' if kept else 'until more is known renew'} {interval_words(decision)}"


def _limited(case: Case, weighed: Weighed, decision: Decision) -> str:
    stays = "must be kept" if case.limit.binding else "may be passed only with written approval"
    return f"The least cost lies at or beyond the limit, which {stays}: renew {interval_words(decision)}, {_cost(case, weighed, decision)}."


def _staged(case: Case, weighed: Weighed, decision: Decision) -> str:
    return (
        f"The records reach no further: renew {interval_words(decision)} for now ({_cost(case, weighed, decision)}) "
        "and look again when ten lives have reached that age."
    )


def _not_worth_it(case: Case, weighed: Weighed, decision: Decision) -> str:
    if case.costs is not None and case.costs.planned >= case.costs.failure:
        return (
            f"A planned renewal costs no less than a failure ({figure(case.costs.planned)} against {figure(case.costs.failure)}"
            f"{f' {case.costs.currency}' if case.costs.currency else ''}), so nothing is gained by renewing before it fails."
        )
    wears_out = 0.0 if case.posterior is None else case.posterior.wears_out_probability
    so = (
        "but a failure costs too little more than a renewal, or comes at too many ages, for an interval to pay"
        if wears_out > _MORE_LIKELY_THAN_NOT
        else "so a spare helps and an interval hardly does"
    )
    return (
        f"No interval costs less than waiting for the failure ({_cost(case, weighed, decision)}): by {_seen(case)} "
        f"it wears out with a chance of {100 * wears_out:.0f} %, {so}."
    )


def _least_cost(case: Case, weighed: Weighed, decision: Decision) -> str:
    return f"The least cost, {_cost(case, weighed, decision)}, is that of renewing {interval_words(decision)} ({_seen(case)})."


def _seen(case: Case) -> str:
    return f"{counted(case.failures, 'failure', 'failures')} in {counted(case.lives.height, 'life', 'lives')}"


def _cost(case: Case, weighed: Weighed, decision: Decision) -> str:
    """Money a year where it is known, and how it compares with waiting for the failure."""
    currency = f" {case.costs.currency}" if case.costs and case.costs.currency else ""
    money = f"{figure(weighed.prospect.cost(decision))}{currency} per position and year" if weighed.has_yearly_costs else ""
    return ", ".join(part for part in (money, "" if decision.is_never else _against_never(weighed, decision)) if part)


def _against_never(weighed: Weighed, decision: Decision) -> str:
    less = 100 * (1 - weighed.prospect.cost(decision) / float(weighed.prospect.weight @ weighed.never))
    if abs(less) < 0.5:
        return "about the same as waiting for the failure"
    return f"{abs(less):.0f} % {'less' if less > 0 else 'more'} than waiting for the failure"
