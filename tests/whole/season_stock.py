"""Whole seasons of invented fleets, each foretold from its records and then lived through by the true law: does the shelf keep its promise?

    python -m tests.whole.season_stock --seasons 40 --seeds 61 62 63 64 65 66 67

Prints for the promised chances 0.90, 0.95 and 0.99 of not running out over the lead time and over the season: the share of runs that did
not, and the share with one piece fewer (which must be below the promise: the number held is the smallest that keeps it); how often 90 %
ranges of demand hold what came, of all and of those with 5 or more expected; and the money of a season (holding and waiting) of the advised
stock beside that of somebody who knows what will be asked for, of holding what is expected on average, and of holding what last year took.
In: a number of seasons a seed, seeds. Out: figures. Elsewhere: fleets and truths (`season_truth`).
"""

import argparse
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np
import polars as pl

from pipelines.advice.case import Estimate
from pipelines.advice.season_use import ahead_of_mean
from pipelines.advice.shelf import Shelf
from pipelines.advice.stock import Question, shelves
from pipelines.advice.yard import Yard
from pipelines.fits.ages import ages_from_lives
from pipelines.fits.knowledge import Knowledge
from pipelines.fits.posterior import posterior
from pipelines.terms.settings import Settings
from tests.advice.made import derived, fleet, positions, records
from tests.whole.season_truth import BASES, DAYS_A_MONTH, EXPECTED_LIFE, SEEN_FROM, TODAY, USE_SD, YEARS, World, draw_world

LEAD, SEASON = 35, 183
LEVELS = (0.90, 0.95, 0.99)
UNIT_COST, WAIT, CARRYING = 60.0, 250.0, 0.2
SETTINGS = replace(Settings(), horizon_days=SEASON)


@dataclass(frozen=True)
class Outcome:
    """One shelf of one season: what was foretold, and what came over the lead time and the season."""

    shelf: Shelf
    lead: int
    season: int


def foretold(world: World) -> list[Shelf]:
    """Foretell a season from what the yard wrote down."""
    lives = _lives(world)
    here = positions("part", len(world.base)).with_columns(base=pl.Series(world.base))
    plan = [{"component": "part", "every_h": None if np.isinf(world.law.every_h) else world.law.every_h}]
    made = fleet(here, engine_use=_use(world), plan=records("plan", *plan))
    parts = [
        {"part_id": "p", "component": "part", "base": base, "on_hand": 0, "lead_time_d": float(LEAD), "unit_cost": UNIT_COST}
        for base in BASES
    ]
    believed = posterior(ages_from_lives(lives, "hours"), SETTINGS.prior, Knowledge(expected_life=EXPECTED_LIFE), "hours")
    laws = [Estimate("part", None, believed, lives)]
    yard = Yard(use_sd=ahead_of_mean(USE_SD, YEARS), caught=SETTINGS.condition_fraction)
    return shelves(Question(records("parts", *parts), made, lives, laws, TODAY, SETTINGS, yard))


def _lives(world: World) -> pl.DataFrame:
    """Write the history down as lives; those of unseen boats are not known, and a part that was there at the start entered late."""
    rows = [
        {
            "life_id": f"l{number}",
            "engine_id": f"e{life.engine}",
            "vessel_id": f"v{life.engine}",
            "component": "part",
            "engine_model": "M40",
            "base": world.base[life.engine],
            "began_on": world.begins + timedelta(days=round(life.began)),
            "ended_on": world.begins + timedelta(days=round(life.ended)),
            "began_h": life.began_h,
            "entry_h": max(0.0, -life.began_h),
            "low_h": life.age_h,
            "high_h": {"failed": life.age_h, "condition": life.age_h / SEEN_FROM}.get(life.ending),
            "entry_months": 0.0,
            "low_months": max(0.01, (life.ended - life.began) / DAYS_A_MONTH),
            "ending": life.ending,
        }
        for number, life in enumerate(world.history)
        if life.engine not in world.unseen
    ]
    return derived("lives", *rows)


def _use(world: World) -> pl.DataFrame:
    """Hours a day of each boat in each month of the year, as its records show them."""
    days = [world.begins + timedelta(days=n) for n in range(world.today)]
    month = np.array([day.month for day in days])
    rows = [
        {"engine_id": f"e{boat}", "month_of_year": m, "hours_per_day": float(world.a_day[boat, : world.today][month == m].mean())}
        for boat in range(len(world.base))
        for m in range(1, 13)
    ]
    return derived("engine_use", *rows)


def outcomes(seasons: int, seed: int) -> list[Outcome]:
    """Foretell and live through so many seasons; a base without a boat has no shelf."""
    found = []
    for number in range(seasons):
        world = draw_world(seed * 100_000 + number, SEASON)
        for shelf in foretold(world):
            came = np.array(world.ahead[shelf.base or ""])
            if shelf.positions:
                found.append(Outcome(shelf, int((came <= LEAD).sum()), int((came <= SEASON).sum())))
    return found


@dataclass(frozen=True)
class Kept:
    """Share of runs without a stock-out at a promised chance, with as many as advised and with one fewer (of those that hold any)."""

    level: float
    kept: float
    fewer: float
    promised: float


def kept(found: Sequence[Outcome], level: float, over: str) -> Kept:
    """Count the runs that did not run out over `lead` or `season`."""
    held = np.array([getattr(one.shelf, over).quantile(level) for one in found])
    came = np.array([getattr(one, over) for one in found])
    told = np.mean([getattr(one.shelf, over).chance_up_to(int(pieces)) for one, pieces in zip(found, held, strict=True)])
    some = held > 0
    return Kept(level, float((came <= held).mean()), float((came[some] <= held[some] - 1).mean()), float(told))


def covered(found: Sequence[Outcome], least: float = 0.0) -> tuple[float, int]:
    """Share of 90 % ranges of the season's demand that hold what came, of shelves with so many expected, and how many they are."""
    inside = [
        one.shelf.season.quantile(0.05) <= one.season <= one.shelf.season.quantile(0.95) for one in found if one.shelf.season.mean >= least
    ]
    return float(np.mean(inside)) if inside else float("nan"), len(inside)


def money(pieces: int, asked: int) -> float:
    """Cost of a season that begins with so many pieces: what is left at the end was held all along, the rest half of the time."""
    held = max(0, pieces - asked) + min(pieces, asked) / 2
    return CARRYING * SEASON / 365.25 * UNIT_COST * held + WAIT * max(0, asked - pieces)


def costs(found: Sequence[Outcome]) -> dict[str, float]:
    """Mean money of a season by who stocks."""
    rules = {
        "knowing what will come": lambda one: one.season,
        "advised, 0.95": lambda one: one.shelf.order_up_to(0.95),
        "what is expected": lambda one: int(np.ceil(one.shelf.season.mean)),
        "what last year took": lambda one: one.shelf.last_year or 0,
        "two of everything": lambda _: 2,
    }
    return {name: float(np.mean([money(rule(one), one.season) for one in found])) for name, rule in rules.items()}


def told(found: Sequence[Outcome]) -> str:
    """Return the lines of the study."""
    lines = [
        f"{len(found)} shelves; {sum(one.season for one in found)} asked for, {sum(one.shelf.season.mean for one in found):.0f} foretold"
    ]
    for over in ("lead", "season"):
        for level in LEVELS:
            one = kept(found, level, over)
            lines.append(f"{over:7s} promised {level:.2f}: kept {one.kept:.3f} (told {one.promised:.3f}); with one fewer {one.fewer:.3f}")
    every, many = covered(found), covered(found, 5.0)
    lines.append(f"90 % ranges hold {every[0]:.3f} of {every[1]}; 5 or more expected: {many[0]:.3f} of {many[1]}")
    lines += [f"money of a season, {name}: {cost:.2f}" for name, cost in costs(found).items()]
    return "\n".join(lines)


def main() -> None:
    """Print the study."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--seasons", type=int, default=40)
    asked.add_argument("--seeds", type=int, nargs="+", default=[61, 62, 63, 64, 65, 66, 67])
    wanted = asked.parse_args()
    print(told([one for seed in wanted.seeds for one in outcomes(wanted.seasons, seed)]))


if __name__ == "__main__":
    main()
