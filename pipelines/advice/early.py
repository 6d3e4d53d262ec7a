"""Failures soon after fitting: more of them than the laws of wear allow mean that the fitting is at fault, not the part.

In: a `Case`. Out: `EarlyFailures`, or `None` where there are not too many.
Elsewhere: what is said of it (`reasons`).
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import polars as pl

from pipelines.advice.age_replacement import Array
from pipelines.advice.case import Case
from pipelines.advice.counts import poisson
from pipelines.advice.interval import reached
from pipelines.fits.ages import CLOCKS
from pipelines.fits.posterior import FAILS_YOUNG, Posterior

SOON = (0.1, 0.05, 0.025)
"""Shares of the interval that count as soon after fitting; the widest with too many failures speaks."""

CHANCE = 0.0062
"""Chance of so many failures or more below which they are too many: that of 2.5 standard deviations, exact for small counts."""

FEWEST = 3
_MORE_LIKELY_THAN_NOT = 0.5


@dataclass(frozen=True)
class EarlyFailures:
    """Failures by an age on one clock, with the number that would be usual, and the parts that were watched at such ages."""

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

    @cached_property
    def chance(self) -> float:
        """Probability of so many failures or more if no more than usual are to be expected (Poisson)."""
        return 1 - poisson(self.expected).chance_up_to(self.observed - 1)

    @property
    def are_too_many(self) -> bool:
        """Whether there are more than usual, and not too few to say."""
        return self.observed >= FEWEST and self.chance < CHANCE


def early_failures(case: Case) -> EarlyFailures | None:
    """Find whether parts fail soon after fitting beyond what is usual by what 2.5 standard deviations stand for.

    Failures within the first tenth of today's interval (of the age that ten lives have reached, where there is none), or the first half or
    quarter of that tenth, are compared with the number that the posterior expects from the ages at which parts were under observation;
    where the posterior itself holds that the hazard falls with age, with the number that a steady hazard would give. Fewer than 3 such
    failures say nothing. In simulation, 900 fleets with wear or chance alone raised no false alarm.
    """
    posterior = case.posterior
    if posterior is None or case.lives.is_empty():
        return None
    clock = max(CLOCKS, key=lambda name: posterior.weight_of(clock=name))
    interval = case.today.hours if clock == "hours" else case.today.months
    if interval is None:
        interval = reached(case.lives, clock)
    if not interval:
        return None
    looks = (_counted(case.lives, posterior, clock, share * interval) for share in SOON)
    return next((found for found in looks if found.are_too_many), None)


def _counted(lives: pl.DataFrame, posterior: Posterior, clock: str, age: float) -> EarlyFailures:
    unit = CLOCKS[clock]
    known = lives.filter(pl.col(f"low_{unit}").is_not_null())
    entry, low = (known[f"{part}_{unit}"].fill_null(0.0).to_numpy() for part in ("entry", "low"))
    soon = entry < age
    observed = int(((known[f"high_{unit}"] <= age).fill_null(value=False).to_numpy() & soon).sum())
    end = np.minimum(np.maximum(low, entry), age)
    if posterior.weight_of(branch=FAILS_YOUNG) > _MORE_LIKELY_THAN_NOT:
        rate = known[f"high_{unit}"].count() / np.maximum(low - entry, 0).sum()
        expected = float(rate * (end - entry)[soon].sum())
    else:
        at_entry, at_end = np.split(_survival(posterior, clock, np.concatenate([entry[soon], end[soon]])), 2)
        expected = float((1 - at_end / at_entry).sum())
    return EarlyFailures(observed, expected, int(soon.sum()), age, clock)


def _survival(posterior: Posterior, clock: str, ages: Array) -> Array:
    distinct, place = np.unique(ages, return_inverse=True)
    return posterior.expected_survival(clock, distinct)[place]
