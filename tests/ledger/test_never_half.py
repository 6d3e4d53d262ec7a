"""A power cut at any moment: a real process is killed, and the ledger is as it was before or after, never between."""

import random
import shutil
import time
from functools import cache
from pathlib import Path

import pytest

from pipelines.ledger.backup import backup
from pipelines.ledger.beside import Beside
from pipelines.ledger.publishing import publish
from pipelines.ledger.reading import is_owed, open_published
from pipelines.ledger.writing import open_for_writing
from tests.support import writers
from tests.support.ledgers import boats, ledger_of, uncoded

pytestmark = pytest.mark.slow

ROWS = 8_000
FIRST = [f"W{number}=name {number}" for number in range(ROWS)]
KILLS = {"intake": 25, "undo": 10, "restore": 10}
BEFORE = {
    "intake": (ROWS, ROWS, 0, 0, 0),
    "undo": (2 * ROWS + 3, 3 * ROWS // 2, 0, ROWS // 2, 3),
    "restore": (2 * ROWS + 3, 3 * ROWS // 2, 0, ROWS // 2, 3),
}
AFTER = {"intake": BEFORE["undo"], "undo": BEFORE["intake"], "restore": BEFORE["intake"]}
"""Rows in, accepted, repeated, superseded, left out, before and after each verb."""


def made(folder: Path, verb: str) -> list[object]:
    """Make the ledger that `verb` works on, and return what else the verb needs."""
    path = ledger_of(folder / "fleet.duckdb", boats(*FIRST, sha256="first"))
    if verb == "intake":
        return [ROWS]
    backup(path, folder / "kept.duckdb")
    ledger_of(path, boats(*writers.many_boats(ROWS), faulty=3, sha256="second"))
    return [2] if verb == "undo" else [folder / "kept.duckdb"]


def seconds_of(folder: Path, verb: str, more: list[object]) -> float:
    process = writers.start(verb, folder / "fleet.duckdb", *more)
    began = time.perf_counter()
    writers.finish(process)
    assert process.returncode == 0
    return time.perf_counter() - began


def counts(path: Path) -> tuple[int, ...]:
    with open_for_writing(path, "test") as ledger:
        return ledger.reconciliation().row(0)[1:]


@pytest.fixture(scope="module")
def prepared(tmp_path_factory):
    """Return a function: for a verb its untouched folder, what else it needs and how long it takes when nothing goes wrong."""

    @cache
    def prepare(verb: str) -> tuple[Path, list[object], float]:
        folder = tmp_path_factory.mktemp(verb)
        (folder / "untouched").mkdir()
        more = made(folder / "untouched", verb)
        rehearsal = shutil.copytree(folder / "untouched", folder / "rehearsal", symlinks=True)
        return folder / "untouched", more, seconds_of(rehearsal, verb, more)

    return prepare


@pytest.mark.parametrize(("verb", "kill"), [(verb, kill) for verb, kills in KILLS.items() for kill in range(kills)])
def test_a_kill_at_any_moment_leaves_the_ledger_before_or_after(verb, kill, prepared, tmp_path):
    untouched, more, seconds = prepared(verb)
    folder = shutil.copytree(untouched, tmp_path / "fleet", symlinks=True)
    path = folder / "fleet.duckdb"
    process = writers.start(verb, path, *more)
    time.sleep(random.Random(f"{verb} {kill}").uniform(0, 1.1 * seconds))
    process.kill()
    writers.finish(process)
    check(path, verb)


def check(path: Path, verb: str) -> None:
    with open_published(path) as copy:
        accepted = copy.frame("select count(*) from accepted.vessels").item()
        assert accepted == copy.frame("select accepted from about.reconciliation").item()
        assert accepted in (BEFORE[verb][1], AFTER[verb][1])
    found = counts(path)
    assert found in (BEFORE[verb], AFTER[verb])
    assert found[0] == sum(found[1:])
    assert accepted == found[1] or is_owed(path)
    finish_what_is_owed(path, found)


def finish_what_is_owed(path: Path, found: tuple[int, ...]) -> None:
    with open_for_writing(path, "records") as ledger:
        publish(ledger, uncoded)
        version = ledger.version
    assert not is_owed(path)
    assert Beside.of(path).leftovers() == []
    with open_published(path) as copy:
        assert copy.version == version
        assert copy.frame("select count(*) from accepted.vessels").item() == found[1]
