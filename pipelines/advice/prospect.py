"""What every interval would cost a position per year, expected over all the laws that the posterior leaves open.

In: tabulated laws (`laws`), use, costs. Out: `Prospect`: expected cost of any "X hours or Y months, whichever comes first", and the cost
under each law apart.
A law on hours is read on months, and the other way round, through each position's own hours a year; so is a law on both.
Elsewhere: which interval is allowed and best (`interval`).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from pipelines.advice.age_replacement import Array
from pipelines.advice.laws import Table, Tabulated
from pipelines.advice.use import MONTHS_A_YEAR, Use
from pipelines.fits.blocks import weighted_quantiles
from pipelines.fits.two_clock_block import BOTH


@dataclass(frozen=True)
class Decision:
    """Renew at so many hours or so many months, whichever comes first; both `None`: only when it fails."""

    hours: float | None = None
    months: float | None = None

    @property
    def is_never(self) -> bool:
        """Whether the part is renewed only when it fails."""
        return self.hours is None and self.months is None


NEVER = Decision()


@dataclass(frozen=True, eq=False)
class Prospect:
    """Expected costs over laws and uses.

    Attributes
    ----------
    tables
        One a clock, from `laws.tabulate`.
    use
        Hours a year of the positions; needed where laws or decisions are on hours and months both.
    planned_cost, failure_cost
        Money per position, without the visit.
    """

    tables: Sequence[Table]
    use: Use
    planned_cost: float
    failure_cost: float

    @cached_property
    def weight(self) -> Array:
        """Weight of each law, in the order of `each`."""
        return np.concatenate([table.weight for table in self.tables])

    @cached_property
    def _rates(self) -> tuple[Array, Array]:
        """Hours a year and share of positions; one hour a year stands in where use is not known."""
        return (self.use.hours, self.use.share) if self.use.is_known else (np.ones(1), np.ones(1))

    @cached_property
    def _curves(self) -> list[list[tuple[Tabulated, Array]]]:
        """Of each use, each table as it is there with its expected costs; tables that do not depend on use are reckoned once."""
        known: dict[int, Array] = {}
        held = [[table.at_use(float(year_h)) for table in self.tables] for year_h in self._rates[0]]
        for table in (one for tables in held for one in tables):
            if id(table) not in known:
                known[id(table)] = table.expected_costs(self.planned_cost, self.failure_cost)
        return [[(table, known[id(table)]) for table in tables] for tables in held]

    def expected(self, hours: ArrayLike, months: ArrayLike) -> Array:
        """Give the expected cost per position and year of renewing at `hours` or `months`, whichever comes first.

        Parameters
        ----------
        hours, months
            Ages above 0 of one shape (or broadcast to it); infinite: not on that clock.

        Returns
        -------
        array
            Money per position and year, of that shape.
        """
        at_hours, at_months = np.broadcast_arrays(np.asarray(hours, dtype=float), np.asarray(months, dtype=float))
        total = np.zeros(at_hours.shape)
        for year_h, share, curves in zip(*self._rates, self._curves, strict=True):
            for table, curve in curves:
                age, per_year = _own_clock(table.clock, at_hours, at_months, year_h)
                total += share * per_year * self._read(table, curve, age)
        return total

    def cost(self, decision: Decision) -> float:
        """Give the expected cost per position and year of one decision."""
        return float(self.expected(_or_never(decision.hours), _or_never(decision.months)))

    def each(self, decision: Decision) -> Array:
        """Cost per position and year of one decision under each law, shape (laws,)."""
        hours, months = np.array(_or_never(decision.hours)), np.array(_or_never(decision.months))
        rows = []
        for table in self.tables:
            row = np.zeros(table.weight.size)
            for year_h, share in zip(*self._rates, strict=True):
                here = table.at_use(float(year_h))
                age, per_year = _own_clock(here.clock, hours, months, year_h)
                row += share * per_year * here.costs(float(age), self.planned_cost, self.failure_cost)
            rows.append(row)
        return np.concatenate(rows)

    def limits(self, values: Array, level: float) -> tuple[float, float]:
        """Central limits of a figure that each law gives, such as `each` or a difference of two."""
        low, high = weighted_quantiles(values, self.weight, np.zeros(values.size, dtype=bool), [(1 - level) / 2, (1 + level) / 2])
        return float(low), float(high)

    def failed_by(self, hours: float, months: float) -> float:
        """Give the expected share failed, by `hours` under laws on hours, `months` under those on months, the first of them under both."""
        surviving = 0.0
        for year_h, share in zip(*self._rates, strict=True):
            own = {"hours": hours, "months": months, BOTH: min(months, hours * MONTHS_A_YEAR / year_h)}
            for table in self.tables:
                here = table.at_use(float(year_h))
                surviving += share * float(np.interp(own[table.clock], here.ages, here.mean_surviving, left=here.weight.sum()))
        return 1.0 - surviving

    def _read(self, table: Tabulated, curve: Array, age: Array) -> Array:
        inside = np.interp(np.log(np.clip(age, table.ages[0], table.ages[-1])), np.log(table.ages), curve)
        return np.where(age < table.ages[0], self.planned_cost * table.weight.sum() / age, inside)


def _or_never(age: float | None) -> float:
    return np.inf if age is None else age


def _own_clock(clock: str, hours: Array, months: Array, year_h: float) -> tuple[Array, float]:
    """Age at renewal on the clock of a law, and units of that clock in a year."""
    if clock == "hours":
        return np.minimum(hours, months * (year_h / MONTHS_A_YEAR)), year_h
    return np.minimum(months, hours * (MONTHS_A_YEAR / year_h)), MONTHS_A_YEAR
