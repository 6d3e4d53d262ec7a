"""Laws that wear on engine hours and on months at once: the two hazards add up.

In: shapes and scales on each clock, with weights. Out: `TwoClocks`, a `Block` whose age is a pair of hours and months. Along a boat's own
hours a month the pair is one number, so that everything that reads a block on months reads this one too.
Elsewhere: how points and weights come about (`two_clocks`), blocks on one clock (`blocks`).
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pipelines.fits.blocks import Block, age_reaching, paper_value

Array = NDArray[np.float64]

BOTH = "both"
_FARTHEST = 40.0


@dataclass(frozen=True)
class TwoClocks(Block):
    """Weighted points of the cumulative hazard (hours / scale)^shape + (months / months_scale)^months_shape.

    Attributes
    ----------
    shape, scale
        k of them, on engine hours.
    months_shape, months_scale
        k of them, on months.
    hours_a_month
        Use at which `survival`, `age_at` and `value` read an age in months as a pair of ages; that of the group unless `at_use` says other.
    """

    months_shape: Array = field(default_factory=lambda: np.empty(0))
    months_scale: Array = field(default_factory=lambda: np.empty(0))
    hours_a_month: float = 1.0

    def at_use(self, hours_a_month: float) -> "TwoClocks":
        """Return the same laws, read at another use."""
        return replace(self, hours_a_month=hours_a_month)

    def cumulative_hazard(self, ages: ArrayLike) -> Array:
        """Cumulative hazard at each of m ages in months, at the use of the block: k x m."""
        months = np.asarray(ages, dtype=float)
        return self.hazard_at(months * self.hours_a_month, months)

    def hazard_at(self, hours: ArrayLike, months: ArrayLike) -> Array:
        """Cumulative hazard at each of m pairs of ages: k x m; not a number where either age is not known."""
        on_hours = _power(np.asarray(hours, dtype=float), self.shape, self.scale)
        return on_hours + _power(np.asarray(months, dtype=float), self.months_shape, self.months_scale)

    def survival_of(self, ages: Mapping[str, ArrayLike]) -> Array:
        """Share still running at each of m ages given on both clocks, for each of the k points: k x m."""
        return np.exp(-self.hazard_at(ages["hours"], ages["months"]))

    def survival_along(self, clock: str, ages: ArrayLike) -> Array:
        """Share still running at each of m ages on one clock, at the use of the block: k x m."""
        at = np.asarray(ages, dtype=float)
        return self.survival(at if clock == "months" else at / self.hours_a_month)

    def age_at(self, failed_share: float) -> Array:
        """Age in months, at the use of the block, by which a share of parts has failed; by halving in the logarithm."""
        hazard = -np.log1p(-failed_share)
        first = np.minimum(
            np.log(self.scale / self.hours_a_month) + np.log(hazard) / self.shape,
            np.log(self.months_scale) + np.log(hazard) / self.months_shape,
        )
        # Either clock alone reaches the hazard at `first`; together no later, and no earlier than each reaches half of it.
        return age_reaching(self._at_log_months, hazard, first - np.log(2.0) / np.minimum(self.shape, self.months_shape), first)

    def value(self, quantity: str) -> Array:
        """`shape` (slope between B10 and scale), `scale` or `b10` of each point, in months at the use of the block."""
        return paper_value(self, quantity)

    def _at_log_months(self, log_months: Array) -> Array:
        on_hours = self.shape * (log_months + np.log(self.hours_a_month) - np.log(self.scale))
        on_months = self.months_shape * (log_months - np.log(self.months_scale))
        return np.exp(np.minimum(on_hours, _FARTHEST)) + np.exp(np.minimum(on_months, _FARTHEST))


def _power(ages: Array, shape: Array, scale: Array) -> Array:
    """(age / scale) ** shape, k x m; not a number where an age is not."""
    log_ages = np.log(ages, out=np.where(np.isnan(ages), np.nan, -np.inf), where=ages > 0)
    with np.errstate(over="ignore"):
        return np.exp(shape[:, None] * (log_ages[None, :] - np.log(scale)[:, None]))
