"""Laws of a part that wears out, some of whose fittings are bad and die early.

In: shapes and scales of the wear, the share of bad fittings and the mean age at which those die. Out: `FittedBadly`, a `Block`.
A bad fitting dies of what comes first, its fault or wear; a renewal runs the risk of a bad fitting anew.
Elsewhere: how points and weights come about (`fitted_badly`), blocks without bad fittings (`blocks`).
"""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pipelines.fits.blocks import Block, age_reaching, paper_value
from pipelines.fits.likelihood import age_at_hazard

Array = NDArray[np.float64]

FITTED_BADLY = "fitted badly"
_EARLIEST = 1e-12


@dataclass(frozen=True)
class FittedBadly(Block):
    """Weighted points of the survival exp(-(age / scale)^shape) x (1 - early_share + early_share x exp(-age / early_age)).

    Attributes
    ----------
    shape, scale
        k of them, of the wear alone.
    early_share
        k of them, share of fittings that are bad.
    early_age
        k of them, mean age at which a bad fitting dies if nothing else ends it.
    """

    early_share: Array = field(default_factory=lambda: np.empty(0))
    early_age: Array = field(default_factory=lambda: np.empty(0))

    @property
    def wear(self) -> Block:
        """The same points if every fitting were good."""
        return Block(self.branch, self.family, self.clock, self.shape, self.scale, self.weight)

    def cumulative_hazard(self, ages: ArrayLike) -> Array:
        """Cumulative hazard of fittings good and bad together at each of m ages: k x m."""
        at = np.asarray(ages, dtype=float)
        share = self.early_share[:, None]
        return super().cumulative_hazard(at) - np.log1p(share * np.expm1(-at[None, :] / self.early_age[:, None]))

    def age_at(self, failed_share: float) -> Array:
        """Age by which a share of parts has failed; by halving in the logarithm, since wear alone comes later."""
        hazard = -np.log1p(-failed_share)
        latest = np.log(age_at_hazard(self.family, hazard, self.shape, self.scale))
        return age_reaching(self._at, hazard, latest + np.log(_EARLIEST), latest)

    def value(self, quantity: str) -> Array:
        """`shape` (slope between B10 and scale), `scale` or `b10` of each point, bad fittings included."""
        return paper_value(self, quantity)

    def _at(self, log_age: Array) -> Array:
        age = np.exp(log_age)
        return (age / self.scale) ** self.shape - np.log1p(self.early_share * np.expm1(-age / self.early_age))
