"""A part that wears out, some of whose fittings are bad: what the advice costs over re-plannings, and how often bad fitting is told.

    python -m tests.whole.bad_fitting_study --fleets 40

Each fleet: shape drawn from 1.5 to 3.5, a failure 3 to 10 times as dear as a renewal, a share of fittings that die at an exponential age
around a fiftieth of the scale, records of a few lives under an interval that a third of good fittings would not reach. The advice is kept
to until as many hours again have been watched, then asked for anew, six times. Regret: true cost of the advice, bad fittings included, over
the least of any interval or of none, minus 1. Beside it the same with bad fitting left out of the tree, and with Weibull laws alone.
"""

import argparse
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import polars as pl

from pipelines.advice.age_replacement import cost_rates, running_time
from pipelines.advice.case import Case, Costs, Limit, Part
from pipelines.advice.prospect import Decision
from pipelines.advice.ruling import Ruling, rule
from pipelines.advice.use import Use
from pipelines.advice.weighing import weigh
from pipelines.advice.words import IMPROVE
from pipelines.fits.ages import ages_from_lives
from pipelines.fits.knowledge import Knowledge
from pipelines.fits.posterior import posterior
from pipelines.terms.settings import Prior, Settings
from tests.advice.made import lives

SEED = 20261125
SCALE, EARLY_AGE = 500.0, 10.0
PLANNINGS, POSITIONS = 6, 40
_AGES = np.geomspace(0.05, 20 * SCALE, 3000)
_PRIOR = Prior()
BELIEFS = {
    "whole tree": _PRIOR,
    "no bad fitting": replace(_PRIOR, fitted_badly=0.0),
    "Weibull alone": Prior(
        wears_out=1.0,
        random=0.0,
        fails_young=0.0,
        family_weibull=1.0,
        family_lognormal=0.0,
        family_floor_weibull=0.0,
        fitted_badly=0.0,
    ),
}


@dataclass(frozen=True)
class Truth:
    """Shape of the wear, share of bad fittings, what a failure costs over a renewal."""

    shape: float
    bad_share: float
    failure_cost: float

    def draw(self, count: int, rng: np.random.Generator) -> np.ndarray:
        """Draw ages at failure, hours."""
        worn = SCALE * rng.weibull(self.shape, count)
        return np.where(rng.random(count) < self.bad_share, np.minimum(worn, rng.exponential(EARLY_AGE, count)), worn)

    def costs(self) -> np.ndarray:
        """Cost an hour of renewing at every age of `_AGES`; the last stands for never."""
        spared = 1 - self.bad_share + self.bad_share * np.exp(-_AGES / EARLY_AGE)
        surviving = (np.exp(-((_AGES / SCALE) ** self.shape)) * spared)[None, :]
        return cost_rates(surviving, running_time(surviving, _AGES), 1.0, self.failure_cost)[0]

    def regret(self, interval: float | None) -> float:
        """Regret of an interval, `None`: never."""
        costs = self.costs()
        return float(np.interp(_AGES[-1] if interval is None else interval, _AGES, costs) / costs.min()) - 1


@dataclass(frozen=True)
class Advice:
    """One planning: failures behind it, its regret, whether it told bad fitting."""

    failures: int
    regret: float
    told: bool


def draw_truth(bad_share: float, rng: np.random.Generator) -> Truth:
    """Draw a part."""
    return Truth(float(rng.uniform(1.5, 3.5)), bad_share, float(np.exp(rng.uniform(np.log(3), np.log(10)))))


def watched(truth: Truth, interval: float | None, hours: float, rng: np.random.Generator) -> pl.DataFrame:
    """Run every position for so many hours under an interval, from a new part on."""
    ages, failed = [], []
    for _ in range(POSITIONS):
        left = hours
        while left > 0:
            life, stop = float(truth.draw(1, rng)[0]), min(left, interval or np.inf)
            ages.append(min(life, stop))
            failed.append(life <= stop)
            left -= ages[-1]
    return lives("part", ages, failed)


def advise(held: pl.DataFrame, truth: Truth, today: float | None, prior: Prior) -> Ruling:
    """Ask for advice."""
    settings = replace(Settings(), prior=prior)
    case = Case(
        "part",
        None,
        posterior(ages_from_lives(held, "hours"), prior, Knowledge()),
        held,
        POSITIONS,
        Use(np.array([200.0]), np.ones(1)),
        Part(),
        Costs(1.0, truth.failure_cost),
        Limit(),
        Decision(today, None),
        "plan",
    )
    return rule(case, weigh(case, settings), settings)


def plannings(truth: Truth, prior: Prior, rng: np.random.Generator) -> Iterator[Advice]:
    """Plan again and again, each time with what the advice before has shown."""
    hours = SCALE * 0.4 ** (1 / truth.shape)
    interval: float | None = hours
    held = watched(truth, interval, hours, rng)
    for _ in range(PLANNINGS):
        ruling = advise(held, truth, interval, prior)
        interval = ruling.decision.hours
        yield Advice(int(held["high_h"].count()), truth.regret(interval), ruling.verdict == IMPROVE)
        held = pl.concat([held, watched(truth, interval, hours, rng)])


def study(bad_share: float, belief: str, fleets: int, seed: int = SEED) -> list[list[Advice]]:
    """Plan for many fleets; every belief sees the same truths."""
    truths = np.random.default_rng([seed, round(1000 * bad_share)])
    drawn = [draw_truth(bad_share, truths) for _ in range(fleets)]
    return [list(plannings(truth, BELIEFS[belief], np.random.default_rng([seed, number]))) for number, truth in enumerate(drawn)]


def main() -> None:
    """Print the table."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--fleets", type=int, default=40)
    asked.add_argument("--seed", type=int, default=SEED)
    asked.add_argument("--shares", type=float, nargs="+", default=[0.0, 0.04, 0.08, 0.15])
    words = asked.parse_args()
    print(f"seed {words.seed}, {words.fleets} fleets a row; failures behind the last planning; bad fitting told at the first and the last")
    print("bad    laws            failures  regret by planning, mean of all                         told")
    for share in words.shares:
        for belief in BELIEFS:
            found = study(share, belief, words.fleets, words.seed)
            by_planning = np.array([[one.regret for one in fleet] for fleet in found]).mean(axis=0)
            told = np.array([[one.told for one in fleet] for fleet in found]).mean(axis=0)
            regrets = " ".join(f"{value:.3f}" for value in by_planning)
            failures = np.mean([fleet[-1].failures for fleet in found])
            row = f"{share:4.2f}   {belief:15s} {failures:8.0f}  {regrets}   {by_planning.mean():.3f}"
            print(f"{row}   {told[0]:.2f} {told[-1]:.2f}", flush=True)


if __name__ == "__main__":
    main()
