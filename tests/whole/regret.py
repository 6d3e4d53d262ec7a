"""Make fleets with planted truths, let towless advise on their records, and say what the advice costs over the best.

    python -m tests.whole.regret --boats 400 --seasons 6 --seeds 101 102 [--clean] [--keep DIR]

In: sizes and seeds. Out: a table a fleet and mean regrets on standard output. The command line is used as a yard would use it.
Elsewhere: scoring (`regret_score`), true costs (`regret_cost`).
"""

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from sample_fleet.make import make_fleet
from sample_fleet.truths import Curve, Pattern
from tests.whole.regret_score import PartScore, mean_regret, score


@dataclass(frozen=True)
class Scored:
    """One fleet, scored."""

    seed: int
    scores: list[PartScore]
    made_s: float
    intake_s: float
    intervals_s: float


def towless(*arguments: str) -> str:
    """Run the command and return what it printed; an exit code other than 0 ends the run with its message."""
    beside = Path(sys.executable).with_name("towless")
    command = str(beside) if beside.exists() else shutil.which("towless") or "towless"
    done = subprocess.run([command, *arguments], capture_output=True, text=True, check=False, env=os.environ | {"PYTHONWARNINGS": ""})
    if done.returncode:
        raise SystemExit(f"towless {' '.join(arguments)} ended with {done.returncode}: {done.stderr.strip()}")
    return done.stdout


def advise(records: Path, ledger: Path) -> tuple[list[dict[str, Any]], float, float]:
    """Take records in and return the rows of the intervals, and the seconds each took."""
    began = time.perf_counter()
    towless("intake", str(records), "--ledger", str(ledger))
    taken = time.perf_counter()
    rows = json.loads(towless("intervals", "--ledger", str(ledger), "--format", "json"))["rows"]
    return rows, taken - began, time.perf_counter() - taken


def run(boats: int, seasons: int, seed: int, folder: Path, *, mess: bool) -> Scored:
    """Make one fleet in a folder, have it advised and score the advice."""
    began = time.perf_counter()
    truth = make_fleet(folder / "records", boats, seasons, seed, mess)
    made = time.perf_counter() - began
    rows, intake_s, intervals_s = advise(folder / "records", folder / "fleet.duckdb")
    (folder / "intervals.json").write_text(json.dumps(rows, indent=1), encoding="utf-8")
    return Scored(seed, score(truth, rows), made, intake_s, intervals_s)


def _shape(curve: Curve | None) -> str:
    return f"{curve.shape:.1f}" if curve else ""


def table(scored: Scored) -> str:
    """Return the scores of one fleet as a table, and its means."""
    lines = [f"seed {scored.seed}: made {scored.made_s:.1f} s, intake {scored.intake_s:.1f} s, intervals {scored.intervals_s:.1f} s"]
    head = f"{'part':30} {'truth':12} {'shape':8} {'fail':>5} {'verdict':32} {'advice':>16} {'best':>16} {'regret':>7} {'habit':>7}"
    lines += [head]
    for each in scored.scores:
        shapes = "/".join(filter(None, (_shape(each.part.hours), _shape(each.part.months))))
        what = f"{each.part.component:30} {each.part.pattern.value:12} {shapes:8} {each.failures:5} {each.verdict[:32]:32}"
        lines.append(f"{what} {each.advice:>16} {each.best:>16} {each.regret:7.3f} {each.habit:7.3f}")
    return "\n".join([*lines, means(scored.scores)])


def means(scores: Sequence[PartScore]) -> str:
    """Return the mean regrets, and counts of what should not be."""
    by_pattern = ", ".join(f"{pattern.value} {mean_regret(scores, pattern):.3f}" for pattern in Pattern)
    random = [each for each in scores if each.part.pattern is Pattern.RANDOM]
    return (
        f"mean regret {mean_regret(scores):.3f} over {len(scores)} parts ({by_pattern}); "
        f"of today's plans {np.mean([each.habit for each in scores]):.3f}; "
        f"random parts told to renew {sum(each.needless for each in random)} of {len(random)}; "
        f"parts without a row {sum(not each.answered for each in scores)}; "
        f"positions advised past a ceiling {sum(each.passes_ceiling for each in scores)}"
    )


def main(arguments: list[str] | None = None) -> int:
    """Score fleets from the command line."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.whole.regret",
        description=(__doc__ or "").splitlines()[0],
        epilog="Try it:  python -m tests.whole.regret --boats 100 --seeds 101 102",
    )
    parser.add_argument("--boats", type=int, default=400)
    parser.add_argument("--seasons", type=int, default=6)
    parser.add_argument("--seeds", type=int, nargs="+", default=[101])
    parser.add_argument("--clean", action="store_true", help="records without the mess")
    parser.add_argument("--keep", type=Path, help="folder to keep records, ledger and answer in, one folder a seed")
    given = parser.parse_args(arguments)
    fleets = []
    for seed in given.seeds:
        with tempfile.TemporaryDirectory() as passing:
            folder = given.keep / str(seed) if given.keep else Path(passing)
            folder.mkdir(parents=True, exist_ok=True)
            fleets.append(run(given.boats, given.seasons, seed, folder, mess=not given.clean))
        print(table(fleets[-1]), flush=True)
    if len(fleets) > 1:
        print(f"all {len(fleets)} fleets: {means([each for fleet in fleets for each in fleet.scores])}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
