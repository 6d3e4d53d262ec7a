"""Time from a folder of messy records to verdicts, step by step.

    python -m tests.benchmarks.whole_way --boats 400 --seasons 6 --seed 77

In: a size and a seed. Out: seconds on the wall and of the processor a step, and the whole as a ratio to the baseline: Polars reading the
same CSV files as text and no more, in the same run.
"""

import argparse
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import polars as pl

from pipelines.flow import building
from pipelines.flow.copies import publish_anew
from pipelines.intake.finding import find_files, mapping_beside
from pipelines.intake.mapping import read_mapping
from pipelines.intake.taking import read_file
from pipelines.ledger.writing import open_for_writing
from pipelines.terms.settings import Settings
from sample_fleet.make import make_fleet

Result = TypeVar("Result")


class Clock:
    """Seconds by step, on the wall and of this process's processor."""

    def __init__(self) -> None:
        self.steps: dict[str, tuple[float, float]] = {}

    def time(self, step: str, work: Callable[[], Result]) -> Result:
        """Run `work`, keep how long it took, and return what it gave."""
        wall, processor = time.perf_counter(), time.process_time()
        done = work()
        self.steps[step] = (time.perf_counter() - wall, time.process_time() - processor)
        return done


def run(folder: Path, boats: int, seasons: int, seed: int) -> Clock:
    """Make a fleet, then time each step on its records."""
    make_fleet(folder / "records", boats, seasons, seed)
    clock = Clock()
    files = find_files([folder / "records"])
    clock.time("baseline: read the CSV files as text", lambda: [_plain(file) for file in files if file.suffix == ".csv"])
    beside = mapping_beside([folder / "records"])
    mapping = read_mapping(beside) if beside else None
    takings = clock.time("read and check", lambda: [taken for file in files for taken in read_file(file, mapping)])
    estimate = building.make_estimates
    building.make_estimates = lambda bench, settings: clock.time("fits, verdicts, due, stock", lambda: estimate(bench, settings))
    try:
        with open_for_writing(folder / "fleet.duckdb", "benchmark") as ledger:
            clock.time("into the ledger", lambda: ledger.take_in(takings, "benchmark"))
            clock.time("publish: code, lives and all estimates", lambda: publish_anew(ledger, Settings()))
    finally:
        building.make_estimates = estimate
    return clock


def _plain(file: Path) -> pl.DataFrame:
    return pl.read_csv(file, infer_schema=False, truncate_ragged_lines=True, ignore_errors=True)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description="Time the whole way from records to verdicts.")
    for name, usual in (("--boats", 400), ("--seasons", 6), ("--seed", 77)):
        parser.add_argument(name, type=int, default=usual)
    wish = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        steps = run(Path(folder), wish.boats, wish.seasons, wish.seed).steps
    for step, (wall, processor) in steps.items():
        print(f"{step:45s} {wall:8.2f} s wall {processor:8.2f} s processor")
    parts = ("read and check", "into the ledger", "publish: code, lives and all estimates")
    wall, processor = (sum(steps[part][place] for part in parts) for place in (0, 1))
    baseline = steps["baseline: read the CSV files as text"][1]
    print(f"{'whole way':45s} {wall:8.2f} s wall {processor:8.2f} s processor, {processor / baseline:.0f} times the baseline")


if __name__ == "__main__":
    main()
