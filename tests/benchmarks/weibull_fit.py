"""Time of one Weibull fit against lifelines on the same lives.

    python -m tests.benchmarks.weibull_fit --lives 1000 100000 1000000

In: numbers of lives. Out: processor seconds of both, interleaved in one run, their ratio, and how far their figures differ.
"""

import argparse
import time

import numpy as np
from lifelines import WeibullFitter

from pipelines.fits.ages import compress
from pipelines.fits.weibull import fit_weibull

SEED, SHAPE, SCALE = 20, 2.3, 600.0


def lives_of(count: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Make lives at whole hours, a third of them under delayed entry, suspended by a planned renewal: entry, age, failed."""
    chance = np.random.default_rng(SEED)
    life = np.ceil(SCALE * chance.weibull(SHAPE, count))
    entry = np.where(chance.random(count) < 1 / 3, np.floor(chance.uniform(0, 200, count)), 0.0)
    renewed = np.floor(chance.uniform(200, 500, count))
    age = np.minimum(life, renewed)
    seen = age > entry
    return entry[seen], age[seen], (life <= renewed)[seen]


def compare(count: int) -> str:
    """Fit both and return a line."""
    entry, age, failed = lives_of(count)
    began = time.process_time()
    ages = compress(entry, age, np.where(failed, age, np.inf))
    ours = fit_weibull(ages)
    between = time.process_time()
    theirs = WeibullFitter().fit(age, failed, entry=entry)
    ended = time.process_time()
    ratio = (ended - between) / (between - began)
    apart = max(abs(ours.shape / theirs.rho_ - 1), abs(ours.scale / theirs.lambda_ - 1))
    return (
        f"{count:10,d} lives  ours {between - began:7.3f} s with compressing  lifelines {ended - between:7.3f} s  "
        f"ratio {ratio:6.1f}  figures differ by {apart:.1e}"
    )


def main() -> None:
    """Print a line a size; the first fit of each is thrown away, since it loads what the others need."""
    parser = argparse.ArgumentParser(description="Time a Weibull fit against lifelines.")
    parser.add_argument("--lives", type=int, nargs="+", default=[1_000, 100_000, 1_000_000])
    compare(500)
    for count in parser.parse_args().lives:
        print(compare(count), flush=True)


if __name__ == "__main__":
    main()
