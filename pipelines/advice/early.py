"""Failures soon after fitting: more of them than the laws of wear allow mean that the fitting is at fault, not the part.

In: a `Case`. Out: `EarlyFailures`, or `None` where there are not too many.
Elsewhere: what is said of it (`reasons`).
"""

from dataclasses import dataclass

import numpy as np
import polars as pl

from pipelines.advice.age_replacement import Array
from pipelines.advice.case import Case
from pipelines.advice.interval import reached
from pipelines.fits.ages import CLOCKS
from pipelines.fits.posterior import FAILS_YOUNG, Posterior

SOON = 0.1
"""Share of the interval that counts as soon after fitting."""

TOO_MANY_SD = 2.5
FEWEST = 3
_MORE_LIKELY_THAN_NOT = 0.5


@dataclass(frozen=True)
class EarlyFailures:
    """Failures by an age on one clock, with the number that wear would give, and the parts that were watched at such ages."""

    observed: int
    expected: float
    fitted: int
    age: float
    clock: str

    @property
    def share(self) -> float:
        """Share of fitted parts that fail early."""
        return self.observed / self.fitted

    def set_apart(self, lives: pl.DataFrame) -> pl.DataFrame:
        """Return the lives with the early failures suspended where they failed: what wear alone would have shown."""
        unit = CLOCKS[self.clock]
        early = pl.col(f"high_{unit}") <= self.age
        return lives.with_columns(pl.when(~early.fill_null(value=False)).then(name).alias(name) for name in ("high_h", "high_months"))

    @property
    def is_excess(self) -> bool:
        """Whether there are more than expected by 2.5 standard deviations."""
        return self.observed - self.expected > TOO_MANY_SD * self.expected**0.5


def early_failures(case: Case) -> EarlyFailures | None:
    """Find whether parts fail soon after fitting beyond what the posterior expects by 2.5 standard deviations.

    Failures within the first tenth of today's interval (of the age that ten lives have reached, where there is none) are compared with the
    number expected from the ages at which parts were under observation. A hazard that most likely falls with age counts too. Fewer than 3
    such failures say nothing.
    """
    posterior = case.posterior
    if posterior is None or case.lives.is_empty():
        return None
    clock = max(("hours", "months"), key=lambda name: posterior.weight_of(clock=name))
    interval = case.today.hours if clock == "hours" else case.today.months
    if interval is None:
        interval = reached(case.lives, clock)
    if not interval:
        return None
    found = _count(posterior, case.lives, clock, SOON * interval)
    falls = posterior.weight_of(branch=FAILS_YOUNG) > _MORE_LIKELY_THAN_NOT
    return found if found.observed >= FEWEST and (found.is_excess or falls) else None


def _count(posterior: Posterior, lives: pl.DataFrame, clock: str, age: float) -> EarlyFailures:
    unit = CLOCKS[clock]
    known = lives.filter(pl.col(f"low_{unit}").is_not_null(), pl.col(f"entry_{unit}").fill_null(0.0) < age)
    entry, low = (known[f"{part}_{unit}"].fill_null(0.0).to_numpy() for part in ("entry", "low"))
    observed = known.filter(pl.col(f"high_{unit}") <= age).height
    surviving = _survival(posterior, clock, np.concatenate([entry, np.minimum(np.maximum(low, entry), age)]))
    at_entry, at_end = np.split(surviving, 2)
    return EarlyFailures(observed, float((1 - at_end / at_entry).sum()), known.height, age, clock)


def _survival(posterior: Posterior, clock: str, ages: Array) -> Array:
    distinct, place = np.unique(ages, return_inverse=True)
    return posterior.expected_survival(clock, distinct)[place]
