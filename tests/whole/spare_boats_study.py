"""Spare boats against fleets whose true rates and downtimes are known.

    python -m tests.whole.spare_boats_study --fleets 200 --seed 61

In: how many fleets, a seed. Out: how often the 90 % limits of the expected number down hold, and how often the spare boats advised are
enough at a moment of the year that follows, by the truth; the wanted chance is 0.95. Bases, classes and months differ by gamma
distributions, downtimes are lognormal, and the year that follows is used more or less than expected.
"""

import argparse
from dataclasses import dataclass
from datetime import date

import numpy as np
import polars as pl
from scipy.stats import poisson

from pipelines.advice.spare_boats import Wish, months_ahead, past_of, spare_boat_rows
from pipelines.terms.derived import DERIVED_TABLES

SEASON = np.array([0.1, 0.1, 0.3, 0.8, 1.2, 1.6, 2.0, 2.0, 1.4, 0.8, 0.4, 0.1])
HOURS_A_DAY, RATE, DOWNTIME_H, USE_SD, YEARS = 1.2, 0.01, 17.0, 0.1, (2022, 2023, 2024)
TODAY = date(2024, 12, 31)
ENGINE_USE = {column.name: column.polars_type for column in DERIVED_TABLES["engine_use"].columns}


@dataclass(frozen=True)
class Marks:
    """Of months in season: whether the limits hold (groups, pool), and the chance that the spare boats are enough, told and true."""

    held: np.ndarray
    pool_held: np.ndarray
    told: np.ndarray
    true: np.ndarray
    pool_told: np.ndarray
    pool_true: np.ndarray


def boats_of(sizes: np.ndarray) -> pl.DataFrame:
    """One boat a row with its engine, group by group: two classes at each base."""
    rows = [(f"base {group // 2}", f"class {group % 2}", f"v{group}-{n}") for group, size in enumerate(sizes) for n in range(size)]
    named = pl.DataFrame(rows, schema=["base", "vessel_class", "vessel_id"], orient="row")
    return named.with_columns(pl.col("vessel_id").alias("engine_id"))


def records(boats: pl.DataFrame, rate: np.ndarray, downtime: np.ndarray, rng: np.random.Generator) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Boat-months watched over three years, and the stoppages in them; one downtime in ten is not written."""
    group = np.array([int(base[-1]) * 2 + int(kind[-1]) for base, kind in boats.select("base", "vessel_class").iter_rows()])
    watched, stops = [], []
    for year in YEARS:
        use = rng.lognormal(-(USE_SD**2) / 2, USE_SD)
        for month in range(12):
            hours = HOURS_A_DAY * SEASON[month] * 30 * use * rng.gamma(20, 1 / 20, boats.height)
            watched.append(boats.drop("engine_id").with_columns(month=date(year, month + 1, 1), days=30.0, engine_h=pl.Series(hours)))
            for place in np.repeat(np.arange(boats.height), rng.poisson(rate[group, month] * hours)):
                lost = downtime[group[place]] * rng.lognormal(-0.5, 1.0)
                stops.append((boats["vessel_id"][int(place)], date(year, month + 1, 1), None if rng.random() < 0.1 else lost))
    return pl.concat(watched), pl.DataFrame(
        stops, schema=["vessel_id", "month", "downtime_h"], orient="row", schema_overrides={"downtime_h": pl.Float64}
    )


def one_fleet(rng: np.random.Generator) -> Marks:
    """Make a fleet of six groups, advise, and weigh the advice by the truth."""
    sizes = rng.integers(4, 16, 6)
    rate = RATE * rng.gamma(8, 1 / 8, (6, 1)) * rng.gamma(30, 1 / 30, 12)
    downtime = DOWNTIME_H * rng.gamma(12, 1 / 12, 6)
    boats = boats_of(sizes)
    watched, stops = records(boats, rate, downtime, rng)
    use = [(engine, month + 1, HOURS_A_DAY * SEASON[month]) for engine in boats["engine_id"] for month in range(12)]
    ahead = pl.DataFrame(use, schema=ENGINE_USE, orient="row")
    rows = spare_boat_rows(past_of(stops, watched, boats), boats, ahead, USE_SD, Wish(TODAY))
    coming = rng.lognormal(-(USE_SD**2) / 2, USE_SD)
    true = rate * HOURS_A_DAY * SEASON * coming * sizes[:, None] * downtime[:, None] / 24
    season = [first.month - 1 for first, _ in months_ahead(TODAY) if SEASON[first.month - 1] >= 0.8]
    groups = rows.filter(pl.col("group").is_not_null()).sort(
        pl.col("group").struct.field("base"), pl.col("group").struct.field("vessel_class"), "month"
    )
    pool = rows.filter(pl.col("group").is_null()).sort("month")
    low, high, spares, told = (
        groups[name].to_numpy().reshape(6, 12)[:, season] for name in ("low", "high", "spares_needed", "chance_enough")
    )
    at, whole = true[:, season], true[:, season].sum(axis=0)
    of_pool = {name: pool[name].to_numpy()[season] for name in ("low", "high", "spares_needed", "chance_enough")}
    return Marks(
        ((low <= at) & (at <= high)).ravel(),
        (of_pool["low"] <= whole) & (whole <= of_pool["high"]),
        told.ravel(),
        poisson.cdf(spares, at).ravel(),
        of_pool["chance_enough"],
        poisson.cdf(of_pool["spares_needed"], whole),
    )


def study(fleets: int, seed: int) -> dict[str, float]:
    """Return the means over all fleets and months in season."""
    rng = np.random.default_rng(seed)
    marks = [one_fleet(rng) for _ in range(fleets)]
    return {name: float(np.mean([getattr(one, name).mean() for one in marks])) for name in Marks.__dataclass_fields__}


def main() -> None:
    """Print the marks."""
    parser = argparse.ArgumentParser(description="Weigh spare boats by the truth.")
    parser.add_argument("--fleets", type=int, default=200)
    parser.add_argument("--seed", type=int, default=61)
    wish = parser.parse_args()
    told = study(wish.fleets, wish.seed)
    print(f"90 % limits of the number down hold: a base and class {told['held']:.3f}, the pool {told['pool_held']:.3f}")
    print(f"spare boats enough at a moment, told / true: a base and class {told['told']:.3f} / {told['true']:.3f}", end="")
    print(f", the pool {told['pool_told']:.3f} / {told['pool_true']:.3f}; wanted 0.95 at least")


if __name__ == "__main__":
    main()
