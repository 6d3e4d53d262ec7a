"""Hours at a day, the day of an hour, and the next visit: the clocks that parts live on, as arrays.

In: hours by month, lists of days. Out: `HoursClock`, `Days`. A day is a float, days since 1970-01-01.
Elsewhere: how many hours are run and when a yard looks (`use`).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from sample_fleet.chance import Floats, Ints

EPOCH = date(1970, 1, 1)
FAR = 1e9
"""A day or an hour that never comes; also the gap between one carrier and the next in a sorted row."""


def day_number(day: date) -> int:
    """Return the days from 1970-01-01 to `day`."""
    return (day - EPOCH).days


@dataclass(frozen=True)
class HoursClock:
    """Hours run by each carrier, linear within a month.

    Attributes
    ----------
    grid
        First day of each month, shape (months + 1,).
    cumulative
        Hours run before that day, shape (carriers, months + 1), never falling.
    """

    grid: Floats
    cumulative: Floats

    def hours_at(self, carrier: Ints, day: Floats) -> Floats:
        """Return the hours that each carrier had run by each day."""
        at = np.clip(np.searchsorted(self.grid, day, side="right") - 1, 0, len(self.grid) - 2)
        share = np.clip((day - self.grid[at]) / (self.grid[at + 1] - self.grid[at]), 0.0, 1.0)
        before = self.cumulative[carrier, at]
        return before + share * (self.cumulative[carrier, at + 1] - before)

    def day_at(self, carrier: Ints, hours: Floats) -> Floats:
        """Return the first day on which each carrier had run these hours; `FAR` if it never did."""
        row = self.cumulative + np.arange(len(self.cumulative))[:, None] * 1e6
        width = row.shape[1]
        at = np.searchsorted(row.ravel(), np.minimum(hours, 9e5) + carrier * 1e6) - carrier * width
        last = np.clip(at, 1, width - 1)
        low, high = self.cumulative[carrier, last - 1], self.cumulative[carrier, last]
        share = (hours - low) / np.where(high > low, high - low, 1.0)
        day = self.grid[last - 1] + np.clip(share, 0.0, 1.0) * (self.grid[last] - self.grid[last - 1])
        return np.where(at >= width, FAR, np.where(at <= 0, self.grid[0], day))

    def in_use(self, carrier: Ints, day: Floats) -> np.ndarray:
        """Return whether each carrier runs at all in the month of that day."""
        at = np.clip(np.searchsorted(self.grid, day, side="right") - 1, 0, len(self.grid) - 2)
        return self.cumulative[carrier, at + 1] > self.cumulative[carrier, at]


@dataclass(frozen=True)
class Days:
    """Days that belong to carriers, such as visits to the yard, in order.

    Attributes
    ----------
    carrier, day
        One entry a day, sorted by carrier and day.
    carriers
        How many carriers there are.
    """

    carrier: Ints
    day: Floats
    carriers: int

    @classmethod
    def from_lists(cls, days: Sequence[Sequence[float]]) -> "Days":
        """Make it from one list of days a carrier."""
        carrier = np.repeat(np.arange(len(days)), [len(each) for each in days]).astype(np.int64)
        flat = np.array([day for each in days for day in sorted(each)], dtype=float)
        return cls(carrier, flat, len(days))

    def nth_after(self, carrier: Ints, day: Floats, later: Ints | int = 0) -> Floats:
        """Return the carrier's first day on or after `day`, or the one `later` places further on; `FAR` if there is none."""
        if not len(self.day):
            return np.full(np.shape(carrier), FAR)
        at = np.searchsorted(self.carrier * 1e6 + self.day, carrier * 1e6 + np.minimum(day, 9e5)) + later
        inside = np.minimum(at, len(self.day) - 1)
        return np.where((at < len(self.day)) & (self.carrier[inside] == carrier), self.day[inside], FAR)
