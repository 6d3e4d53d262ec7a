"""Foretell the last seasons of generated fleets from the seasons before, and mark the forecasts.

    python -m tests.whole.forecast_study --boats 100 --seasons 6 --marked 2 --seeds 901 902 903 904 905 906

In: sizes and seeds. Out: coverage of the 90 % ranges by part and base, of all and of those with 5 or more expected; coverage of whole
seasons; bias of fleet sums; log score beside that of a plain count.
"""

import argparse
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from pipelines.advice.forecast import FAILURES, fleet_total
from pipelines.advice.marks import Mark, calibration, coverage, log_score, mark
from pipelines.flow import copies, taking
from pipelines.flow.backtesting import marked_of, seasons_to_mark
from pipelines.flow.foretelling import foretold
from pipelines.ledger.reading import Published
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings
from sample_fleet.make import make_fleet


@dataclass(frozen=True)
class Studied:
    """Marks by part and base, and those of whole seasons: expected, low, high, actual."""

    marks: list[Mark]
    sums: list[Mark]

    def __str__(self) -> str:
        """Return the lines of a table."""
        held, sums, scores = coverage(self.marks), coverage(self.sums), log_score(self.marks)
        many = "none" if held["many_covered"] is None else f"{held['many_covered']:.3f} of {held['many_rows']}"
        shares = " ".join(f"{each['share']:.2f}" for each in calibration(self.marks))
        return (
            f"{held['rows']} parts and bases, {sum(one.actual for one in self.marks)} failures\n"
            f"90 % ranges hold {held['covered']:.3f}, upper ends {held['upper']:.3f}, randomised {held['randomised']:.3f}; "
            f"5 or more expected: {many}\n"
            f"tenths: {shares}\n"
            f"whole seasons: {sums['rows']}, ranges hold {sums['covered']:.3f}, bias of their sum {sums['bias']:+.3f}\n"
            f"log score {scores['forecast']:.3f}, plain count {scores['naive']:.3f}"
        )


def run(boats: int, seasons: int, marked: int, seeds: Sequence[int]) -> Studied:
    """Make the fleets, take them in and mark the last seasons of each."""
    studied = Studied([], [])
    for seed in seeds:
        with tempfile.TemporaryDirectory() as folder:
            records, ledger = Path(folder) / "records", Path(folder) / "fleet.duckdb"
            make_fleet(records, boats, seasons, seed)
            taking.take_in(ledger, taking.Wish((records,)), Settings())
            with copies.current_copy(ledger, Settings()) as copy:
                here = study(copy, marked)
        studied = Studied([*studied.marks, *here.marks], [*studied.sums, *here.sums])
        print(f"seed {seed}\n{here}", flush=True)
    return studied


def study(copy: Published, marked: int) -> Studied:
    """Mark the last so many seasons of one fleet."""
    lives = copy.frame("select * from derived.lives")
    marks, sums = [], []
    for season, until in seasons_to_mark(copy, Scope(), Settings())[-marked:]:
        told = foretold(copy, season, until, Scope(), Settings())
        here = [one.mark for one in marked_of(told, lives) if one.sort == FAILURES]
        total = fleet_total([one for one in told.forecasts if one.sort == FAILURES])
        marks += here
        sums.append(mark(total, total, sum(one.actual for one in here)))
    return Studied(marks, sums)


def main() -> None:
    """Print the marks."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--boats", type=int, default=100)
    asked.add_argument("--seasons", type=int, default=6)
    asked.add_argument("--marked", type=int, default=2)
    asked.add_argument("--seeds", type=int, nargs="+", default=[901, 902, 903, 904, 905, 906])
    words = asked.parse_args()
    print(f"all\n{run(words.boats, words.seasons, words.marked, words.seeds)}")


if __name__ == "__main__":
    main()
