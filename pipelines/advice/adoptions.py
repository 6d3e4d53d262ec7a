"""Whether a part fails less often since an interval was adopted, with exact limits.

In: the plan with its dates, lives, a calendar of use. Out: `Change`, one an adoption.
A part is often looked at because it failed more than usual, and then it fails less whatever is done: regression to the mean. Before and
after are therefore a hint and no proof; who wants proof changes the interval at one base and not at another.
Elsewhere: rates and their ratios (`fits.rates`), calendars (`watching`).
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

import numpy as np
import polars as pl

from pipelines.advice.age_replacement import Array
from pipelines.advice.case import FAILED
from pipelines.advice.watching import UseClock, days_of
from pipelines.errors import NoFigure
from pipelines.fits.rates import rate_ratio

LEAST_DAYS = 90.0
"""Days that must have gone by since; fewer say nothing."""
DAYS_A_MONTH = 365.25 / 12


@dataclass(frozen=True)
class Change:
    """Failures before and after, the years of parts watched (each day by its use), and the ratio of the two rates with limits."""

    component: str
    engine_model: str | None
    base: str | None
    adopted_on: date
    every_h: float | None
    every_months: float | None
    before: int
    before_years: float
    after: int
    after_years: float
    ratio: float | None
    low: float | None
    high: float | None


def changes(plan: pl.DataFrame, lives: pl.DataFrame, clock: UseClock, as_of: date, level: float) -> Iterator[Change]:
    """Compare before and after for the last dated renewal interval of each part, model and base."""
    dated = plan.filter(pl.col("adopted_on").is_not_null(), pl.col("task").fill_null("renew") == "renew", pl.col("adopted_on") <= as_of)
    last = dated.sort("adopted_on", maintain_order=True).unique(["component", "engine_model", "base"], keep="last", maintain_order=True)
    for row in last.iter_rows(named=True):
        if (as_of - row["adopted_on"]).days >= LEAST_DAYS:
            of = [pl.col(name) == row[name] for name in ("component", "engine_model", "base") if row[name]]
            yield _change(row, lives.filter(*of), clock, level)


def _change(row: dict, lives: pl.DataFrame, clock: UseClock, level: float) -> Change:
    day = float(days_of(pl.Series([row["adopted_on"]]))[0])
    first = days_of(lives["began_on"]) + lives["entry_months"].fill_null(0.0).to_numpy() * DAYS_A_MONTH
    last = days_of(lives["ended_on"])
    failed = lives["ending"].is_in(FAILED).to_numpy()
    before, after = int((failed & (last < day)).sum()), int((failed & (last >= day)).sum())
    years = [_years(clock, first, np.minimum(last, day)), _years(clock, np.maximum(first, day), last)]
    try:
        found = rate_ratio(after, years[1], before, years[0], level)
        ratio, low, high = found.value, found.low, found.high
    except NoFigure:
        ratio, low, high = None, None, None
    said = {name: row[name] for name in ("component", "engine_model", "base", "adopted_on", "every_h", "every_months")}
    return Change(**said, before=before, before_years=years[0], after=after, after_years=years[1], ratio=ratio, low=low, high=high)


def _years(clock: UseClock, first: Array, last: Array) -> float:
    return float(clock.between(first, last).sum()) / 365.25
