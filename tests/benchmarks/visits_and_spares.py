"""Time of laying a large fleet's jobs onto visits and of its spare boats by month.

    python -m tests.benchmarks.visits_and_spares --boats 400 --seasons 6 --seed 77

In: a size and a seed. Out: seconds of the processor for both, and what they came to; the visits are made once a publication, spare boats
when they are asked for.
"""

import argparse
import tempfile
import time
from pathlib import Path

from pipelines.advice.visit_plan import Manner
from pipelines.advice.visit_rows import together, visit_rows
from pipelines.flow import copies, estimating, taking
from pipelines.flow.building import FURTHER_DAYS, VISITS_WITHIN_DAYS
from pipelines.flow.spare_boats import spare_boats
from pipelines.flow.visits import visits
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings
from sample_fleet.make import make_fleet


def run(folder: Path, boats: int, seasons: int, seed: int) -> list[tuple[str, float, str]]:
    """Make a fleet, take it in, and time each step: name, seconds of the processor, what came of it."""
    make_fleet(folder / "records", boats, seasons, seed)
    ledger, settings = folder / "fleet.duckdb", Settings()
    taking.take_in(ledger, taking.Wish((folder / "records",), by="benchmark"), settings)
    with copies.current_copy(ledger, settings) as copy:
        matter = estimating.matter_of(copy, Scope())
        wide, believed = estimating.told_apart(matter, settings)
        tasks = estimating.tasks_of(believed, wide)
        start = time.process_time()
        jobs = estimating.visit_jobs_of(believed, wide, tasks, VISITS_WITHIN_DAYS + FURTHER_DAYS, Manner(settings.put_back))
        laid = time.process_time()
        rows, sums = visit_rows(jobs), together(jobs)
        told = time.process_time()
        visits(copy, Scope(), settings, 14)
        asked = time.process_time()
        spares = spare_boats(copy, Scope(), settings).rows
        done = time.process_time()
    came = f"{jobs.height:,} jobs on {rows.height:,} visits in place of {sums['own_days']:,}; {sums['saving']:,.0f} saved"
    return [
        ("lay jobs onto visits", laid - start, came),
        ("visits in rows", told - laid, ""),
        ("visits of the next 14 days, as a page asks", asked - told, ""),
        ("spare boats of twelve months", done - asked, f"{spares.height:,} rows"),
    ]


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description="Time visits and spare boats of a large fleet.")
    for name, usual in (("--boats", 400), ("--seasons", 6), ("--seed", 77)):
        parser.add_argument(name, type=int, default=usual)
    wish = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        for step, seconds, came in run(Path(folder), wish.boats, wish.seasons, wish.seed):
            print(f"{step:45s} {seconds:8.2f} s of processor  {came}")


if __name__ == "__main__":
    main()
