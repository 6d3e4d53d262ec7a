"""How often a quiet season raises an alarm, and how often one that changed does.

    python -m tests.whole.alarm_study --seasons 2000 --streams 50 --seed 11

In: how many seasons to make, how many causes and parts are watched in each. Out: share of quiet seasons with any alarm (stated: 0.05);
share of changed ones in which the changed cause is told, and on which day, by how often it comes in a usual season and how many times
oftener it comes now; the same for batches that fail early. Rates are known from three seasons before, and wander as much as is allowed
for.
"""

import argparse
from collections.abc import Iterator
from datetime import date

import numpy as np
import polars as pl

from pipelines.advice.early_groups import early_groups
from pipelines.advice.watching import WANDERING, Running, Stream, Watch
from pipelines.terms.seasons import season_of

USE = {1: 0.1, 2: 0.1, 3: 0.3, 4: 0.8, 5: 1.5, 6: 2.0, 7: 2.5, 8: 2.5, 9: 1.5, 10: 0.7, 11: 0.2, 12: 0.1}
AS_OF = date(2025, 12, 31)
BEFORE = 3
RATES = (0.3, 1.0, 3.0, 10.0)
TIMES = (1.5, 2.0, 3.0, 5.0)


def streams(draw: np.random.Generator, count: int, changed: tuple[float, float] | None = None) -> list[Stream]:
    """Make so many streams; the first comes at (a season, times oftener this season) where `changed` says so."""
    rates = draw.choice(RATES, count)
    made = []
    for place, rate in enumerate(rates):
        usual, times = changed if changed is not None and place == 0 else (float(rate), 1.0)
        made.append(Stream(str(place), _days(draw, usual, times), np.array([[_number(2025 - BEFORE, 1), _number(2026, 1)]])))
    return made


def _days(draw: np.random.Generator, usual: float, times: float) -> np.ndarray:
    """Days of events of all seasons, more in the months of use; each season's rate wanders."""
    share = np.array([USE[month] for month in range(1, 13)]) / sum(USE.values())
    days = []
    for year in range(2025 - BEFORE, 2026):
        wander = draw.gamma(1 / WANDERING**2, WANDERING**2)
        mean = usual * wander * (times if year == 2025 else 1.0)
        for month, part in enumerate(share, start=1):
            days += [_number(year, month) + draw.integers(0, 28) for _ in range(draw.poisson(mean * part))]
    return np.sort(np.array(days, dtype=float))


def _number(year: int, month: int) -> float:
    return float((date(year, month, 1) - date(1970, 1, 1)).days)


def told(draw: np.random.Generator, count: int, changed: tuple[float, float] | None = None) -> list[Running]:
    """Watch one made season to its end."""
    return Watch(season_of(AS_OF), AS_OF, USE).running_above(streams(draw, count, changed))[0]


def quiet(seasons: int, count: int, seed: int) -> float:
    """Share of seasons without any change that have an alarm."""
    draw = np.random.default_rng(seed)
    return float(np.mean([bool(told(draw, count)) for _ in range(seasons)]))


def changed(seasons: int, count: int, seed: int) -> Iterator[tuple[float, float, float, float]]:
    """Give for each usual count and change: share of seasons told, and the median day of the season on which."""
    draw = np.random.default_rng(seed)
    for usual in (1.0, 3.0, 10.0):
        for times in TIMES:
            found = [[one for one in told(draw, count, (usual, times)) if one.name == "0"] for _ in range(seasons)]
            days = [(one[0].since - date(2025, 1, 1)).days for one in found if one]
            yield usual, times, len(days) / seasons, float(np.median(days)) if days else float("nan")


def batches(runs: int, share: float, seed: int) -> tuple[float, float]:
    """Share of fleets in which a batch of 12 that fails early with chance `share` is told, and in which any other group is."""
    draw = np.random.default_rng(seed)
    hits = others = 0
    for _ in range(runs):
        size = 600
        batch = np.array([f"b{place}" for place in draw.integers(0, 30, size)])
        batch[:12] = "bad"
        early = draw.random(size) < np.where(batch == "bad", share, 0.04)
        months = np.where(early, draw.uniform(0, 3, size), draw.uniform(6, 30, size))
        lives = pl.DataFrame(
            {
                "component": ["belt"] * size,
                "ending": np.where(early, "failed", "planned"),
                "entry_months": np.zeros(size),
                "low_months": months,
                "high_months": np.where(early, months, np.nan),
                "ended_on": [AS_OF] * size,
                "batch": batch,
                "done_by": draw.choice(["AB", "CD", "EF", "GH"], size),
            }
        )
        names = {one.name for one in early_groups(lives)}
        hits += "bad" in names
        others += bool(names - {"bad"})
    return hits / runs, others / runs


def main() -> None:
    """Print the rates."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--seasons", type=int, default=2000)
    asked.add_argument("--streams", type=int, default=50)
    asked.add_argument("--seed", type=int, default=11)
    words = asked.parse_args()
    print(f"quiet seasons with an alarm, of {words.streams} watched: {quiet(words.seasons, words.streams, words.seed):.3f}", flush=True)
    for usual, times, share, day in changed(max(1, words.seasons // 10), words.streams, words.seed + 1):
        print(f"usually {usual:g} a season, now {times:g} times: told {share:.2f}, on day {day:.0f} of the season (median)", flush=True)
    for share in (0.04, 0.2, 0.4):
        hit, other = batches(max(1, words.seasons // 10), share, words.seed + 2)
        print(
            f"a batch of 12 of which {share:.0%} fail early (others 4 %): told {hit:.2f}, any other batch or fitter {other:.2f}", flush=True
        )


if __name__ == "__main__":
    main()
