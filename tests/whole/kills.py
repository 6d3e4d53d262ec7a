"""How often a ledger is found between before and after when the process that changes it is killed: never, it should be.

A real process is started for each change, given a random time and killed with SIGKILL, as a power cut would end it. Then the ledger and
its readers are held to `check_whole`. Run: python -m tests.whole.kills --kills 1000 --seed 1
"""

import argparse
import logging
import multiprocessing
import random
import shutil
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path

from pipelines.ledger.content import Content
from tests.support.killing import CHANGES, check_whole, content, ledger_in

PROCESSES = multiprocessing.get_context("forkserver")
PROCESSES.set_forkserver_preload(["tests.support.killing"])


@dataclass(frozen=True)
class Rehearsed:
    """A change made once without a kill: its folder before, how long it takes in seconds, what the ledger holds before and after."""

    name: str
    folder: Path
    seconds: float
    before: Content
    after: Content


def rehearse(name: str, folder: Path) -> Rehearsed:
    """Prepare a change in a folder and make it once in a copy of it."""
    untouched, tried = folder / "untouched", folder / "tried"
    untouched.mkdir(parents=True)
    CHANGES[name].prepare(untouched)
    before = content(ledger_in(untouched))
    shutil.copytree(untouched, tried, symlinks=True)
    process, began = started(name, tried)
    process.join()
    seconds = time.perf_counter() - began
    assert process.exitcode == 0
    return Rehearsed(name, untouched, seconds, before, content(ledger_in(tried)))


def started(name: str, folder: Path) -> tuple[BaseProcess, float]:
    """Start a process that makes a change; return it and the moment it began."""
    listening, telling = PROCESSES.Pipe(duplex=False)
    process = PROCESSES.Process(target=_act, args=(name, folder, telling))
    process.start()
    listening.recv()
    return process, time.perf_counter()


def kill_once(change: Rehearsed, folder: Path, chance: random.Random) -> tuple[str, ...]:
    """Make a change, kill it at a random moment, check what is left; return what was found, in words."""
    shutil.copytree(change.folder, folder, symlinks=True)
    process, _ = started(change.name, folder)
    time.sleep(chance.uniform(0, 1.1 * change.seconds))
    process.kill()
    process.join()
    found = content(ledger_in(folder))
    owed = check_whole(folder, (change.before, change.after))
    shutil.rmtree(folder)
    stood = "same before and after" if change.before == change.after else "before" if found == change.before else "after"
    return (stood, *(["readers owed"] if owed else []), *(["cut off"] if process.exitcode else ["had ended"]))


def kills(times: int, seed: int, folder: Path) -> Iterator[tuple[str, Counter[str]]]:
    """Kill so many times in all, spread over every change, each at its own random moment; yield what was found by change."""
    chance = random.Random(seed)
    for place, name in enumerate(CHANGES):
        change = rehearse(name, folder / name)
        share = times // len(CHANGES) + (place < times % len(CHANGES))
        found: Counter[str] = Counter(kills=share)
        for number in range(share):
            found.update(kill_once(change, folder / name / f"killed {number}", chance))
        yield name, found


def _act(name: str, folder: Path, telling: Connection) -> None:
    telling.send("ready")
    CHANGES[name].act(folder)


def main() -> None:
    """Kill as often as asked and print what was found."""
    logging.getLogger("towless").setLevel(logging.ERROR)
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("--kills", type=int, default=1000)
    words.add_argument("--seed", type=int, default=1)
    asked = words.parse_args()
    total: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        for name, found in kills(asked.kills, asked.seed, Path(folder)):
            print(f"{name}: {', '.join(f'{number} {what}' for what, number in found.items())}", flush=True)
            total += found
    print(f"{total['kills']:,} kills, {total['cut off']:,} of them before the end; none left a ledger between before and after.")


if __name__ == "__main__":
    main()
