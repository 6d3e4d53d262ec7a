"""Damaged pages and full disks, as the command tells them: what is lost, and the way out."""

import os
import resource
import subprocess
import sys
from pathlib import Path

import pytest

from pipelines.command.main import main
from pipelines.ledger import lock
from pipelines.ledger.beside import Beside
from tests.support.small_fleet import ask, refuse

PAGE = 4096
HEADERS = 3 * PAGE


def spoil(file: Path, share: float, pages: int = 40) -> None:
    """Turn some bytes of a file over, from a share of its length on, one in each page."""
    content = bytearray(file.read_bytes())
    first = max(HEADERS + 8, int(len(content) * share))
    for place in range(first, min(len(content), first + pages * PAGE), PAGE):
        content[place] ^= 0xFF
    file.chmod(0o644)
    file.write_bytes(content)


def counts(capsys, ledger: Path) -> list[tuple[str, int]]:
    return [(row["group"], row["events"]) for row in ask(capsys, "rates", "--ledger", ledger)["rows"]]


@pytest.mark.parametrize("share", [0.0, 0.5, 0.9])
def test_a_damaged_copy_is_made_anew_from_the_ledger_and_answers(own_ledger, capsys, share):
    before = counts(capsys, own_ledger)
    copy = Beside.of(own_ledger).target()
    assert copy is not None
    spoil(copy, share)
    assert counts(capsys, own_ledger) == before


@pytest.mark.parametrize("share", [0.2, 0.6])
def test_a_damaged_ledger_is_told_once_it_is_met_with_the_way_out(own_ledger, tmp_path, capsys, share):
    assert main(["backup", str(tmp_path / "kept.duckdb"), "--ledger", str(own_ledger)]) == 0
    before = ask(capsys, "records", "--ledger", own_ledger)["rows"]
    spoil(own_ledger, share, pages=10_000)
    said = refuse(capsys, 3, "backup", tmp_path / "again.duckdb", "--ledger", own_ledger)
    assert f"towless restore BACKUP --ledger {own_ledger}" in said
    assert "Without a backup, take your files in again" in said
    assert main(["restore", str(tmp_path / "kept.duckdb"), "--ledger", str(own_ledger)]) == 0
    capsys.readouterr()
    assert ask(capsys, "records", "--ledger", own_ledger)["rows"] == before


def test_a_damaged_backup_is_told_without_sending_a_person_back_to_it(own_ledger, tmp_path, capsys):
    kept = tmp_path / "kept.duckdb"
    assert main(["backup", str(kept), "--ledger", str(own_ledger)]) == 0
    capsys.readouterr()
    spoil(kept, 0.3, pages=10_000)
    said = refuse(capsys, 3, "restore", kept, "--ledger", own_ledger)
    assert "kept.duckdb: not a sound copy of a ledger" in said
    assert "the ledger stands as it was. Name another copy. If none is sound, take your files in again" in said


def test_a_damaged_copy_of_a_ledger_that_is_gone_is_told(own_ledger, capsys):
    copy = Beside.of(own_ledger).target()
    assert copy is not None
    spoil(copy, 0.0)
    own_ledger.unlink()
    assert "the ledger it was made from is gone" in refuse(capsys, 3, "rates", "--ledger", own_ledger)
    assert not own_ledger.exists()


def test_a_full_disk_changes_nothing_and_is_told(own_ledger, tmp_path, capsys):
    boats = tmp_path / "boats.csv"
    boats.write_text("vessel_id,name\n" + "".join(f"F{number},{os.urandom(12).hex()}\n" for number in range(30_000)))
    before = ask(capsys, "records", "--ledger", own_ledger)["rows"]
    said = _with_files_up_to(200_000, ["intake", boats, "--ledger", own_ledger])
    assert said.returncode == 3, said.stderr
    assert "the disk is full" in said.stderr
    assert "Traceback" not in said.stderr
    assert ask(capsys, "records", "--ledger", own_ledger)["rows"] == before


def _with_files_up_to(size: int, words: list) -> subprocess.CompletedProcess[str]:
    """Run the command where no file may grow past a size, which is what a full disk comes to."""

    def bound() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))

    command = [sys.executable, "-m", "pipelines.command.main", *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, preexec_fn=bound, check=False)


@pytest.mark.parametrize(
    "words",
    [
        ["intake", "--undo", "1", "--taken-in-by", "Yard office"],
        ["intervals", "--adopt", "drive belt", "--every-h", "400", "--adopted-by", "Yard office", "--because", "Winter review"],
        ["records", "--settle", "component", "thingummy", "drive belt", "--by", "Yard office"],
    ],
    ids=["undo", "adopt", "settle"],
)
def test_a_disk_that_fills_up_in_any_change_leaves_the_ledger_before_or_after_and_says_so(words, own_ledger, capsys):
    before = accounted(capsys, own_ledger)
    said = _with_files_up_to(300_000, [*words, "--ledger", own_ledger])
    assert "Traceback" not in said.stderr
    assert said.returncode in (0, 3), said.stderr
    assert said.returncode == 0 or "disk is full" in said.stderr
    now = accounted(capsys, own_ledger)
    assert now == before or now["version"] == before["version"] + 1
    assert all(row["rows_in"] == row["accepted"] + row["repeated"] + row["superseded"] + row["left_out"] for row in now["rows"])


def test_a_disk_that_is_full_makes_no_backup_and_brings_none_back(own_ledger, tmp_path, capsys):
    kept = tmp_path / "kept.duckdb"
    assert main(["backup", str(kept), "--ledger", str(own_ledger)]) == 0
    before = accounted(capsys, own_ledger)
    for words in (["backup", tmp_path / "second.duckdb"], ["restore", kept]):
        said = _with_files_up_to(300_000, [*words, "--ledger", own_ledger])
        assert said.returncode == 3, said.stderr
        assert "Traceback" not in said.stderr
        assert accounted(capsys, own_ledger)["rows"] == before["rows"]
    assert not (tmp_path / "second.duckdb").exists()


def test_the_one_who_comes_second_is_told_who_is_writing_and_changes_nothing(own_ledger, tmp_path, capsys):
    boats = tmp_path / "boats.csv"
    boats.write_text("vessel_id,name\nF1,Late\n")
    before = accounted(capsys, own_ledger)
    with lock.held(Beside.of(own_ledger).lock, "intake", 0):
        said = refuse(capsys, 3, "intake", boats, "--ledger", own_ledger)
    assert "intake" in said
    assert str(os.getpid()) in said
    assert accounted(capsys, own_ledger) == before


def accounted(capsys, ledger: Path) -> dict:
    told = ask(capsys, "records", "--ledger", ledger)
    return {"version": told["ledger_version"], "rows": told["rows"]}
