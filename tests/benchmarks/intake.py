"""Intake of a large file of service tickets, as a ratio to a bare typed load of the same file by DuckDB.

    python -m tests.benchmarks.intake                     # 1 million lines
    python -m tests.benchmarks.intake --lines 10000000

In: how many lines, and a seed. Out: seconds of the processor and on the wall, peak memory and size on disk of both, each in a process of
its own; the same file again; words coded. The bare load knows the types and the dialect, checks nothing and keeps no text; intake checks
every cell, keeps each row as it came, hashes, finds equal rows and codes words. One line in a thousand has a fault, and one in five a cell
in quotes. Only CPU ratios hold on a busy machine.
"""

import argparse
import csv
import json
import os
import random
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import duckdb

from pipelines.flow.files_read import How, read_files, written
from pipelines.intake.coding import code_words
from pipelines.intake.mapping import Mapping
from pipelines.ledger.writing import open_for_writing
from pipelines.terms.columns import ColumnType
from pipelines.terms.tables import RECORD_KINDS

TICKETS = RECORD_KINDS["service_tickets"]
COLUMNS = [column for column in TICKETS.columns if column.name not in ("place", "cause", "batch")]
PARTS = (
    "raw-water pump impeller",
    "drive belt",
    "spark plugs",
    "imp.",
    "start battery",
    "anodes",
    "thermostat",
    "cooling hose",
    "impellor",
)
ACTIONS = ("renew", "inspect", "replaced", "R/R", "checked", "clean", "fit")
NOTES = ("", "", "left as found", "belt squeals at idle, see again", "checked after run")


def write_tickets(path: Path, lines: int, seed: int) -> None:
    """Write so many ticket lines, three to a ticket."""
    draw = random.Random(seed)
    days = [f"{year}-{month:02}-{day:02}" for year in range(2014, 2025) for month in range(1, 13) for day in range(1, 29)]
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(column.name for column in COLUMNS)
        for number in range(lines):
            writer.writerow(_line(draw, number, days))


def _line(draw: random.Random, number: int, days: list[str]) -> tuple[object, ...]:
    meter = "n/k hours" if number % 1000 == 500 else f"{draw.random() * 9000:.1f}"
    return (
        f"T{number // 3}", number % 3 + 1, f"E{int(draw.random() * 40_000)}", f"B{int(draw.random() * 30_000)}", draw.choice(days), meter,
        draw.choice(PARTS), "", draw.choice(ACTIONS), draw.choice(("planned", "failed", "condition", "")), draw.choice(("ok", "worn", "")),
        f"{draw.random() * 8:.1f}", f"{draw.random() * 900:.2f}", int(draw.random() * 90), draw.choice(("yard", "crew")),
        draw.choice(("yes", "no", "")), draw.choice(NOTES),
    )  # fmt: skip


def bare(file: Path, ledger: Path) -> None:
    """Load the file as a table of its types and no more; cells that do not fit leave their rows out."""
    types = {column.name: column.type.value if column.type is not ColumnType.TEXT else "VARCHAR" for column in COLUMNS}
    with duckdb.connect(str(ledger)) as connection:
        read = f"read_csv('{file}', columns = {types}, delim = ',', quote = '\"', escape = '\"', header = true, auto_detect = false"
        connection.execute(f"create table tickets as select * from {read}, ignore_errors = true)")


def whole(file: Path, ledger: Path) -> None:
    """Take the file in, and code its words."""
    how = How(Mapping())
    with open_for_writing(ledger, "benchmark") as opened:
        read, known = read_files([file], opened, "", how)
        told = written(read, lambda takings: opened.take_in(takings, "benchmark", known=known), how)
        words = {column.coded_as: _distinct(opened, column.name) for column in COLUMNS if column.coded_as}
        coded = sum(code_words(code_list, found).height for code_list, found in words.items())
    print(told.total, f"{coded} words coded", file=sys.stderr)


def _distinct(opened, name: str) -> list[str]:
    return opened.frame(f"select distinct {name} as word from held.{TICKETS.name} where {name} is not null")["word"].to_list()


WAYS: dict[str, Callable[[Path, Path], None]] = {"bare": bare, "whole": whole}


def timed(way: str, file: Path, ledger: Path) -> dict[str, float]:
    """Run one way in a process of its own and return what it cost."""
    command = [sys.executable, "-m", "tests.benchmarks.intake", "--way", way, "--file", str(file), "--ledger", str(ledger)]
    return json.loads(subprocess.run(command, check=True, stdout=subprocess.PIPE).stdout)


def _run_here(way: str, file: Path, ledger: Path) -> None:
    wall, processor = time.perf_counter(), time.process_time()
    WAYS[way](file, ledger)
    cost = {"wall": time.perf_counter() - wall, "processor": time.process_time() - processor}
    print(json.dumps({**cost, "peak": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6, "size": os.path.getsize(ledger) / 1e6}))


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description="Time the intake of a large file.")
    parser.add_argument("--lines", type=int, default=1_000_000)
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--way", choices=WAYS)
    parser.add_argument("--file", type=Path)
    parser.add_argument("--ledger", type=Path)
    wish = parser.parse_args()
    if wish.way:
        _run_here(wish.way, wish.file, wish.ledger)
        return
    with tempfile.TemporaryDirectory() as folder:
        file = wish.file or Path(folder) / "tickets.csv"
        if not file.exists():
            write_tickets(file, wish.lines, wish.seed)
        plain = timed("bare", file, Path(folder) / "bare.duckdb")
        ours = timed("whole", file, Path(folder) / "fleet.duckdb")
        again = timed("whole", file, Path(folder) / "fleet.duckdb")
    print(f"{wish.lines:,} lines")
    for name, cost in (("bare typed load", plain), ("intake", ours), ("the same file again", again)):
        times = f"{cost['processor']:7.2f} s processor {cost['wall']:7.2f} s wall"
        print(f"{name:22s} {times} {cost['peak']:5.2f} GB {cost['size']:7.0f} MB on disk")
    print(f"ratio of processor {ours['processor'] / plain['processor']:.2f}")


if __name__ == "__main__":
    main()
