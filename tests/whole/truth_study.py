"""The truth study: everything the estimates and the advice promise, held against known truths, by one command.

    python -m tests.whole.truth_study                    whole: 1,000 replications and 250 fleets a cell (about an hour of processor)
    python -m tests.whole.truth_study --replications 60 --fleets 40

Prints by failures (5 to 200) and share suspended (50 to 95 %, a third of lives under observation late): how often 90 % limits of scale and
B10 hold the truth, how often 90 % ranges of forecast counts hold what comes (and that of shape, for information); then regret against the
best interval, and the wrong turns: a renewal advised for a part that fails at random, and waiting for the failure advised for one that
wears. Each figure stands beside its target with `ok` or `MISS`; two standard errors of so few draws are allowed for.
Elsewhere: the draws (`coverage_study`, `interval_regret`), whole fleets from messy files (`regret`).
"""

import argparse
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from pipelines.advice.counts import Demand, mixed_sum
from pipelines.advice.laws import representative
from pipelines.fits.ages import Ages
from pipelines.fits.knowledge import Knowledge
from pipelines.fits.posterior import Posterior, posterior
from tests.whole.coverage_study import (
    EXPECTED_LIFE,
    FAILURES,
    LEVEL,
    PRIOR,
    QUANTITIES,
    SEED,
    SUSPENDED,
    Truth,
    truth_from_prior,
    watched_until,
)
from tests.whole.interval_regret import RENEWED_THOUGH_RANDOM, TARGETS, simulate

AHEAD_H = 0.3 * EXPECTED_LIFE
MOST_RUNNING = 120
LAWS = 80
COVERED = {"scale": (0.87, 0.93), "b10": (0.87, 0.93), "forecast": (0.88, 1.0)}
WEARING = 3.0
"""Shape of the part that plainly wears; letting it fail is the other wrong turn. It has no target of its own and is printed."""


@dataclass
class Cell:
    """What one cell came to: shares of replications in which limits held the truth, and forecast and true counts."""

    held: dict[str, float]
    foretold: float
    came: float


def running_ages(ages: Ages, rng: np.random.Generator) -> np.ndarray:
    """Ages of the parts that still run, at most so many of them."""
    running = np.repeat(ages.low[ages.is_suspended], ages.count[ages.is_suspended].astype(int))
    return rng.choice(running, MOST_RUNNING, replace=False) if running.size > MOST_RUNNING else running


def forecast(found: Posterior, running: np.ndarray) -> Demand:
    """Failures among running parts in the hours ahead, over the posterior."""
    blocks = representative(found, LAWS)
    looked_at = np.concatenate([running, running + AHEAD_H])
    now, then = np.concatenate([block.survival(looked_at) for block in blocks]).reshape(-1, 2, running.size).transpose(1, 0, 2)
    fails = 1 - then / np.maximum(now, 1e-300)
    weight = np.concatenate([block.weight for block in blocks])
    return mixed_sum(np.stack([1 - fails, fails], axis=-1), weight / weight.sum())


def failures_ahead(truth: Truth, running: np.ndarray, rng: np.random.Generator) -> int:
    """Failures that come in truth."""
    return int((truth.lives_beyond(running, rng) <= running + AHEAD_H).sum())


def cell(failures: int, suspended: float, replications: int, seed: int = SEED) -> Cell:
    """Run one cell of the study."""
    rng = np.random.default_rng([seed, failures, round(100 * suspended), 7])
    held = dict.fromkeys((*QUANTITIES, "forecast"), 0)
    foretold, came = 0.0, 0
    for _ in range(replications):
        truth = truth_from_prior(rng)
        ages = watched_until(truth, failures, suspended, rng)
        found = posterior(ages, PRIOR, Knowledge(expected_life=EXPECTED_LIFE))
        for quantity in QUANTITIES:
            _, low, high = found.limits(quantity, LEVEL)
            held[quantity] += low * (1 - 1e-6) <= truth.value(quantity) <= high * (1 + 1e-6)
        running = running_ages(ages, rng)
        ahead, count = forecast(found, running), failures_ahead(truth, running, rng)
        held["forecast"] += ahead.quantile((1 - LEVEL) / 2) <= count <= ahead.quantile((1 + LEVEL) / 2)
        foretold, came = foretold + ahead.mean, came + count
    return Cell({name: number / replications for name, number in held.items()}, foretold, came)


def judged(name: str, share: float, replications: int) -> str:
    """Return a share with its verdict against the target, two standard errors allowed for."""
    if name not in COVERED:
        return f"{share:.3f}     "
    low, high = COVERED[name]
    error = 2 * (0.9 * 0.1 / replications) ** 0.5
    return f"{share:.3f} {'ok  ' if low - error <= share <= high + error else 'MISS'}"


def coverage_lines(replications: int, failures: Iterable[int] = FAILURES, suspended: Iterable[float] = SUSPENDED) -> Iterable[str]:
    """Give one line a cell."""
    for count in failures:
        for share in suspended:
            found = cell(count, share, replications)
            told = "  ".join(judged(name, found.held[name], replications) for name in ("scale", "b10", "forecast", "shape"))
            yield f"{count:8d} {share:9.0%}   {told}   {found.foretold / max(found.came, 1) - 1:+7.1%}"


def regret_lines(fleets: int, failures: Iterable[int] = tuple(TARGETS)) -> Iterable[str]:
    """Give one line a number of failures: regret and both wrong turns."""
    for count in failures:
        regret = np.array([one.regret for one in simulate(count, fleets)])
        error = 2 * regret.std() / fleets**0.5
        random = float(np.mean([one.renews for one in simulate(count, fleets, 1.0)]))
        waiting = float(np.mean([not one.renews for one in simulate(count, fleets, WEARING)]))
        spread = 2 * (RENEWED_THOUGH_RANDOM[count] * (1 - RENEWED_THOUGH_RANDOM[count]) / fleets) ** 0.5
        held = "ok  " if regret.mean() <= TARGETS[count] + error else "MISS"
        turned = "ok  " if random <= RENEWED_THOUGH_RANDOM[count] + spread else "MISS"
        yield (
            f"{count:8d}   {regret.mean():.4f} (target {TARGETS[count]:.3f}) {held}   "
            f"{random:.3f} (target {RENEWED_THOUGH_RANDOM[count]:.2f}) {turned}   {waiting:.3f}"
        )


def main() -> None:
    """Print the study."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--replications", type=int, default=1000)
    asked.add_argument("--fleets", type=int, default=250)
    words = asked.parse_args()
    print(f"90 % limits over {words.replications:,} truths a cell, seed {SEED}")
    print("failures suspended   scale       B10         forecast    shape        fleet sums foretold against came")
    for line in coverage_lines(words.replications):
        print(line, flush=True)
    print(f"\nadvice over {words.fleets:,} fleets a row")
    print("failures   regret                       renewed though random    left to fail though it wears")
    for line in regret_lines(words.fleets):
        print(line, flush=True)


if __name__ == "__main__":
    main()
