"""How much the positions of a question are used: engine hours a year, with the spread between them.

In: `derived.positions` and `derived.engine_use`. Out: `Use`: a few hours a year with the share of positions that run them.
The spread is what tells a clock of hours from one of months: at one single use the two would be the same interval.
Elsewhere: what an interval costs at that use (`prospect`).
"""

from dataclasses import dataclass

import numpy as np
import polars as pl

from pipelines.advice.age_replacement import Array

MONTHS_A_YEAR = 12.0
DAYS_A_MONTH = 365.25 / 12
_LEVELS = 7


@dataclass(frozen=True)
class Use:
    """Engine hours a year of the positions, and the share of positions at each.

    Attributes
    ----------
    hours, share
        Shape (j,), hours above 0; shares add to one. Empty: hours are not known.
    """

    hours: Array
    share: Array

    @property
    def year_h(self) -> float | None:
        """Mean engine hours a year of a position; `None`: not known."""
        return float(self.hours @ self.share) if self.hours.size else None

    @property
    def is_known(self) -> bool:
        """Whether any position has known hours."""
        return bool(self.hours.size)


NOT_KNOWN = Use(np.empty(0), np.empty(0))


def hours_a_year(engine_use: pl.DataFrame) -> pl.DataFrame:
    """Sum `derived.engine_use` to engine hours a year: columns engine_id, year_h."""
    year = (pl.col("hours_per_day") * DAYS_A_MONTH).sum()
    return engine_use.filter(pl.col("hours_per_day").is_not_null()).group_by("engine_id").agg(year.alias("year_h"))


def use_of(positions: pl.DataFrame, engine_use: pl.DataFrame) -> Use:
    """Find the use of some positions; a part the boat carries counts the hours of the engine it lives on, if any."""
    joined = positions.join(hours_a_year(engine_use), left_on="hours_engine_id", right_on="engine_id", how="inner")
    years = np.sort(joined.filter(pl.col("year_h") > 0)["year_h"].to_numpy())
    if years.size <= _LEVELS:
        return Use(years, np.full(years.size, 1 / max(1, years.size)))
    parts = np.array_split(years, _LEVELS)
    return Use(np.array([part.mean() for part in parts]), np.array([part.size / years.size for part in parts]))
