"""How often 90 % posterior limits hold the truth, over truths drawn from the prior.

Run `python -m tests.whole.coverage_study` for the whole study (1,000 replications a cell), or with `--replications 100` for
a quick look. Each fleet is watched until a set number of its lives has failed; a third of its lives is under observation
only from an age on. Lives are drawn by textbook forms of their own, not by the code under test.
"""

import argparse
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from scipy import stats
from scipy.optimize import brentq

from pipelines.fits.ages import Ages, compress
from pipelines.fits.knowledge import Knowledge
from pipelines.fits.likelihood import EXPONENTIAL, FLOOR_WEIBULL, LOGNORMAL, WEIBULL
from pipelines.fits.posterior import posterior
from pipelines.terms.settings import Prior

PRIOR = Prior()
EXPECTED_LIFE = 500.0
FAILURES = (5, 10, 20, 50, 200)
SUSPENDED = (0.5, 0.8, 0.95)
LATE = 1 / 3
LEVEL = 0.9
QUANTITIES = ("scale", "b10", "shape")
SEED = 1965

_Z_SCALE = float(stats.norm.ppf(1 - np.exp(-1)))
_Z_GAP = _Z_SCALE - float(stats.norm.ppf(0.1))


@dataclass(frozen=True)
class Truth:
    """One law drawn from the prior tree."""

    family: str
    shape: float
    scale: float
    floor: float = 0.0

    @property
    def _sigma(self) -> float:
        return -np.log(-np.log(0.9)) / self.shape / _Z_GAP

    def log_survival(self, ages: np.ndarray) -> np.ndarray:
        relative = ages / self.scale
        if self.family == LOGNORMAL:
            return stats.norm.logsf(np.log(relative) / self._sigma + _Z_SCALE)
        return -self.floor * relative - (1 - self.floor) * relative**self.shape

    def lives_beyond(self, entry: np.ndarray, rng: np.random.Generator) -> np.ndarray:
        """Lives of parts that were running at these ages."""
        spent, start = rng.exponential(size=entry.size), entry / self.scale
        if self.family == LOGNORMAL:
            known = stats.norm.logsf(np.log(np.maximum(start, 1e-300)) / self._sigma + _Z_SCALE)
            return self.scale * np.exp((stats.norm.isf(np.exp(known - spent)) - _Z_SCALE) * self._sigma)
        worn = (start**self.shape + spent / (1 - self.floor)) ** (1 / self.shape)
        struck = start + rng.exponential(size=entry.size) / self.floor if self.floor else np.inf
        return self.scale * np.minimum(worn, struck)

    def value(self, quantity: str) -> float:
        if quantity == "scale":
            return self.scale
        log_b10 = brentq(lambda at: float(self.log_survival(np.exp(np.array([at])))[0]) - np.log(0.9), -40.0, 40.0)
        b10 = float(np.exp(np.asarray(log_b10, dtype=float)))
        return b10 if quantity == "b10" else -np.log(-np.log(0.9)) / np.log(self.scale / b10)


def truth_from_prior(rng: np.random.Generator) -> Truth:
    """Draw branch, family, shape, scale and share of constant hazard from the prior."""
    scale = EXPECTED_LIFE * np.exp(PRIOR.scale_sd_expected_life * rng.normal())
    branch = rng.choice(3, p=[PRIOR.wears_out, PRIOR.random, PRIOR.fails_young])
    if branch == 1:
        return Truth(EXPONENTIAL, 1.0, scale)
    if branch == 2:
        return Truth(WEIBULL, PRIOR.young_shape_median * np.exp(PRIOR.young_shape_sd * rng.normal()), scale)
    shape = PRIOR.wear_shape_median * np.exp(PRIOR.wear_shape_sd * rng.normal())
    family = str(
        rng.choice([WEIBULL, LOGNORMAL, FLOOR_WEIBULL], p=[PRIOR.family_weibull, PRIOR.family_lognormal, PRIOR.family_floor_weibull])
    )
    return Truth(family, shape, scale, rng.beta(1, 1 / PRIOR.floor_share - 1) if family == FLOOR_WEIBULL else 0.0)


def watched_until(truth: Truth, failures: int, suspended: float, rng: np.random.Generator) -> Ages:
    """Lives put into use bit by bit and watched until so many have failed; nothing of the design depends on the truth."""
    lives = round(failures / (1 - suspended))
    entry = np.where(rng.random(lives) < LATE, EXPECTED_LIFE * rng.uniform(0, 0.5, lives), 0.0)
    pace = rng.uniform(0.0, 1.0, lives)
    due = (truth.lives_beyond(entry, rng) - entry) / pace
    stop = np.partition(due, failures - 1)[failures - 1]
    ends = entry + pace * np.minimum(due, stop)
    return compress(entry, ends, np.where(due <= stop, ends, np.inf))


def coverage(failures: int, suspended: float, replications: int, seed: int = SEED) -> dict[str, float]:
    """Share of replications in which the limits hold the true scale, B10 and shape."""
    rng = np.random.default_rng([seed, failures, round(100 * suspended)])
    held = dict.fromkeys(QUANTITIES, 0)
    for _ in range(replications):
        truth = truth_from_prior(rng)
        found = posterior(watched_until(truth, failures, suspended, rng), PRIOR, Knowledge(expected_life=EXPECTED_LIFE))
        for quantity in QUANTITIES:
            _, low, high = found.limits(quantity, LEVEL)
            held[quantity] += low * (1 - 1e-6) <= truth.value(quantity) <= high * (1 + 1e-6)
    return {quantity: count / replications for quantity, count in held.items()}


def study(replications: int, failures: Iterable[int] = FAILURES, suspended: Iterable[float] = SUSPENDED) -> list[str]:
    """One line a cell, as they are printed."""
    lines = []
    for count in failures:
        for share in suspended:
            found = coverage(count, share, replications)
            lines.append(f"{count:8d} {share:9.0%}   " + "   ".join(f"{found[quantity]:6.3f}" for quantity in QUANTITIES))
            print(lines[-1], flush=True)
    return lines


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description="Coverage of 90 % posterior limits over truths drawn from the prior.")
    parser.add_argument("--replications", type=int, default=1000)
    print("failures suspended    scale      B10    shape")
    study(parser.parse_args().replications)
