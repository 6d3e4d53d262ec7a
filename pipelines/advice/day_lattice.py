"""The days of a window: cells fine enough to follow renewals of renewals, and the days whose counts are read.

In: a day, the days to read. Out: `Lattice`.
Elsewhere: what happens in the cells (`renewal_counts`), engine hours by its edges (`seasons`).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from pipelines.advice.age_replacement import Array

STEPS = 32
"""Cells of a window at least; the error of counts falls with their square."""
AT_ONCE = 1e-6
"""Days: the first cell, in which what is down or overdue is renewed, so that the next life begins today."""


@dataclass(frozen=True, eq=False)
class Lattice:
    """Cells between edges, in days from today.

    Attributes
    ----------
    edges
        Shape (n + 1,), rising from 0.
    reads
        Shape (m,): the edges at which counts are read.
    """

    edges: Array
    reads: NDArray[np.intp]

    @property
    def middles(self) -> Array:
        """Shape (n,): where a life that begins within a cell is taken to begin."""
        return (self.edges[1:] + self.edges[:-1]) / 2

    @property
    def days(self) -> Array:
        """Shape (m,): the days read."""
        return self.edges[self.reads]


def lattice(days: Sequence[float], steps: int = STEPS) -> Lattice:
    """Cut the time up to the last of these days into cells, each day being an edge."""
    read = np.unique([day for day in days if day > 0])
    longest = read[-1] / steps
    edges = [0.0, AT_ONCE]
    for day in read:
        edges += list(np.linspace(edges[-1], day, int(np.ceil((day - edges[-1]) / longest - 1e-9)) + 1)[1:])
    whole = np.array(edges)
    return Lattice(whole, np.searchsorted(whole, read - 1e-9))


def month_ends(as_of: date, days: float) -> list[date]:
    """Last days of the months that end within so many days after a day."""
    ends, first = [], as_of.replace(day=1)
    while True:
        first = (first + timedelta(days=32)).replace(day=1)
        last = first - timedelta(days=1)
        if (last - as_of).days > days:
            return ends
        if last > as_of:
            ends.append(last)
