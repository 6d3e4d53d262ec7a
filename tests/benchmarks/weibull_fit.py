"""Time of one Weibull fit against lifelines on the same lives.

    python -m tests.benchmarks.weibull_fit --lives 1000 100000 1000000

In: numbers of lives. Out: processor seconds of both, in turn in one run, their ratio, and how far their figures differ. Above two million
lives lifelines is given the compressed rows, and only the fitting is compared.
"""

import argparse
import time

import numpy as np
from lifelines import WeibullFitter

from pipelines.fits.ages import Ages, compress
from pipelines.fits.weibull import fit_weibull

SEED, SHAPE, SCALE = 20, 2.3, 600.0
MOST_ONE_BY_ONE = 2_000_000


def lives_of(count: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Make lives at whole hours, a third of them under delayed entry, suspended by a planned renewal: entry, age, failed."""
    chance = np.random.default_rng(SEED)
    life = np.ceil(SCALE * chance.weibull(SHAPE, count))
    entry = np.where(chance.random(count) < 1 / 3, np.floor(chance.uniform(0, 200, count)), 0.0)
    renewed = np.floor(chance.uniform(200, 500, count))
    age = np.minimum(life, renewed)
    seen = age > entry
    return entry[seen], age[seen], (life <= renewed)[seen]


def compare(count: int, rounds: int = 3) -> str:
    """Fit both in turn so many times, and return a line."""
    entry, age, failed = lives_of(count)
    high = np.where(failed, age, np.inf)
    seconds = np.zeros(3)
    for _ in range(rounds):
        began = time.process_time()
        ages = compress(entry, age, high)
        compressed = time.process_time()
        ours = fit_weibull(ages)
        between = time.process_time()
        theirs = _theirs(ages) if count > MOST_ONE_BY_ONE else WeibullFitter().fit(age, failed, entry=entry)
        seconds += np.array([compressed - began, between - compressed, time.process_time() - between]) / rounds
    compressing, fitting, lifelines = seconds
    apart = max(abs(ours.shape / theirs.rho_ - 1), abs(ours.scale / theirs.lambda_ - 1))
    how = f"on {ages.low.size:,d} compressed rows" if count > MOST_ONE_BY_ONE else "life by life"
    ratio = lifelines / (fitting if count > MOST_ONE_BY_ONE else compressing + fitting)
    return (
        f"{count:10,d} lives  ours {compressing:7.4f} s compressing + {fitting:7.4f} s fitting  lifelines {lifelines:7.3f} s {how}  "
        f"ratio {ratio:6.1f}  figures differ by {apart:.1e}, log-likelihood better by {ours.log_likelihood - theirs.log_likelihood_:.1e}"
    )


def _theirs(ages: Ages) -> WeibullFitter:
    """Fit lifelines on rows that are compressed already: it needs some gigabytes for ten million one by one."""
    return WeibullFitter().fit(ages.low, ages.is_failure, entry=ages.entry, weights=ages.count)


def main() -> None:
    """Print a line a size; the first fit of each is thrown away, since it loads what the others need."""
    parser = argparse.ArgumentParser(description="Time a Weibull fit against lifelines.")
    parser.add_argument("--lives", type=int, nargs="+", default=[1_000, 100_000, 1_000_000, 10_000_000])
    compare(500)
    for count in parser.parse_args().lives:
        print(compare(count), flush=True)


if __name__ == "__main__":
    main()
