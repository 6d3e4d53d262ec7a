"""One small clean fleet with every step of its making, built once for the tests of this folder."""

from dataclasses import dataclass, replace
from functools import lru_cache

import polars as pl

from sample_fleet.fleet import Fleet, build_fleet
from sample_fleet.lives import live_parts
from sample_fleet.planted import PARTS
from sample_fleet.truths import PartTruth
from sample_fleet.use import Use, run_fleet
from sample_fleet.whereabouts import Whereabouts, find_whereabouts

SEED = 5


@dataclass(frozen=True)
class Made:
    """A fleet, its use, its lives and where its engines were."""

    fleet: Fleet
    use: Use
    lives: pl.DataFrame
    where: Whereabouts


@lru_cache(maxsize=2)
def made(boats: int = 40) -> Made:
    fleet = build_fleet(boats, 6, SEED)
    use = run_fleet(fleet, SEED)
    return Made(fleet, use, live_parts(fleet, use, PARTS, SEED), find_whereabouts(fleet, use, SEED, meters_change=True))


def lives_of(part: PartTruth, boats: int = 300) -> pl.DataFrame:
    """Lives of one part alone in a larger fleet."""
    fleet, use = _larger(boats)
    return live_parts(fleet, use, (replace(part, opened_with=""),), SEED)


@lru_cache(maxsize=1)
def _larger(boats: int) -> tuple[Fleet, Use]:
    fleet = build_fleet(boats, 6, SEED)
    return fleet, run_fleet(fleet, SEED)


def hours_lived(lives: pl.DataFrame, boats: int = 300) -> pl.Series:
    """Engine hours from fitting to true failure, or to the end."""
    _, use = _larger(boats)
    carrier = lives["carrier"].to_numpy()
    end = lives["failed"].fill_null(lives["ended"]).to_numpy()
    return pl.Series(use.engine_hours.hours_at(carrier, end) - use.engine_hours.hours_at(carrier, lives["began"].to_numpy()))
