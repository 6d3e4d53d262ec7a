"""Another process that writes to a ledger, for tests of what happens beside it: `python -m tests.support.writers VERB LEDGER ...`.

It says `ready` when the clock may start and `done` when it has published. Verbs: `hold` (keeps the ledger open until its input closes),
`intake ROWS`, `undo IMPORT`, `restore BACKUP`.
"""

import subprocess
import sys
from pathlib import Path

from pipelines.ledger.backup import restore
from pipelines.ledger.publishing import publish
from pipelines.ledger.writing import open_for_writing
from tests.support.ledgers import boats, uncoded

ROOT = Path(__file__).parents[2]


def start(verb: str, ledger: Path, *more: object) -> subprocess.Popen[str]:
    """Start the process and wait until it is ready."""
    command = [sys.executable, "-m", "tests.support.writers", verb, str(ledger), *map(str, more)]
    process = subprocess.Popen(command, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    assert process.stdout.readline() == "ready\n"
    return process


def finish(process: subprocess.Popen[str]) -> None:
    """Close its input, wait for its end and let its pipes go."""
    process.communicate()


def many_boats(rows: int) -> list[str]:
    """Boats of the second season: half of them new, half of them corrections."""
    return [f"W{number}=name {number} again" for number in range(rows // 2, rows + rows // 2)]


def _main(verb: str, ledger: Path, more: list[str]) -> None:
    takings = [boats(*many_boats(int(more[0])), faulty=3, sha256="second")] if verb == "intake" else []
    if verb != "hold":
        print("ready", flush=True)
    if verb == "restore":
        restore(more[0], ledger)
    with open_for_writing(ledger, verb) as opened:
        if verb == "hold":
            print("ready", flush=True)
            sys.stdin.read()
        elif verb == "intake":
            opened.take_in(takings, "A. Tester")
        elif verb == "undo":
            opened.undo(int(more[0]), "A. Tester")
        publish(opened, uncoded)
    print("done", flush=True)


if __name__ == "__main__":
    _main(sys.argv[1], Path(sys.argv[2]), sys.argv[3:])
