"""Failures soon after fitting: more of them than the laws of wear allow mean that the fitting is at fault, not the part.

In: a `Case` and the interval. Out: `EarlyFailures`, or `None` where there are not too many.
Elsewhere: what is said of it (`reasons`).
"""

from dataclasses import dataclass

import numpy as np
import polars as pl

from pipelines.advice.age_replacement import Array
from pipelines.advice.case import Case
from pipelines.advice.prospect import Decision
from pipelines.fits.posterior import FAILS_YOUNG, Posterior

SOON = 0.1
"""Share of the interval that counts as soon after fitting."""

TOO_MANY_SD = 2.5
FEWEST = 3
_MORE_LIKELY_THAN_NOT = 0.5


@dataclass(frozen=True)
class EarlyFailures:
    """Failures by an age on one clock, with the number that wear would give."""

    observed: int
    expected: float
    age: float
    clock: str

    @property
    def is_excess(self) -> bool:
        """Whether there are more than expected by 2.5 standard deviations."""
        return self.observed - self.expected > TOO_MANY_SD * self.expected**0.5


def early_failures(case: Case, decision: Decision) -> EarlyFailures | None:
    """Find whether parts fail soon after fitting beyond what the posterior expects by 2.5 standard deviations.

    Failures within the first tenth of the interval (today's, or the median life, where the part is renewed only when it fails) are
    compared with the number expected from the ages at which parts were under observation. A hazard that most likely falls with age
    counts too. Fewer than 3 such failures say nothing.
    """
    posterior = case.posterior
    if posterior is None or case.lives.is_empty():
        return None
    clock = max(("hours", "months"), key=lambda name: posterior.weight_of(clock=name))
    age = SOON * _interval(posterior, clock, decision, case.today)
    found = _count(posterior, case.lives, clock, age)
    falls = posterior.weight_of(branch=FAILS_YOUNG) > _MORE_LIKELY_THAN_NOT
    return found if found.observed >= FEWEST and (found.is_excess or falls) else None


def _interval(posterior: Posterior, clock: str, decision: Decision, today: Decision) -> float:
    for known in (decision, today):
        age = known.hours if clock == "hours" else known.months
        if age is not None:
            return age
    ages = np.geomspace(1e-2, 1e6, 400)
    return float(ages[np.argmax(posterior.expected_survival(clock, ages) < _MORE_LIKELY_THAN_NOT)])


def _count(posterior: Posterior, lives: pl.DataFrame, clock: str, age: float) -> EarlyFailures:
    unit = {"hours": "h", "months": "months"}[clock]
    known = lives.filter(pl.col(f"low_{unit}").is_not_null(), pl.col(f"entry_{unit}").fill_null(0.0) < age)
    entry, low = (known[f"{part}_{unit}"].fill_null(0.0).to_numpy() for part in ("entry", "low"))
    observed = known.filter(pl.col(f"high_{unit}") <= age).height
    surviving = _survival(posterior, clock, np.concatenate([entry, np.minimum(np.maximum(low, entry), age)]))
    at_entry, at_end = np.split(surviving, 2)
    return EarlyFailures(observed, float((1 - at_end / at_entry).sum()), age, clock)


def _survival(posterior: Posterior, clock: str, ages: Array) -> Array:
    distinct, place = np.unique(ages, return_inverse=True)
    return posterior.expected_survival(clock, distinct)[place]
