"""What the advice costs against the best possible, by the number of failures behind it, on Weibull parts of known truth.

Run as a script it prints mean regret for 5, 10, 20, 50 and 200 failures against the targets, and how often a planned renewal is advised for
a part that fails at random. Regret: true cost of the advice over the least true cost under the same ceilings, minus 1.

Each fleet: shape drawn from 1 to 3.5, a failure 3 to 10 times as dear as a planned renewal, 50 to 95 % of lives suspended (renewed as
planned, or still running), a third of fleets with parts already old when records begin, and either an expected life or a maker's limit that
is as far from the truth as the prior says.
"""

import argparse
from dataclasses import dataclass

import numpy as np
import polars as pl

from pipelines.advice.age_replacement import cost_rates, weibull_running_time
from pipelines.advice.case import Case, Costs, Limit, Part
from pipelines.advice.prospect import Decision
from pipelines.advice.ruling import rule
from pipelines.advice.use import Use
from pipelines.advice.weighing import weigh
from pipelines.fits.ages import ages_from_lives
from pipelines.fits.knowledge import Knowledge
from pipelines.fits.posterior import Posterior, posterior
from pipelines.terms.settings import Settings

TARGETS = {5: 0.065, 10: 0.045, 20: 0.030, 50: 0.014, 200: 0.004}
RENEWED_THOUGH_RANDOM = {5: 0.33, 10: 0.20, 20: 0.12, 50: 0.07, 200: 0.01}
SHAPES = (1.0, 1.5, 2.0, 2.5, 3.0, 3.5)
SEED = 20260301
_SCALE = 500.0
_USE = Use(np.array([200.0]), np.ones(1))


@dataclass(frozen=True)
class Truth:
    """A part as it is: its law, its costs, and the interval in force."""

    shape: float
    failure_cost: float
    interval: float

    def cost(self, age: float) -> float:
        """True cost per hour of renewing at an age; infinite: only at failure."""
        relative = age / _SCALE
        survival = np.exp(-(relative**self.shape))
        return float(cost_rates(survival, _SCALE * weibull_running_time(relative, self.shape), 1.0, self.failure_cost))

    def least(self, ceiling: float, may_never: bool) -> float:
        """Least true cost of any interval up to a ceiling, or of none where that is allowed."""
        ages = np.geomspace(ceiling / 100, ceiling, 160)
        return min([self.cost(age) for age in ages] + ([self.cost(np.inf)] if may_never else []))


@dataclass(frozen=True)
class Outcome:
    """What one fleet's advice came to."""

    regret: float
    regret_without_ceilings: float
    renews: bool


def draw_truth(rng: np.random.Generator, shape: float | None = None) -> tuple[Truth, float]:
    """Draw a part and the share of its lives that end suspended."""
    suspended = rng.uniform(0.5, 0.95)
    shape = float(rng.choice(SHAPES)) if shape is None else shape
    low, high = 0.0, 20.0 * _SCALE
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (middle, high) if _mean_surviving(middle, shape) > suspended else (low, middle)
    return Truth(shape, float(np.exp(rng.uniform(np.log(3), np.log(10)))), low), suspended


def _mean_surviving(interval: float, shape: float) -> float:
    """Share suspended when half the lives run to the interval and half are still running at any age below it."""
    ages = (np.arange(50) + 0.5) / 50 * interval / _SCALE
    return float((np.exp(-(ages[-1] ** shape)) + np.exp(-(ages**shape)).mean()) / 2)


def draw_lives(truth: Truth, failures: int, rng: np.random.Generator) -> pl.DataFrame:
    """Draw lives until so many have failed, as rows of `derived.lives`."""
    delayed = rng.random() < 1 / 3
    rows = []
    while failures:
        entry = rng.uniform(0, truth.interval) if delayed and rng.random() < 0.3 else 0.0
        life = _SCALE * ((entry / _SCALE) ** truth.shape + rng.exponential()) ** (1 / truth.shape)
        stop = truth.interval * (rng.uniform(0.9, 1.1) if rng.random() < 0.5 else rng.uniform())
        if max(life, stop) <= entry or stop <= entry:
            continue
        failed = life <= stop
        failures -= failed
        rows.append((entry, min(life, stop), life if failed else None, "failed" if failed else "planned"))
    figures = dict.fromkeys(("entry_h", "low_h", "high_h"), pl.Float64)
    empty = [pl.lit(None, pl.Float64).alias(name) for name in ("entry_months", "low_months", "high_months")]
    return pl.DataFrame(rows, schema={**figures, "ending": pl.String}, orient="row").with_columns(empty)


def draw_knowledge(rng: np.random.Generator) -> Knowledge:
    """Draw what the maker says: a life or a limit, as far off as the prior allows."""
    if rng.random() < 0.5:
        return Knowledge(expected_life=_SCALE * np.exp(0.5 * rng.standard_normal()))
    return Knowledge(limit=_SCALE / 2 * np.exp(0.7 * rng.standard_normal()))


def one_fleet(failures: int, rng: np.random.Generator, shape: float | None = None) -> Outcome:
    """Draw one fleet, ask for advice, and score it against the truth."""
    truth, _ = draw_truth(rng, shape)
    lives = draw_lives(truth, failures, rng)
    settings = Settings()
    knowledge = draw_knowledge(rng)

    def believed(held: pl.DataFrame) -> Posterior:
        return posterior(ages_from_lives(held, "hours"), settings.prior, knowledge)

    case = Case(
        "part",
        None,
        believed(lives),
        lives,
        40,
        _USE,
        Part(),
        Costs(1.0, truth.failure_cost),
        Limit(),
        Decision(truth.interval, None),
        "plan",
    )
    weighed = weigh(case, settings)
    assert weighed is not None
    advised = rule(case, weighed, settings).decision.hours
    cost = truth.cost(np.inf if advised is None else advised)
    under = truth.least(weighed.bounds.hours.top, weighed.bounds.may_never)
    return Outcome(cost / under - 1, cost / truth.least(4 * _SCALE, may_never=True) - 1, advised is not None)


def simulate(failures: int, fleets: int, shape: float | None = None, seed: int = SEED) -> list[Outcome]:
    """Score many fleets with so many failures each."""
    rng = np.random.default_rng([seed, failures, 0 if shape is None else 1])
    return [one_fleet(failures, rng, shape) for _ in range(fleets)]


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--fleets", type=int, default=250)
    parser.add_argument("--seed", type=int, default=SEED)
    asked = parser.parse_args()
    print(f"seed {asked.seed}, {asked.fleets} fleets a cell; 95 % of the mean is within 2 standard errors")
    print("failures  regret (target)      standard error  without ceilings  renewed though random (target)")
    for failures, target in TARGETS.items():
        outcomes = simulate(failures, asked.fleets, seed=asked.seed)
        regret = np.array([one.regret for one in outcomes])
        free = np.mean([one.regret_without_ceilings for one in outcomes])
        random = np.mean([one.renews for one in simulate(failures, asked.fleets, 1.0, asked.seed)])
        error = regret.std() / len(regret) ** 0.5
        print(
            f"{failures:8d}  {regret.mean():.4f} ({target:.3f})  {error:18.4f}  {free:16.4f}"
            f"  {random:.3f} ({RENEWED_THOUGH_RANDOM[failures]:.2f})",
            flush=True,
        )


if __name__ == "__main__":
    main()
