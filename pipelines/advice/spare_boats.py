"""How many spare boats each month needs, by class and base and for the whole fleet as one pool.

In: stoppages, the days and hours they were watched over, the boats in use with their hours ahead. Out: rows of the answer `spare_boats`.
Elsewhere: what counts as a stoppage (`flow`), rates by season (`fits.seasonal_rates`), the number down at once (`boats_down`).

Stoppages of a group come at its own rate per engine hour (per boat-day where hours are not known), times the factor of the month, times the
use ahead. Four doubts widen what is expected: the group's rate, the month's factor, the mean downtime, and how much the boats will be out.
A pool of all groups takes these doubts as shared, so that none is thought to cancel out another.
"""

from calendar import monthrange
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipelines.advice.age_replacement import Array
from pipelines.advice.boats_down import BoatsDown
from pipelines.fits.gamma_limits import gamma_limits, product_spread
from pipelines.fits.mean_times import MeanTimes, mean_times
from pipelines.fits.seasonal_rates import SeasonalRates, seasonal_rates
from pipelines.terms.answers import names_of

MONTHS = 12
GROUP = ("base", "vessel_class")
HOURS, BOAT_DAYS = "engine hours", "boat-days"
KNOWN_SHARE = 0.9
"""Share of the watched days whose engine hours must be known for stoppages to be counted by hours."""
LAID_UP = "No use is expected, so nothing is down."
POOL = "Any spare boat may stand in for any other."


@dataclass(frozen=True)
class Wish:
    """What is asked: day, wanted chance that the spare boats are enough, level of limits, hours of downtime that make a day."""

    as_of: date
    service_level: float = 0.95
    level: float = 0.90
    hours_a_day: float = 24.0


@dataclass(frozen=True, eq=False)
class Past:
    """What was seen: groups in their order, stoppages by group and month, downtimes, and the unit they were counted by."""

    groups: pl.DataFrame
    unit: str
    rates: SeasonalRates
    times: MeanTimes


def past_of(stoppages: pl.DataFrame, watched: pl.DataFrame, boats: pl.DataFrame) -> Past:
    """Find what the past says of each group.

    Parameters
    ----------
    stoppages
        Columns vessel_id, month, downtime_h (hours; empty: not written).
    watched
        One row a boat and month: vessel_id, month, days, engine_h (empty: not known), base, vessel_class.
    boats
        Boats in use, for groups that were never watched: base, vessel_class.

    Raises
    ------
    NoFigure
        Where nothing was watched, or hardly a downtime is written.
    """
    timed = watched.filter(pl.col("engine_h").is_not_null())
    by_hours = (
        bool(watched.height) and float(timed["days"].sum()) >= KNOWN_SHARE * float(watched["days"].sum()) and timed["engine_h"].sum() > 0
    )
    seen = (timed if by_hours else watched).with_columns(use=pl.col("engine_h") if by_hours else pl.col("days"))
    groups = pl.concat([held.select(GROUP) for held in (boats, watched)]).unique().sort(GROUP, nulls_last=True).with_row_index("group")
    use = _by_month(seen.join(groups, on=GROUP, nulls_equal=True), pl.col("use").sum(), groups.height)
    counted = stoppages.join(seen.select("vessel_id", "month", *GROUP), on=["vessel_id", "month"]).join(groups, on=GROUP, nulls_equal=True)
    events = _by_month(counted, pl.len().cast(pl.Float64), groups.height)
    written = counted.filter(pl.col("downtime_h").is_not_null())
    times = mean_times(written["downtime_h"].to_numpy(), written["group"].to_numpy().astype(np.intp), groups.height)
    return Past(groups, HOURS if by_hours else BOAT_DAYS, seasonal_rates(events, use), times)


def _by_month(rows: pl.DataFrame, figure: pl.Expr, groups: int) -> Array:
    """Sum a figure to shape (groups, 12)."""
    summed = rows.group_by("group", pl.col("month").dt.month().alias("of_year")).agg(figure.alias("figure"))
    table = np.zeros((groups, MONTHS))
    table[summed["group"].to_numpy(), summed["of_year"].to_numpy() - 1] = summed["figure"].to_numpy()
    return table


def months_ahead(as_of: date) -> list[tuple[date, int]]:
    """Give the first day of each of the next twelve months, and its days after `as_of`: the running month first where it has some left."""
    told, day = [], as_of + timedelta(days=1)
    for _ in range(MONTHS):
        last = monthrange(day.year, day.month)[1]
        told.append((day.replace(day=1), last - day.day + 1))
        day = day.replace(day=last) + timedelta(days=1)
    return told


def spare_boat_rows(past: Past, boats: pl.DataFrame, engine_use: pl.DataFrame, use_sd: float, wish: Wish) -> pl.DataFrame:
    """Return the rows of the answer `spare_boats`: the fleet as one pool first, then each base and class, by month.

    Parameters
    ----------
    past
        From `past_of`.
    boats
        One row an engine of a boat in use: vessel_id, engine_id, base, vessel_class.
    engine_use
        Rows of `derived.engine_use`.
    use_sd
        Standard deviation of the logarithm of how much a season's use differs from what was expected.
    wish
        What is asked.
    """
    held = boats.join(past.groups, on=GROUP, nulls_equal=True)
    count = held.group_by("group").agg(pl.col("vessel_id").n_unique())
    fleet = np.zeros(past.groups.height, dtype=np.intp)
    fleet[count["group"].to_numpy()] = count["vessel_id"].to_numpy()
    a_day = np.tile(fleet[:, None], MONTHS).astype(float) if past.unit == BOAT_DAYS else _hours_a_day(held, engine_use, fleet.size)
    rows = [row for month, days in months_ahead(wish.as_of) for row in _of_month(past, fleet, a_day, use_sd, (month, days), wish)]
    order = [pl.col("group").is_not_null(), pl.col("group").struct.field("base"), pl.col("group").struct.field("vessel_class"), "month"]
    return pl.DataFrame(rows, schema=_SCHEMA, orient="row").sort(order, nulls_last=True)


_SCHEMA = {
    **dict.fromkeys(names_of("spare_boats"), pl.Float64),
    "group": pl.Struct(dict.fromkeys(GROUP, pl.String)),
    "month": pl.Date,
    "boats": pl.Int64,
    "spares_needed": pl.Int64,
    "note": pl.String,
}


def _hours_a_day(boats: pl.DataFrame, engine_use: pl.DataFrame, groups: int) -> Array:
    """Engine hours a day of each group in each month of the year; an engine whose use is not known has the mean of the others."""
    months = pl.DataFrame({"month_of_year": range(1, MONTHS + 1)}, schema={"month_of_year": engine_use.schema["month_of_year"]})
    wide = boats.select("group", "engine_id").join(months, how="cross").join(engine_use, on=["engine_id", "month_of_year"], how="left")
    filled = wide.with_columns(pl.col("hours_per_day").fill_null(pl.col("hours_per_day").mean().over("month_of_year")).fill_null(0.0))
    summed = filled.group_by("group", "month_of_year").agg(pl.col("hours_per_day").sum())
    table = np.zeros((groups, MONTHS))
    table[summed["group"].to_numpy(), summed["month_of_year"].to_numpy() - 1] = summed["hours_per_day"].to_numpy()
    return table


def _of_month(
    past: Past, fleet: NDArray[np.intp], a_day: Array, use_sd: float, month: tuple[date, int], wish: Wish
) -> list[dict[str, Any]]:
    """Tell one month: each group with boats, and all of them as one pool where there is more than one."""
    first, days = month
    of_year = first.month - 1
    rate = past.rates.rate * past.rates.month[of_year] * a_day[:, of_year]
    down = rate * past.times.mean / wish.hours_a_day
    spread = product_spread(past.rates.rate_spread, past.rates.month_spread[of_year], past.times.spread, np.expm1(use_sd**2))
    told = [
        _row(past.groups.row(group, named=True), month, rate[group] * days, BoatsDown(down[group], float(spread[group]), int(boats)), wish)
        for group, boats in enumerate(fleet)
        if boats
    ]
    if len(told) < 2:
        return told
    total = float(down.sum())
    shared = float((down * np.sqrt(spread)).sum() / total) ** 2 if total > 0 else 0.0
    return [_row(None, month, float(rate.sum()) * days, BoatsDown(total, shared, int(fleet.sum())), wish), *told]


def _row(group: dict[str, Any] | None, month: tuple[date, int], stoppages: float, down: BoatsDown, wish: Wish) -> dict[str, Any]:
    first, days = month
    spares = down.spares_for(wish.service_level)
    low, high = gamma_limits(down.mean, down.spread, wish.level)
    short = down.short(spares)
    return {
        "group": None if group is None else {name: group[name] for name in GROUP},
        "month": first,
        "boats": down.boats,
        "stoppages": float(stoppages),
        "boats_down": float(down.mean),
        "low": float(low),
        "high": float(high),
        "spares_needed": spares,
        "chance_enough": down.chance_enough(spares),
        "boat_days_lost": float(down.mean) * days,
        "boat_days_short": short * days,
        "one_more_covers": (short - down.short(spares + 1)) * days,
        "note": LAID_UP if down.mean <= 0 else POOL if group is None else None,
    }
