"""Engine hours ahead: how many an engine will run by a day, and on which day it will have run so many.

In: `derived.engine_use`. Out: `Seasons`, read by engine. Each engine runs its own hours a day in each month of the year.
Elsewhere: what falls due by them (`due`), what is used up by them (`demand`).
"""

from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipelines.advice.age_replacement import Array

_YEAR = 365
DAYS_A_YEAR = 365.25
_LONGEST_DAYS = 36_525.0


class Seasons:
    """Hours that engines will have run by each day of the year that follows a date."""

    def __init__(self, engine_use: pl.DataFrame, as_of: date) -> None:
        """Add up the year after `as_of`, day by day."""
        months = np.array([(as_of + timedelta(days=day)).month for day in range(1, _YEAR + 1)])
        known = engine_use.filter(pl.col("hours_per_day").is_not_null())
        engines = known["engine_id"].unique(maintain_order=True)
        self._row = {engine: row for row, engine in enumerate(engines)}
        a_day = np.zeros((len(self._row), 13))
        place = known["engine_id"].replace_strict(self._row, return_dtype=pl.Int64).to_numpy() if known.height else np.empty(0, dtype=int)
        a_day[place, known["month_of_year"].to_numpy()] = known["hours_per_day"].to_numpy()
        self._run = np.cumsum(a_day[:, months], axis=1)

    def hours_by(self, engines: Sequence[str | None], days: float) -> Array:
        """Hours each engine will run in so many days; not a number where its use is not known."""
        years, rest = divmod(days, _YEAR)
        whole = int(rest)
        start = np.hstack((np.zeros((len(self._row), 1)), self._run))
        after = np.minimum(whole + 1, _YEAR)
        return self._of(engines, years * start[:, -1] + start[:, whole] + (rest - whole) * (start[:, after] - start[:, whole]))

    def paths(self, engines: Sequence[str | None], days: Array) -> Array:
        """Hours each engine will have run by each of m days, (engines, m); not a number where its use is not known."""
        rows = self._rows(engines)
        years, rest = np.divmod(days, _YEAR)
        start = np.hstack((np.zeros((len(self._row), 1)), self._run))
        whole = rest.astype(np.intp)
        after = np.minimum(whole + 1, _YEAR)
        run = years * start[:, -1:] + start[:, whole] + (rest - whole) * (start[:, after] - start[:, whole])
        return np.vstack([run, np.full((1, days.size), np.nan)])[rows]

    def days_until(self, engines: Sequence[str | None], hours: Array) -> Array:
        """Days until each engine has run so many more hours; below 0 where they are run already; infinite where it never will.

        Hours already run over are counted back at the engine's mean use. Not a number where its use or the hours are not known.
        """
        rows = self._rows(engines)
        days = np.full(rows.size, np.nan)
        known = (rows >= 0) & ~np.isnan(hours)
        days[known] = _days(self._run[rows[known]], hours[known])
        return days

    def _of(self, engines: Sequence[str | None], per_engine: Array) -> Array:
        return np.append(per_engine, np.nan)[self._rows(engines)]

    def _rows(self, engines: Sequence[str | None]) -> NDArray[np.intp]:
        """Row of each engine; -1: its use is not known."""
        return np.array([self._row.get(engine, -1) if engine else -1 for engine in engines], dtype=np.intp)


def _days(run: Array, hours: Array) -> Array:
    year = run[:, -1]
    with np.errstate(divide="ignore", invalid="ignore"):
        whole = np.where(year > 0, np.floor(np.maximum(hours, 0) / year), np.inf)
        back = np.where(hours < 0, hours / year * DAYS_A_YEAR, 0.0)
        rest = np.where(np.isfinite(whole), np.maximum(hours, 0) - whole * year, 0.0)
    within = (run < rest[:, None] - 1e-9).sum(axis=1) + (rest > 0)
    return np.where(hours <= 0, np.where(year > 0, back, 0.0), whole * DAYS_A_YEAR + within)


def days_on(as_of: date, days: Array) -> list[date | None]:
    """Return the date so many days on, the whole day they end in; `None` where they are not known or more than a century away."""
    return [None if np.isnan(day) or day > _LONGEST_DAYS else as_of + timedelta(days=int(np.ceil(day))) for day in days]
