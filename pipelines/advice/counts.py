"""Distributions of whole numbers of pieces: sums, mixtures, quantiles, shortfalls.

In: probabilities of 0, 1, 2 ... Out: `Demand`.
Elsewhere: where they come from (`demand`), what is ordered (`stock`).
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from pipelines.advice.age_replacement import Array

_SPREADS = 10.0
_ROOM = 24
_FEW = 16
_NO_WEIGHT = 1e-14


@dataclass(frozen=True, eq=False)
class Demand:
    """A number of pieces that is not known yet; `probability` of 0, 1, 2 ... adds to one."""

    probability: Array

    @cached_property
    def mean(self) -> float:
        """Expected number."""
        return float(self.probability @ np.arange(self.probability.size))

    @cached_property
    def _up_to(self) -> Array:
        return np.cumsum(self.probability)

    def chance_up_to(self, pieces: int) -> float:
        """Probability that no more than so many are asked for."""
        return 0.0 if pieces < 0 else min(1.0, float(self._up_to[min(pieces, self._up_to.size - 1)]))

    def quantile(self, level: float) -> int:
        """Smallest whole number that is not exceeded with probability `level`."""
        return int(min(np.searchsorted(self._up_to, level - 1e-12), self._up_to.size - 1))

    def shortfall(self, pieces: int) -> float:
        """Give the expected number asked for beyond so many: mean backorders [1]_.

        References
        ----------
        .. [1] Sherbrooke, C. C. (1968). METRIC: a multi-echelon technique for recoverable item control. Operations Research 16(1), 122-141.
        """
        if pieces < 0:
            return self.mean - pieces
        return float(self._beyond[pieces]) if pieces < self._beyond.size else 0.0

    @cached_property
    def _beyond(self) -> Array:
        """Expected number asked for beyond 0, 1, 2 ..."""
        more = np.concatenate([np.cumsum(self.probability[::-1])[::-1][1:], [0.0]])
        return np.cumsum(more[::-1])[::-1]

    def left(self, pieces: int) -> float:
        """Give the expected number of so many that nobody asks for."""
        return max(0.0, pieces - self.mean + self.shortfall(pieces))

    def fill_rate(self, pieces: int) -> float:
        """Chance that the next piece asked for is on the shelf when so many are held against this demand: P(demand < pieces)."""
        return self.chance_up_to(pieces - 1)

    def times(self, quantity: float) -> "Demand":
        """Return the demand when each event takes `quantity` pieces; a part of a piece takes a whole one over all events."""
        if quantity == 1:
            return self
        pieces = np.ceil(np.arange(self.probability.size) * quantity - 1e-9).astype(np.intp)
        return Demand(np.bincount(pieces, self.probability).astype(float))


NOTHING = Demand(np.ones(1))


def poisson(mean: float) -> Demand:
    """Poisson demand, to beyond any count that matters."""
    most = int(np.ceil(mean + _SPREADS * np.sqrt(mean))) + _ROOM
    logs = np.concatenate([[0.0], np.cumsum(np.log(np.arange(1, most + 1)))])
    with np.errstate(divide="ignore", invalid="ignore"):
        return Demand(np.exp(-mean + np.arange(most + 1) * np.log(mean) - logs)) if mean > 0 else NOTHING


def gamma_poisson(events: float, exposure: float, ahead: float) -> Demand:
    """Poisson demand whose rate is known from `events` over `exposure`, over an exposure `ahead`: the doubt about the rate widens it.

    The rate has a gamma distribution of shape `events` and mean `events / exposure`; the count is then negative binomial.
    """
    success = exposure / (exposure + ahead)
    mean = events * ahead / exposure
    most = int(np.ceil(mean + _SPREADS * np.sqrt(mean / success))) + _ROOM
    steps = np.arange(1, most + 1)
    logs = events * np.log(success) + np.concatenate([[0.0], np.cumsum(np.log((events + steps - 1) / steps * (1 - success)))])
    probability = np.exp(logs)
    return Demand(probability / probability.sum())


def added(demands: list[Demand]) -> Demand:
    """Sum of independent demands."""
    total = NOTHING.probability
    for demand in demands:
        total = np.convolve(total, demand.probability)
    return Demand(_trimmed(total))


def mixed_sum(probabilities: Array, weight: Array) -> Demand:
    """Sum over positions, mixed over laws: under each law the positions are independent, and all share the law.

    Parameters
    ----------
    probabilities
        Shape (k, p, c + 1): probabilities of 0 to c events in each of p positions under each of k laws.
    weight
        Shape (k,): weight of each law; adds to one.

    Notes
    -----
    Positions are added two by two, the sums again two by two, and so on.
    """
    sums = probabilities
    while sums.shape[1] > 1:
        if sums.shape[1] % 2:
            nothing = np.eye(1, sums.shape[2])[None].repeat(sums.shape[0], axis=0)
            sums = np.concatenate([sums, nothing], axis=1)
        sums = _convolved(sums[:, 0::2], sums[:, 1::2])
    return Demand(_trimmed(weight @ sums[:, 0]))


def _convolved(left: Array, right: Array) -> Array:
    """Convolve along the last axis; a tail without weight is dropped."""
    size = 2 * left.shape[-1] - 1
    points = int(2 ** np.ceil(np.log2(size)))
    if left.shape[-1] <= _FEW:
        whole = np.zeros((*left.shape[:-1], size))
        for place in range(right.shape[-1]):
            whole[..., place : place + left.shape[-1]] += left * right[..., place : place + 1]
    else:
        whole = np.fft.irfft(np.fft.rfft(left, points) * np.fft.rfft(right, points), points)[..., :size]
    matters = np.flatnonzero(whole.max(axis=tuple(range(whole.ndim - 1))) > _NO_WEIGHT)
    return whole[..., : matters[-1] + 1]


def _trimmed(probability: Array) -> Array:
    """Drop what is below rounding error, and the empty tail; add to one."""
    kept = np.where(probability > 1e-15, probability, 0.0)
    last = int(np.flatnonzero(kept)[-1])
    return kept[: last + 1] / kept.sum()
