"""Which boat an engine was on, which engine a boat had, and what the hour meter showed, on any day.

In: a fleet and its use. Out: `Whereabouts`. All questions are asked of whole arrays at once.
Elsewhere: hours run (`use`), what was written down wrongly (`mess`).
"""

from dataclasses import dataclass

import numpy as np

from sample_fleet.chance import Chance, Flags, Floats, Ints
from sample_fleet.clocks import FAR, HoursClock
from sample_fleet.fleet import Fleet
from sample_fleet.use import Use


@dataclass(frozen=True)
class Meters:
    """The hour meters of the engines, one entry each; `changed` is `FAR` where the meter was never changed."""

    start: Floats
    changed: Floats
    start_after: Floats
    told: Flags


@dataclass(frozen=True)
class Whereabouts:
    """Stays of engines on boats, sorted both ways, and their meters."""

    fleet: Fleet
    clock: HoursClock
    meters: Meters
    by_engine: Floats
    boat_there: Ints
    place_there: list[str]
    by_boat: Floats
    engine_there: Ints

    def boat_of(self, engine: Ints, day: Floats) -> Ints:
        """Return the boat of each engine on each day, or the last one it was on."""
        return self.boat_there[self._stay(engine, day)]

    def place_of(self, engine: Ints, day: Floats) -> list[str]:
        """Return where each engine sat on each day."""
        return [self.place_there[at] for at in self._stay(engine, day)]

    def _stay(self, engine: Ints, day: Floats) -> Ints:
        return np.searchsorted(self.by_engine, engine * 1e6 + day, side="right") - 1

    def engine_of(self, boat: Ints, day: Floats) -> Ints:
        """Return the engine that each boat had on each day, the port one of two."""
        return self.engine_there[np.searchsorted(self.by_boat, boat * 1e6 + day, side="right") - 1]

    def meter_of(self, engine: Ints, day: Floats) -> Floats:
        """Return what the hour meter of each engine truly showed on each day, to a tenth of an hour."""
        hours, meters = self.clock.hours_at(engine, day), self.meters
        since = hours - self.clock.hours_at(engine, np.minimum(meters.changed[engine], 9e5))
        shown: Floats = np.where(day > meters.changed[engine], since + meters.start_after[engine], hours + meters.start[engine])
        return shown.round(1)


def find_whereabouts(fleet: Fleet, use: Use, seed: int, *, meters_change: bool) -> Whereabouts:
    """Sort the stays, and let some meters be changed if they may."""
    order = sorted(fleet.stays, key=lambda stay: (stay.engine, stay.began))
    mains = sorted((stay for stay in fleet.stays if stay.place != "starboard"), key=lambda stay: (stay.vessel, stay.began))
    return Whereabouts(
        fleet,
        use.engine_hours,
        _meters(fleet, seed, 0.15 if meters_change else 0.0),
        np.array([stay.engine * 1e6 + stay.began for stay in order]),
        np.array([stay.vessel for stay in order]),
        [stay.place for stay in order],
        np.array([stay.vessel * 1e6 + stay.began for stay in mains]),
        np.array([stay.engine for stay in mains]),
    )


def _meters(fleet: Fleet, seed: int, share: float) -> Meters:
    """Change the meter of a share of the engines on a summer day, seven times in ten with a word about it."""
    chance, engines = Chance(seed, "meters"), len(fleet.engines)
    years = fleet.first_season + chance.whole(engines, 0, fleet.seasons - 1)
    day = np.array([fleet.first + (year - fleet.first_season) * 365.25 for year in years]) + chance.uniform(engines, 150, 240)
    began = np.array([engine.commissioned for engine in fleet.engines])
    ended = np.array([engine.withdrawn or fleet.last for engine in fleet.engines])
    changes = chance.whether(engines, share) & (day > began + 200) & (day < ended - 200)
    return Meters(
        np.array([engine.commissioned_h for engine in fleet.engines]),
        np.where(changes, np.floor(day), FAR),
        np.where(chance.whether(engines, 0.7), 0.0, np.round(chance.uniform(engines, 0.1, 3.0), 1)),
        chance.whether(engines, 0.7),
    )
