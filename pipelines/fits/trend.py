"""Whether a rate rises or falls from year to year, and which months of the year are bad.

In: events and engine months. Out: `Trend`, a table of seasons.
A trend is not carried across a month from which calls were coded differently; it says so instead.
Elsewhere: where coding changed (`coding_breaks`), single boats (`recurrence_trend`), rates of groups (`rate_table`).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

import numpy as np
import polars as pl
from numpy.typing import NDArray
from scipy.special import chdtrc, ndtr, xlogy

from pipelines.errors import NoFigure
from pipelines.fits.coding_breaks import CodingBreak, as_matrix, at_or_after, base_design
from pipelines.fits.confidence import normal_width
from pipelines.fits.poisson_regression import PoissonFit, fit_poisson
from pipelines.fits.rates import PER_HOURS, count_limits
from pipelines.fits.watched_hours import fell_within, with_known_hours
from pipelines.terms.causes import UNKNOWN

Array = NDArray[np.float64]
ALL = "all"
"""Name of the row that counts every event."""


@dataclass(frozen=True)
class Trend:
    """How a rate changes from year to year.

    Attributes
    ----------
    per_year, low, high
        The rate of a year over that of the year before; 1: no change. Limits allow for counts that vary more than by chance.
    p_value
        Two-sided, that there is no trend.
    dispersion
        How much more than by chance the monthly counts vary (1: no more).
    monthly
        `month`, `events`, `exposure_h`, `expected`.
    note
        What the trend was cut at or left out; empty: nothing.
    """

    per_year: float
    low: float
    high: float
    p_value: float
    dispersion: float
    monthly: pl.DataFrame
    note: str


def monthly_counts(events: pl.DataFrame, exposure: pl.DataFrame, column: str | None = None) -> pl.DataFrame:
    """Count events by month and name beside the fleet's hours.

    Parameters
    ----------
    events
        Rows of `derived.calls`.
    exposure
        Rows of `derived.engine_months`.
    column
        Column whose words are counted apart; empty ones as `unknown`. `None`: all together under `ALL`.

    Returns
    -------
    polars.DataFrame
        `month`, `name`, `events`, `exposure_h`: every name in every month with known hours. Events in boats and months
        whose hours are not known are left out with those hours.
    """
    timed = with_known_hours(exposure)
    hours = timed.group_by("month").agg(pl.col("engine_h").sum().alias("exposure_h")).filter(pl.col("exposure_h") > 0)
    name = pl.lit(ALL) if column is None else pl.col(column).cast(pl.String).fill_null(UNKNOWN)
    counted = events.filter(fell_within(events, timed)).group_by("month", name.alias("name")).agg(pl.len().cast(pl.Int64).alias("events"))
    grid = hours.join(counted.select("name").unique(), how="cross")
    return (
        grid.join(counted, on=["month", "name"], how="left")
        .select("month", "name", pl.col("events").fill_null(0), "exposure_h")
        .sort("month", "name")
    )


def trend(monthly: pl.DataFrame, name: str = ALL, breaks: Iterable[CodingBreak] = (), level: float = 0.95) -> Trend:
    """Fit a yearly trend to one name's monthly counts by Poisson regression, with a yearly wave given two years.

    Parameters
    ----------
    monthly
        As `monthly_counts` gives.
    name
        Which of its names.
    breaks
        Changes of coding; those that moved this name cut its trend. A stretch between cuts without an event is left out.
    level
        Confidence level of the limits.

    Raises
    ------
    NoFigure
        If there are too few months or events for a trend.
    """
    of_name = monthly.filter((pl.col("name") == name) & (pl.col("exposure_h") > 0)).sort("month")
    cuts = sorted(step.month for step in breaks if name in step.fewer + step.more)
    kept, silent = _with_events(of_name, cuts)
    months, _, counts, exposure = as_matrix(kept) if kept.height else ([], [], np.zeros((0, 1)), np.zeros(0))
    design = _with_steps(base_design(months), months, cuts) if len(months) > 2 else np.zeros((0, 3))
    if len(months) <= design.shape[1] or counts.sum() < 2 or design.shape[0] == 0:
        raise NoFigure(f"{name}: {int(counts.sum())} events in {len(months)} months with known hours are too few for a trend.")
    fit = fit_poisson(design, counts, exposure)
    expected = kept.select("month", "events", "exposure_h").with_columns(expected=pl.Series(fit.expected[:, 0]))
    return _trend_of(fit, expected, _note(cuts, silent), level)


def seasons(monthly: pl.DataFrame, name: str = ALL, level: float = 0.95) -> tuple[pl.DataFrame, float]:
    """Compare the months of the year.

    Returns
    -------
    frame
        `month_of_year` (1 to 12), `events`, `exposure_h`, `rate`, `low`, `high` (per 1,000 engine hours, exact limits).
    p_value
        That the rate is the same in all months of the year, by the likelihood ratio given the hours.

    Raises
    ------
    NoFigure
        If there were no events or fewer than two months of the year had hours.
    """
    of_name = monthly.filter((pl.col("name") == name) & (pl.col("exposure_h") > 0))
    by_month = of_name.group_by(pl.col("month").dt.month().cast(pl.Int64).alias("month_of_year")).agg(pl.col("events", "exposure_h").sum())
    by_month = by_month.sort("month_of_year")
    counts, hours = by_month["events"].to_numpy().astype(np.float64), by_month["exposure_h"].to_numpy()
    if counts.size < 2 or not counts.sum():
        raise NoFigure(f"{name}: {int(counts.sum())} events in {counts.size} months of the year say nothing of the seasons.")
    even = counts.sum() * hours / hours.sum()
    p_value = float(chdtrc(counts.size - 1, 2 * (xlogy(counts, counts) - xlogy(counts, even)).sum()))
    low, high = count_limits(counts, level)
    rates = {"rate": counts, "low": low, "high": high}
    return by_month.with_columns(pl.Series(column, value / hours * PER_HOURS) for column, value in rates.items()), p_value


def _with_events(of_name: pl.DataFrame, cuts: list[date]) -> tuple[pl.DataFrame, bool]:
    """Leave out stretches between cuts in which nothing happened; tell whether there were any."""
    stretch = pl.sum_horizontal(pl.lit(0), *((pl.col("month") >= cut).cast(pl.Int64) for cut in cuts))
    marked = of_name.with_columns(stretch=stretch)
    kept = marked.filter(pl.col("events").sum().over("stretch") > 0).drop("stretch")
    return kept, kept.height < of_name.height


def _with_steps(design: Array, months: list[date], cuts: list[date]) -> Array:
    steps = {sum(month >= cut for month in months): cut for cut in cuts}
    return np.column_stack([design, *(at_or_after(months, cut) for size, cut in steps.items() if 0 < size < len(months))])


def _trend_of(fit: PoissonFit, monthly: pl.DataFrame, note: str, level: float) -> Trend:
    slope, dispersion = float(fit.coefficients[0, 1]), max(1.0, float(fit.dispersion[0]))
    error = float(np.sqrt(fit.covariance[0, 1, 1] * dispersion))
    wide = normal_width(level) * error
    low, value, high = (float(np.exp(np.clip(end, -700, 700))) for end in (slope - wide, slope, slope + wide))
    return Trend(value, low, high, float(2 * ndtr(-abs(slope) / error)), dispersion, monthly, note)


def _note(cuts: list[date], silent: bool) -> str:
    told = [f"Cut at {', '.join(f'{cut:%Y-%m}' for cut in cuts)}, where coding seems to have changed."] if cuts else []
    if silent:
        told.append("Months of a way of coding that never used this word are left out.")
    return " ".join(told)
