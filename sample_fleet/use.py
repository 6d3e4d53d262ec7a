"""How much the boats and engines run, and when the yard has them in.

In: a `Fleet`. Out: `Use`: hours of boats and engines by month, days of visits. Hire runs from April to October; in winter nothing runs.
Elsewhere: what is done at a visit (`lives`), what the hour meter shows (`meters`).
"""

from dataclasses import dataclass
from datetime import date

import numpy as np

from sample_fleet.chance import Chance, Floats
from sample_fleet.clocks import Days, HoursClock, day_number
from sample_fleet.fleet import LAST_SEASON, Fleet

HOURS_A_YEAR = {"open launch": 330.0, "day boat": 240.0, "cabin cruiser": 270.0, "sport cruiser": 190.0}
MONTH_SHARES = {
    "Brantholm": {4: 0.02, 5: 0.10, 6: 0.18, 7: 0.27, 8: 0.28, 9: 0.13, 10: 0.02},
    "Wellick Mouth": {4: 0.05, 5: 0.12, 6: 0.17, 7: 0.23, 8: 0.24, 9: 0.14, 10: 0.05},
    "Upper Tarnet": {4: 0.08, 5: 0.13, 6: 0.16, 7: 0.20, 8: 0.21, 9: 0.14, 10: 0.08},
}
SERVICE_EVERY_H = 100.0
SPARES, SPARE_USE = 0.1, 0.08


@dataclass(frozen=True)
class Use:
    """Clocks and visits; boats and engines are places in the lists of the fleet.

    Attributes
    ----------
    boat_hours, engine_hours
        Hours run by month.
    boat_visits, engine_visits
        Days on which the yard has the boat, or the boat that the engine is on.
    boat_layups, engine_layups
        Of those, the visits of the winter lay-up.
    """

    boat_hours: HoursClock
    engine_hours: HoursClock
    boat_visits: Days
    engine_visits: Days
    boat_layups: Days
    engine_layups: Days


def run_fleet(fleet: Fleet, seed: int) -> Use:
    """Run the boats through every month from the oldest boat's first to the last of the records, and call them in."""
    chance = Chance(seed, "use")
    grid = _months(fleet)
    by_boat = _boat_months(fleet, grid, chance)
    by_engine = _engine_months(fleet, by_boat, grid, chance)
    boat_hours, engine_hours = _clock(grid, by_boat), _clock(grid, by_engine)
    visits, layups = _visits(fleet, boat_hours, chance)
    return Use(
        boat_hours,
        engine_hours,
        Days.from_lists(visits),
        Days.from_lists(_of_engines(fleet, visits)),
        Days.from_lists(layups),
        Days.from_lists(_of_engines(fleet, layups)),
    )


def _months(fleet: Fleet) -> Floats:
    oldest = date.fromordinal(719163 + min(boat.in_service for boat in fleet.boats)).year
    return np.array([day_number(date(year, month, 1)) for year in range(oldest, LAST_SEASON + 2) for month in range(1, 13)], dtype=float)


def _clock(grid: Floats, by_month: Floats) -> HoursClock:
    return HoursClock(grid, np.concatenate([np.zeros((len(by_month), 1)), np.cumsum(by_month, axis=1)], axis=1)[:, : len(grid)])


def _boat_months(fleet: Fleet, grid: Floats, chance: Chance) -> Floats:
    """Return hours of each boat in each month, shape (boats, months); a few boats are spares that hardly run."""
    boats, years = len(fleet.boats), len(grid) // 12
    mean = np.array([HOURS_A_YEAR[boat.vessel_class] for boat in fleet.boats])
    mean = mean * np.where(chance.whether(boats, SPARES), SPARE_USE, 1.0)
    yearly = (mean * chance.spread(boats, 0.28))[:, None] * chance.spread(years, 0.08)[None, :]
    yearly = yearly * chance.spread(boats * years, 0.12).reshape(boats, years)
    shares = np.array([[MONTH_SHARES[boat.base].get(month, 0.0) for month in range(1, 13)] for boat in fleet.boats])
    hours = np.repeat(yearly, 12, axis=1) * np.tile(shares, (1, years))
    hours = hours * chance.spread(hours.size, 0.1).reshape(hours.shape)
    began = np.array([boat.in_service for boat in fleet.boats], dtype=float)[:, None]
    ended = np.array([boat.withdrawn or 10**6 for boat in fleet.boats], dtype=float)[:, None]
    return (hours * ((grid > began) & (grid + 31 <= ended))).round(2)


def _engine_months(fleet: Fleet, by_boat: Floats, grid: Floats, chance: Chance) -> Floats:
    """Return hours of each engine: those of its boat in the whole months it sat there; twins differ a little."""
    hours = np.zeros((len(fleet.engines), by_boat.shape[1]))
    factors = chance.spread(len(fleet.stays), 0.03)
    for stay, factor in zip(fleet.stays, factors, strict=True):
        inside = (grid > stay.began) & (grid < stay.ended)
        hours[stay.engine] += by_boat[stay.vessel] * inside * (1.0 if stay.place == "single" else factor)
    return np.round(hours, 2)


def _visits(fleet: Fleet, clock: HoursClock, chance: Chance) -> tuple[list[list[float]], list[list[float]]]:
    """Return days of all visits and of lay-ups by boat: each winter, each spring, and every hundred hours between."""
    everything: list[list[float]] = []
    layups: list[list[float]] = []
    for vessel, boat in enumerate(fleet.boats):
        ended = boat.withdrawn or fleet.last
        years = range(date.fromordinal(719163 + boat.in_service).year, LAST_SEASON + 1)
        winter = [day_number(date(year, 11, 4)) + float(chance.whole(1, 0, 100)[0]) for year in years]
        spring = [day_number(date(year, 3, 10)) + float(chance.whole(1, 0, 24)[0]) for year in years]
        total = float(clock.cumulative[vessel, -1])
        at_hours = np.cumsum(SERVICE_EVERY_H * chance.uniform(int(total / SERVICE_EVERY_H / 0.85) + 1, 0.85, 1.1))
        at_hours = at_hours[at_hours < total]
        summer = np.ceil(clock.day_at(np.full(len(at_hours), vessel), at_hours)).tolist()
        layups.append([day for day in winter if boat.in_service + 60 < day <= ended])
        everything.append([day for day in winter + spring + summer if boat.in_service + 20 < day <= ended])
    return everything, layups


def _of_engines(fleet: Fleet, days: list[list[float]]) -> list[list[float]]:
    by_engine: list[list[float]] = [[] for _ in fleet.engines]
    for stay in fleet.stays:
        by_engine[stay.engine].extend(day for day in days[stay.vessel] if stay.began + 20 < day <= stay.ended)
    return by_engine
