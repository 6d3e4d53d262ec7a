"""What sharing visits truly saves, by running boats through years of failures under three ways of planning visits.

    python -m tests.whole.visits_study --boats 20 --years 12 --seed 5

In: how many boats, years, a seed. Out: money a boat and year with each job on its own day, with jobs laid onto visits by the advice, and
with all jobs due in the next 90 days at one service; and the visits a year. Parts have known Weibull laws and the intervals that are best
for each alone with a visit of its own; a failure costs a visit of its own and starts the part anew. The advice plans anew at every visit,
knowing the laws.
"""

import argparse
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

import numpy as np
import polars as pl

from pipelines.advice.age_replacement import best_weibull_age
from pipelines.advice.case import Estimate
from pipelines.advice.moving import Moves, moves_of
from pipelines.advice.seasons import Seasons
from pipelines.advice.visits import visit_days
from pipelines.fits.posterior import WEARS_OUT, Block, Posterior
from pipelines.terms.derived import DERIVED_TABLES

TODAY = date(2026, 1, 1)
VISIT, AHEAD, SLACK, DAYS_A_MONTH = 60.0, 150, 0.1, 365.25 / 12
NO_LIVES = pl.DataFrame(schema={column.name: column.polars_type for column in DERIVED_TABLES["lives"].columns})
NO_USE = pl.DataFrame(schema={column.name: column.polars_type for column in DERIVED_TABLES["engine_use"].columns})
Days = np.ndarray


@dataclass(frozen=True)
class Part:
    """A part with its law in days, its costs and its interval."""

    name: str
    shape: float
    scale: float
    planned: float
    failure: float
    every: float


def parts_of(rng: np.random.Generator, count: int = 8) -> list[Part]:
    """Draw parts that wear out, each renewed at the age that is best for it alone."""
    made = []
    for number in range(count):
        shape, scale, planned = rng.uniform(2, 4), rng.uniform(200, 900), rng.uniform(30, 150)
        failure = planned * rng.uniform(4, 9)
        every = best_weibull_age(shape, scale, planned + VISIT, failure + VISIT) or scale
        made.append(Part(f"part {number}", shape, scale, planned, failure, every))
    return made


def belief(part: Part) -> Estimate:
    """A law that is known for sure, on months."""
    one = np.ones(1)
    block = Block(WEARS_OUT, "weibull", "months", part.shape * one, part.scale / DAYS_A_MONTH * one, one)
    return Estimate(part.name, None, Posterior((block,), supported={"months": 1.0}, log_evidence=0.0, basis=""), NO_LIVES)


def next_visit(parts: list[Part], beliefs: list[Estimate], age: Days, plan: Callable[[Moves], Days]) -> tuple[float, Days]:
    """Days until the next planned visit, and the parts renewed on it; none where nothing is due soon."""
    due = np.array([part.every for part in parts]) - age
    soon = np.flatnonzero(due <= AHEAD)
    if not soon.size:
        return AHEAD / 2, soon
    jobs = pl.DataFrame([_job(parts[n], age[n], due[n]) for n in soon], schema_overrides=_TYPES)
    chosen = plan(moves_of(jobs, beliefs, Seasons(NO_USE, TODAY), TODAY, AHEAD, SLACK))
    return float(chosen.min()), soon[chosen == chosen.min()]


_TYPES = {
    **dict.fromkeys(("due_on", "deferred_until", "ceiling_on"), pl.Date),
    **dict.fromkeys(("age_h", "year_h", "every_h", "age_months", "every_months"), pl.Float64),
    "hours_engine_id": pl.String,
}


def _job(part: Part, age: float, due: float) -> dict:
    day = date.fromordinal(TODAY.toordinal() + int(max(0, np.ceil(due))))
    words = {"component": part.name, "task": "renew", "state": "running", "hours_engine_id": None}
    days = {"due_on": day, "deferred_until": None, "ceiling_on": None}
    ages = {"age_h": None, "age_months": age / DAYS_A_MONTH, "year_h": None, "every_h": None, "every_months": part.every / DAYS_A_MONTH}
    money = {"planned_cost": part.planned, "failure_cost": part.failure, "visit_cost": VISIT}
    return words | days | ages | money | {"overdue": bool(due <= 0), "safety": False, "hidden": False}


def alone(moves: Moves) -> Days:
    """Each job on its own day."""
    return moves.own_day


def shared(moves: Moves) -> Days:
    """Jobs laid onto visits."""
    return visit_days(moves, VISIT)


def one_service(moves: Moves) -> Days:
    """All jobs of the next 90 days when the first is due."""
    first = moves.own_day.min()
    return np.where(moves.own_day <= first + 90, first, moves.own_day)


def cost_of(parts: list[Part], plan: Callable[[Moves], Days], years: float, rng: np.random.Generator) -> tuple[float, float]:
    """Run one boat; return money and visits a year."""
    beliefs, age = [belief(part) for part in parts], np.zeros(len(parts))
    lives = [np.random.default_rng(rng.integers(2**32)) for _ in parts]
    left = np.array([part.scale * life.weibull(part.shape) for part, life in zip(parts, lives, strict=True)])
    day, money, visits = 0.0, 0.0, 0
    while day < years * 365.25:
        step, done = next_visit(parts, beliefs, age, plan)
        failing = int(left.argmin())
        wait = min(step, float(left[failing]))
        fails = left[failing] <= step
        done = np.array([failing]) if fails else done
        day, age, left = day + wait, age + wait, left - wait
        if done.size:
            money, visits = money + VISIT + sum(parts[n].failure if fails else parts[n].planned for n in done), visits + 1
            age[done] = 0.0
            left[done] = [parts[n].scale * lives[n].weibull(parts[n].shape) for n in done]
    return money / years, visits / years


def study(boats: int, years: float, seed: int) -> dict[str, tuple[float, float, float]]:
    """Return of each way mean money and visits a boat and year, and the standard error of its money less that of shared visits.

    Every way meets the same lives of the parts.
    """
    ways = {"each job on its own day": alone, "jobs laid onto visits": shared, "all due in 90 days at one service": one_service}
    told: dict[str, list[tuple[float, float]]] = {name: [] for name in ways}
    for boat in range(boats):
        parts = parts_of(np.random.default_rng([seed, boat]))
        for name, plan in ways.items():
            told[name].append(cost_of(parts, plan, years, np.random.default_rng([seed, boat, 1])))
    money = {name: np.array([m for m, _ in held]) for name, held in told.items()}
    less = {name: held - money["jobs laid onto visits"] for name, held in money.items()}
    visits = {name: float(np.mean([v for _, v in held])) for name, held in told.items()}
    return {name: (float(held.mean()), visits[name], float(less[name].std(ddof=1) / boats**0.5)) for name, held in money.items()}


def main() -> None:
    """Print what each way costs."""
    parser = argparse.ArgumentParser(description="Run boats through years under three ways of planning visits.")
    for name, usual in (("--boats", 20), ("--years", 12), ("--seed", 5)):
        parser.add_argument(name, type=int, default=usual)
    wish = parser.parse_args()
    for name, (money, visits, error) in study(wish.boats, wish.years, wish.seed).items():
        print(
            f"{name:36s} {money:8.0f} a boat and year, {visits:5.1f} visits; standard error of its difference to shared visits {error:.0f}"
        )


if __name__ == "__main__":
    main()
