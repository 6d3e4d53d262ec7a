"""Draws that come out the same everywhere: only the uniform stream of PCG64, turned by formulas written here.

In: a seed and the number of a stage. Out: `Chance`. A library may change how it draws an exponential or a Poisson number;
the uniform stream it may not, so the committed records can be rebuilt byte for byte.
"""

import hashlib
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]


class Chance:
    """A stream of draws for one stage of making a fleet.

    Parameters
    ----------
    seed
        Seed of the fleet, 0 or more.
    stage
        Name of the stage; each stage has its own stream, so a change in one leaves the others as they were.
    """

    def __init__(self, seed: int, stage: str) -> None:
        number = int.from_bytes(hashlib.sha256(stage.encode()).digest()[:4], "big")
        self._stream = np.random.Generator(np.random.PCG64([seed, number]))

    def uniform(self, size: int, low: float = 0.0, high: float = 1.0) -> Floats:
        """Draw `size` numbers from `low` up to, not including, `high`."""
        return low + (high - low) * self._stream.random(size)

    def one(self, low: float = 0.0, high: float = 1.0) -> float:
        """Draw one number from `low` up to `high`."""
        return float(self.uniform(1, low, high)[0])

    def exponential(self, size: int) -> Floats:
        """Draw `size` numbers with mean 1 by inverting the distribution function."""
        return -np.log1p(-self._stream.random(size))

    def normal(self, size: int) -> Floats:
        """Draw `size` standard normal numbers (Box and Muller 1958)."""
        return np.sqrt(2 * self.exponential(size)) * np.cos(2 * np.pi * self._stream.random(size))

    def spread(self, size: int, sd: float) -> Floats:
        """Draw `size` factors around 1 whose logarithm has standard deviation `sd`."""
        return np.exp(sd * self.normal(size))

    def whether(self, size: int, share: float | Floats) -> Flags:
        """Draw `size` flags, each true with probability `share`."""
        return self._stream.random(size) < share

    def whole(self, size: int, low: int, high: int) -> Ints:
        """Draw `size` whole numbers from `low` to `high`, both included."""
        return np.floor(self.uniform(size, low, high + 1)).astype(np.int64)

    def pick(self, size: int, weights: Sequence[float] | Floats) -> Ints:
        """Draw `size` places in `weights`, each with probability in proportion to its weight."""
        edges = np.cumsum(np.asarray(weights, dtype=float))
        return np.searchsorted(edges / edges[-1], self._stream.random(size), side="right").astype(np.int64)

    def counts(self, means: Floats) -> Ints:
        """Draw Poisson counts with the given small means by walking up the distribution function; never above 12."""
        left, term, count = self._stream.random(means.shape), np.exp(-means), np.zeros(means.shape, dtype=np.int64)
        for step in range(1, 13):
            left = left - term
            count += left >= 0
            term = term * means / step
        return count
