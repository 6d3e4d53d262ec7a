"""Any file, however damaged, is read or refused by name: no traceback, no hang, nothing written.

Every file of `files/` is damaged at random, seeded; `python -m tests.intake.test_damaged_files ROUNDS SEED` does so for longer.
"""

import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random

import pytest

from pipelines.errors import TowlessError
from pipelines.intake.mapping import read_mapping
from pipelines.intake.previewing import preview_file
from pipelines.intake.taking import read_file
from tests.intake.conftest import TODAY
from tests.support.damage import damaged

FILES = [file for file in sorted((Path(__file__).parent / "files").iterdir()) if 0 < file.stat().st_size < 200_000]
ENDINGS = sorted({file.suffix for file in FILES})
ROUNDS = 60
LONGEST_S = 10.0
"""Processor time beyond which a file counts as one that hangs."""
MAP = b"""date_order = "day first"
decimal = ","
[columns]
"Boat" = "vessel_id"
[words.component]
"imp." = "raw-water pump impeller"
[file."calls*"]
as = "rescue_calls"
"""


def files_of(ending: str, rounds: int, seed: int, folder: Path) -> Iterator[Path]:
    chance = Random(f"{ending} {seed}")
    for number in range(rounds):
        file = chance.choice([each for each in FILES if each.suffix == ending])
        made = folder / f"{number}-{file.name}"
        made.write_bytes(damaged(file.read_bytes(), chance))
        yield made
        made.unlink()


def is_read(file: Path, read: Callable[[], object]) -> bool:
    """Say whether a file is read; else it is refused on purpose under its name. Anything else comes through."""
    try:
        read()
    except TowlessError as refusal:
        assert file.name in str(refusal), str(refusal)  # noqa: PT017
        return False
    return True


def seconds(file: Path) -> float:
    """Let a file be read or refused, and return the processor time that took."""
    before = time.process_time()
    is_read(file, lambda: read_file(file, today=TODAY))
    return time.process_time() - before


@pytest.mark.parametrize("ending", ENDINGS)
def test_a_damaged_file_is_read_or_refused_in_time_and_nothing_is_written(ending: str, tmp_path: Path):
    for file in files_of(ending, ROUNDS, 1, tmp_path):
        assert seconds(file) < LONGEST_S
        assert [each.name for each in tmp_path.iterdir()] == [file.name]


def test_a_damaged_mapping_is_read_or_refused_by_its_name(tmp_path: Path):
    chance, file, read = Random(2), tmp_path / "mapping.toml", 0
    for _ in range(300):
        file.write_bytes(damaged(MAP, chance))
        read += is_read(file, lambda: read_mapping(file))
    assert 0 < read < 300


def test_a_damaged_file_is_looked_over_or_refused_by_its_name(tmp_path: Path):
    (tmp_path / "kept.toml").write_bytes(MAP)
    mapping = read_mapping(tmp_path / "kept.toml")
    looked_over = [
        is_read(file, lambda file=file: preview_file(file, mapping, today=TODAY)) for file in files_of(".csv", ROUNDS, 3, tmp_path)
    ]
    assert any(looked_over)


def main(rounds: int, seed: int) -> None:
    """Damage so many files of every ending, and say which took longest."""
    with tempfile.TemporaryDirectory() as folder:
        for ending in ENDINGS:
            slowest = max((seconds(file), file.name) for file in files_of(ending, rounds, seed, Path(folder)))
            print(f"{ending}: {rounds} files read or refused, the slowest in {slowest[0]:.2f} s of processor ({slowest[1]})")


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:3]))
