"""Which boats had more, or fewer, events than chance alone gives boats of their hours: a funnel.

In: events and hours of each boat. Out: a frame with each boat's own limits and where it stands.
Elsewhere: the boats' rates pulled towards each other (`shrinkage`), drawing (`charts`).
"""

import numpy as np
import polars as pl
from numpy.typing import ArrayLike, NDArray
from scipy.stats import poisson

from pipelines.errors import NoFigure
from pipelines.fits.rates import PER_HOURS

Array = NDArray[np.float64]
WARN_LEVEL, ACT_LEVEL = 0.95, 0.998
"""Levels of the inner and outer limits, as is usual for such charts [1]_ of `funnel`."""


def funnel_limits(expected: ArrayLike, level: float) -> tuple[Array, Array]:
    """Give the counts beyond which a Poisson count is a surprise, rising smoothly with what is expected.

    A count lies above `high` just when that many or more have a chance of at most (1 - level) / 2, below `low` just when
    that few or fewer have.

    Parameters
    ----------
    expected
        Events to be expected, above 0.
    level
        Chance of lying between the limits, between 0 and 1.

    Returns
    -------
    low, high
        Of the shape of `expected`; low is 0 where even no event is no surprise.
    """
    mean, tail = np.asarray(expected, dtype=float), (1 - level) / 2
    return np.maximum(_smooth_quantile(tail, mean), 0.0), _smooth_quantile(1 - tail, mean) + 1


def funnel(boats: pl.DataFrame) -> pl.DataFrame:
    """Set each boat's rate against the limits for its hours around the fleet's rate [1]_.

    Parameters
    ----------
    boats
        Columns `name`, `events`, `exposure_h`. Boats without hours are left out.

    Returns
    -------
    polars.DataFrame
        By falling rate: `name`, `events`, `exposure_h`, `rate`, `fleet_rate`, `warn_low`, `warn_high` (95 %), `act_low`,
        `act_high` (99.8 %), all per 1,000 engine hours, and `standing`: `as the fleet`, `worth a look` or `stands out`,
        followed by `high` or `low`. Of 100 like boats some five are worth a look by chance alone.

    Raises
    ------
    NoFigure
        If no boat has hours or there were no events.

    References
    ----------
    .. [1] Spiegelhalter, D. J. (2005). Funnel plots for comparing institutional performance. Statistics in Medicine 24, 1185-1202.
    """
    known = boats.select("name", "events", "exposure_h").filter(pl.col("exposure_h") > 0)
    if known.is_empty() or not known["events"].sum():
        raise NoFigure("No boat has both engine hours and an event, so no limits can be set.")
    counts, hours = known["events"].to_numpy(), known["exposure_h"].to_numpy()
    fleet_rate = float(counts.sum() / hours.sum())
    limits = {name: pl.Series(limit * PER_HOURS / hours) for name, limit in _all_limits(fleet_rate * hours).items()}
    rates = known.with_columns(rate=pl.Series(counts / hours * PER_HOURS), fleet_rate=pl.lit(fleet_rate * PER_HOURS), **limits)
    return rates.with_columns(_standing()).sort("rate", descending=True)


def funnel_lines(rows: pl.DataFrame, points: int = 60) -> pl.DataFrame:
    """Draw the limits of `funnel` out over the hours of its boats: `exposure_h`, `fleet_rate`, `warn_low` to `act_high`."""
    least, most = (float(end) for end in (rows["exposure_h"].min(), rows["exposure_h"].max()))  # pyright: ignore[reportArgumentType]
    hours, rate = np.geomspace(least, max(most, least * 1.01), points), float(rows["fleet_rate"][0])
    limits = {name: limit * PER_HOURS / hours for name, limit in _all_limits(rate / PER_HOURS * hours).items()}
    return pl.DataFrame({"exposure_h": hours, "fleet_rate": np.full(points, rate), **limits})


def _all_limits(expected: Array) -> dict[str, Array]:
    warn_low, warn_high = funnel_limits(expected, WARN_LEVEL)
    act_low, act_high = funnel_limits(expected, ACT_LEVEL)
    return {"warn_low": warn_low, "warn_high": warn_high, "act_low": act_low, "act_high": act_high}


def _standing() -> pl.Expr:
    rate = pl.col("rate")
    return (
        pl.when(rate > pl.col("act_high"))
        .then(pl.lit("stands out high"))
        .when(rate < pl.col("act_low"))
        .then(pl.lit("stands out low"))
        .when(rate > pl.col("warn_high"))
        .then(pl.lit("worth a look high"))
        .when(rate < pl.col("warn_low"))
        .then(pl.lit("worth a look low"))
        .otherwise(pl.lit("as the fleet"))
        .alias("standing")
    )


def _smooth_quantile(chance: float, mean: Array) -> Array:
    """Quantile of a Poisson count, moved back within its step by how far the step overshoots the chance."""
    whole = poisson.ppf(chance, mean)
    reached, before = poisson.cdf(whole, mean), poisson.cdf(whole - 1, mean)
    return whole - (reached - chance) / (reached - before)
