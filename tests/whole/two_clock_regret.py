"""What it costs to believe in the wrong clock: regret of advice from laws on hours alone, on both clocks alone, and averaged over all.

Run as a script it prints mean regret for parts that truly wear on both clocks, on hours, on months, or fail at random. Regret: true cost of
the interval, over boats of unlike use, over the least true cost of any pair (X hours, Y months) that the records allow, minus 1.
The true costs are plain sums over months at every use, not the code under test.
"""

import argparse
from dataclasses import dataclass, replace

import numpy as np
import polars as pl

from pipelines.advice.interval import Axis, Bounds, choose, reached
from pipelines.advice.laws import tabulate
from pipelines.advice.prospect import Decision, Prospect
from pipelines.advice.use import Use
from pipelines.fits.ages import ages_from_lives
from pipelines.fits.clocks import posterior_of
from pipelines.fits.knowledge import Knowledge
from pipelines.fits.known_figures import KnownFigures, hours_per_month
from pipelines.fits.posterior import Posterior, posterior
from pipelines.fits.two_clocks import log_evidence, two_clock_laws
from pipelines.terms.settings import Prior

FAILURES = 160
SEED = 20261125
BELIEFS = ("hours alone", "both alone", "averaged")
TRUTHS = ("both", "hours", "months", "random")
_USES = 120.0 * np.exp(0.4 * np.linspace(-1.5, 1.5, 7))
_USE = Use(_USES, np.full(7, 1 / 7))
_MONTHS = np.geomspace(0.05, 4000, 4000)


@dataclass(frozen=True)
class Truth:
    """Cumulative hazard (hours / scale_h)^shape_h + (months / scale_months)^shape_months, and what a failure costs over a renewal."""

    shape_h: float
    scale_h: float
    shape_months: float
    scale_months: float
    failure_cost: float

    def hazard(self, rate: float | np.ndarray, months: np.ndarray) -> np.ndarray:
        """Cumulative hazard at ages in months of boats that run `rate` hours a month."""
        return (rate * months / self.scale_h) ** self.shape_h + (months / self.scale_months) ** self.shape_months

    def costs(self) -> list[np.ndarray]:
        """Cost a month of renewing at every age of `_MONTHS`, at each use."""
        found = []
        for year_h in _USES:
            surviving = np.exp(-self.hazard(year_h / 12, _MONTHS))
            run = np.cumsum(np.diff(_MONTHS, prepend=0) * (surviving + np.concatenate([[1.0], surviving[:-1]])) / 2)
            found.append((surviving + self.failure_cost * (1 - surviving)) / run)
        return found


def draw_truth(kind: str, rng: np.random.Generator) -> Truth:
    """Draw a part; where both clocks count, neither brings less than about a fifth of the hazard."""
    shape_h, shape_months = rng.uniform(1.5, 3.5, 2)
    life = np.exp(rng.uniform(np.log(15), np.log(45)))
    scale_h, scale_months = 10.0 * life * np.exp(0.2 * rng.standard_normal()), life * np.exp(0.2 * rng.standard_normal())
    cost = float(np.exp(rng.uniform(np.log(3), np.log(10))))
    if kind == "random":
        return Truth(1.0, scale_h, 1.0, 1e12, cost)
    return Truth(shape_h, 1e12 if kind == "months" else scale_h, shape_months, 1e12 if kind == "hours" else scale_months, cost)


def draw_lives(truth: Truth, failures: int, rng: np.random.Generator) -> pl.DataFrame:
    """Draw lives until so many have failed; half are renewed as planned at 0.6 to 1.2 of a common life, half are still running."""
    rows = []
    common = float(np.interp(0.7, truth.hazard(120.0 / 12, _MONTHS), _MONTHS))
    while failures:
        rate = float(rng.choice(_USES)) / 12
        hazard = truth.hazard(rate, _MONTHS)
        fails = float(np.interp(rng.exponential(), hazard, _MONTHS))
        planned = common * (rng.uniform(0.6, 1.2) if rng.random() < 0.5 else rng.uniform())
        age, failed = min(fails, planned), fails <= planned
        failures -= failed
        rows.append((0.0, age * rate, age * rate if failed else None, 0.0, age, age if failed else None))
    names = ("entry_h", "low_h", "high_h", "entry_months", "low_months", "high_months")
    return pl.DataFrame(rows, schema=dict.fromkeys(names, pl.Float64), orient="row")


def believed(lives: pl.DataFrame, belief: str) -> Posterior:
    """What to believe of the lives when only some laws are thought of."""
    prior, use = Prior(), hours_per_month(lives)
    if belief == "hours alone":
        return posterior(ages_from_lives(lives, "hours"), prior, Knowledge())
    if belief == "averaged":
        return posterior_of(lives, "part", None, KnownFigures(), prior)
    scale_prior = Knowledge().scale_prior(prior, ages_from_lives(lives, "months"))
    laws = two_clock_laws(lives, use or 1.0, prior, scale_prior)
    normed = replace(laws, weight=np.exp(laws.weight - log_evidence(laws)))
    return Posterior((normed,), {}, 0.0, "ages seen")


def regret(truth: Truth, lives: pl.DataFrame, belief: str) -> float:
    """Regret of the interval chosen under one belief."""
    seen = {clock: 2.0 * (reached(lives, clock) or 0.0) for clock in ("hours", "months")}
    months = Axis(records=0.0 if belief == "hours alone" else seen["months"])
    prospect = Prospect(tabulate(believed(lives, belief), _USE), _USE, 1.0, truth.failure_cost)
    choice = choose(prospect, Bounds(Axis(records=seen["hours"]), months))
    assert choice is not None
    costs = truth.costs()
    return cost_of(costs, choice.decision) / least(costs, seen) - 1


def cost_of(costs: list[np.ndarray], decision: Decision) -> float:
    """True cost a month of a decision, over the uses."""
    hours, months = decision.hours or np.inf, decision.months or np.inf
    ages = [min(months, hours / (year_h / 12), _MONTHS[-1]) for year_h in _USES]
    return float(np.mean([np.interp(age, _MONTHS, cost) for age, cost in zip(ages, costs, strict=True)]))


def least(costs: list[np.ndarray], seen: dict[str, float]) -> float:
    """Least true cost of any pair of ages that the records allow, or of none."""
    hours = np.append(np.geomspace(seen["hours"] / 60, seen["hours"], 60), np.inf)
    months = np.append(np.geomspace(seen["months"] / 60, seen["months"], 60), np.inf)
    grid = np.zeros((hours.size, months.size))
    for year_h, cost in zip(_USES, costs, strict=True):
        ages = np.minimum(np.minimum(months[None, :], hours[:, None] / (year_h / 12)), _MONTHS[-1])
        grid += np.interp(ages, _MONTHS, cost) / len(costs)
    return float(grid.min())


def study(kind: str, fleets: int, failures: int = FAILURES, seed: int = SEED) -> dict[str, np.ndarray]:
    """Regret of every fleet under each belief."""
    rng = np.random.default_rng([seed, TRUTHS.index(kind), failures])
    found: dict[str, list[float]] = {belief: [] for belief in BELIEFS}
    for _ in range(fleets):
        truth = draw_truth(kind, rng)
        lives = draw_lives(truth, failures, rng)
        for belief in BELIEFS:
            found[belief].append(regret(truth, lives, belief))
    return {belief: np.array(values) for belief, values in found.items()}


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    for name, usual in (("--fleets", 60), ("--failures", FAILURES), ("--seed", SEED)):
        parser.add_argument(name, type=int, default=usual)
    asked = parser.parse_args()
    print(f"seed {asked.seed}, {asked.fleets} fleets a row, {asked.failures} failures each; mean regret (standard error)")
    print("truth     " + "".join(f"{belief:>20s}" for belief in BELIEFS))
    for kind in TRUTHS:
        found = study(kind, asked.fleets, asked.failures, asked.seed)
        cells = (f"{values.mean():.4f} ({values.std() / len(values) ** 0.5:.4f})" for values in found.values())
        print(f"{kind:10s}" + "".join(f"{cell:>20s}" for cell in cells), flush=True)


if __name__ == "__main__":
    main()
