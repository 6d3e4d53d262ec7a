"""Rank the causes of the last season's calls from what was known before them, and mark the ranking against the plain shares.

    python -m tests.whole.likely_held_back --boats 100 --seasons 6 --seeds 31 32

In: sizes and seeds. Out: log score (higher is better) and top-three hit rate of `towless likely` and of the fleet's plain cause shares for
that symptom, over calls whose cause came to light. Both know the same calls and the same prior; calls and part ages stand as on the first
of the call's month, laws of the parts as on the first day of the season.
"""

import argparse
import math
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import polars as pl

from pipelines.advice.likely import NOT_TOLD, Situation, likely_causes, symptom_shares
from pipelines.flow import copies, estimating, taking
from pipelines.flow.sources import known_day
from pipelines.ledger.reading import Published
from pipelines.lives.lives import derive
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings
from sample_fleet.make import make_fleet

TOP = 3


@dataclass(frozen=True)
class Mark:
    """One held-back call: chance given to what it was, and whether that stood among the first three, ours and the plain shares'."""

    ours: float
    plain: float
    ours_hit: bool
    plain_hit: bool


@dataclass(frozen=True)
class Marked:
    """Means over the calls."""

    calls: int
    log_score: float
    plain_log_score: float
    hits: float
    plain_hits: float

    def __str__(self) -> str:
        """Return the two lines of a table."""
        return (
            f"{self.calls} calls held back\n"
            f"likely       log score {self.log_score:.3f}, top three {self.hits:.3f}\n"
            f"plain shares log score {self.plain_log_score:.3f}, top three {self.plain_hits:.3f}"
        )


def run(boats: int, seasons: int, seeds: Sequence[int]) -> Marked:
    """Make the fleets, take them in and mark the calls of each one's last season."""
    marks: list[Mark] = []
    for seed in seeds:
        with tempfile.TemporaryDirectory() as folder:
            records, ledger = Path(folder) / "records", Path(folder) / "fleet.duckdb"
            make_fleet(records, boats, seasons, seed)
            taking.take_in(ledger, taking.Wish((records,)), Settings())
            with copies.current_copy(ledger, Settings()) as copy:
                marks += marks_of(copy, Settings())
    return summary(marks)


def summary(marks: Sequence[Mark]) -> Marked:
    """Average the marks."""
    count = len(marks)
    ours, plain = (sum(math.log(getattr(mark, name)) for mark in marks) / count for name in ("ours", "plain"))
    hits, plain_hits = (sum(getattr(mark, name) for mark in marks) / count for name in ("ours_hit", "plain_hit"))
    return Marked(count, ours, plain, hits, plain_hits)


def marks_of(copy: Published, settings: Settings) -> Iterator[Mark]:
    """Mark every call of the last calendar year whose cause came to light."""
    calls = copy.frame("select * from derived.calls")
    watched = copy.frame("select vessel_id, month, days, vessel_class, base from derived.engine_months")
    season = date(known_day(copy).year, 1, 1)
    believed = None
    for month in calls.filter(pl.col("called_on") >= season)["month"].unique().sort():
        with copy.as_known_on(month) as bench:
            derive(bench, month, settings)
            matter = estimating.matter_of(bench, Scope())
            wide, fresh = estimating.told_apart(matter, settings) if believed is None else (matter.with_candidates()[0], believed)
            believed = fresh
            chances = estimating.chances_of(believed, wide)
        before = calls.filter(pl.col("called_on") < month)
        told = calls.filter(pl.col("month") == month, ~pl.col("cause").is_in(list(NOT_TOLD)))
        for call in told.iter_rows(named=True):
            yield _mark(call, before, watched.filter(pl.col("month") < month), chances)


def _mark(call: dict, before: pl.DataFrame, watched: pl.DataFrame, chances: pl.DataFrame) -> Mark:
    situation = Situation(call["vessel_id"], call["vessel_class"], call["base"], call["symptom"], call["called_on"])
    ranked = likely_causes(situation, before, watched, chances, hardly=0.0)
    known = {one.cause: one.probability for one in ranked if one.cause != "unknown"}
    total = sum(known.values())
    same = before.filter((pl.col("symptom") == call["symptom"]) & ~pl.col("cause").is_in(list(NOT_TOLD)))
    plain = symptom_shares(same["cause"].to_list(), call["symptom"])
    floor = 1e-4
    first, plain_first = (sorted(chance, key=lambda cause: -chance[cause])[:TOP] for chance in (known, plain))
    cause = call["cause"]
    ours = max(known.get(cause, 0.0) / total, floor)
    return Mark(ours, max(plain.get(cause, 0.0), floor), cause in first, cause in plain_first)


def main() -> None:
    """Print the marks."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--boats", type=int, default=100)
    asked.add_argument("--seasons", type=int, default=6)
    asked.add_argument("--seeds", type=int, nargs="+", default=[31, 32])
    words = asked.parse_args()
    print(run(words.boats, words.seasons, words.seeds))


if __name__ == "__main__":
    main()
