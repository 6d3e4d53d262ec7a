import hashlib
import resource
import shutil
import subprocess
import sys
from pathlib import Path

import duckdb
import pytest

from pipelines.errors import LedgerDamaged, LedgerInUse, LedgerUnavailable, WrongInput
from pipelines.ledger.layout import LAYOUT
from pipelines.ledger.reading import open_published
from pipelines.ledger.writing import open_for_writing
from tests.support import writers
from tests.support.ledgers import boats, ledger_of

BY = "A. Tester"


def bytes_of(folder: Path) -> dict[str, str]:
    """Hash of every file of a folder, by name."""
    return {file.name: hashlib.sha256(file.read_bytes()).hexdigest() for file in folder.iterdir()}


def take(path: Path, *names: str) -> None:
    with open_for_writing(path, "test") as ledger:
        ledger.take_in([boats(*names, sha256="aa")], BY)


def test_a_path_where_nothing_is_gets_a_new_ledger(tmp_path):
    take(tmp_path / "fleet.duckdb", "W1=Wren")
    with open_for_writing(tmp_path / "fleet.duckdb", "test") as ledger:
        assert ledger.version == 1
        assert ledger.reconciliation().row(0) == ("vessels", 1, 1, 0, 0, 0)


def test_a_new_ledger_that_took_nothing_in_leaves_no_file(tmp_path):
    with open_for_writing(tmp_path / "fleet.duckdb", "test") as ledger:
        assert ledger.version == 0
    assert list(tmp_path.iterdir()) == []


def test_a_new_ledger_whose_import_failed_leaves_no_file(tmp_path):
    with pytest.raises(ZeroDivisionError), open_for_writing(tmp_path / "fleet.duckdb", "test"):
        _ = 1 / 0
    assert list(tmp_path.iterdir()) == []


def test_a_new_ledger_stays_when_something_fails_after_the_import(tmp_path):
    def take_and_fail() -> None:
        with open_for_writing(tmp_path / "fleet.duckdb", "test") as ledger:
            ledger.take_in([boats("W1=Wren")], BY)
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        take_and_fail()
    with open_for_writing(tmp_path / "fleet.duckdb", "test") as ledger:
        assert ledger.version == 1


def test_a_new_ledger_beside_copies_of_one_that_is_gone_counts_on_from_them(tmp_path):
    path = ledger_of(tmp_path / "fleet.duckdb", boats("W1=Wren"), boats("W2=Teal"))
    path.unlink()
    with open_for_writing(path, "test") as ledger:
        assert ledger.version == 2


def test_the_same_file_again_leaves_every_byte_as_it_was(tmp_path):
    path = ledger_of(tmp_path / "fleet.duckdb", boats("W1=Wren", "W2=Teal", faulty=1, sha256="aa"))
    before = bytes_of(tmp_path)
    ledger_of(path, boats("W1=Wren", "W2=Teal", faulty=1, sha256="aa"))
    assert bytes_of(tmp_path) == before


def test_a_refused_import_leaves_every_byte_as_it_was(tmp_path):
    path = ledger_of(tmp_path / "fleet.duckdb", boats("W1=Wren"))
    before = bytes_of(tmp_path)
    with pytest.raises(WrongInput), open_for_writing(path, "test") as ledger:
        ledger.undo(9, BY)
    assert bytes_of(tmp_path) == before


@pytest.mark.parametrize("name", ["it's a fleet.duckdb", "derived.duckdb", "received.duckdb", "flåde 2024.db", "select.duckdb", "fleet"])
def test_any_name_will_do_for_a_ledger(tmp_path, name):
    path = ledger_of(tmp_path / name, boats("W1=Wren"))
    with open_for_writing(path, "test") as ledger:
        assert ledger.version == 1


def test_a_folder_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(WrongInput, match="there is no folder"), open_for_writing(tmp_path / "nowhere" / "fleet.duckdb", "test"):
        pass


@pytest.mark.parametrize("content", [b"", b"hello", b"vessel_id,name\nW1,Wren\n" * 5000], ids=["empty", "short", "long"])
def test_a_file_that_is_not_a_ledger_is_refused_and_left_alone(tmp_path, content):
    path = tmp_path / "fleet.duckdb"
    path.write_bytes(content)
    with pytest.raises(LedgerDamaged, match="not a sound towless ledger") as refusal, open_for_writing(path, "test"):
        pass
    assert refusal.value.exit_code == 3
    assert "towless restore BACKUP" in str(refusal.value)
    assert path.read_bytes() == content
    assert [file.name for file in tmp_path.iterdir()] == ["fleet.duckdb"]


def test_another_duckdb_file_is_refused_and_left_alone(tmp_path):
    path = tmp_path / "shop.duckdb"
    with duckdb.connect(str(path)) as shop:
        shop.execute("create table sales as select 1 as amount")
    before = bytes_of(tmp_path)
    with pytest.raises(LedgerDamaged, match="another sort of DuckDB file"), open_for_writing(path, "test"):
        pass
    assert bytes_of(tmp_path) == before


@pytest.mark.parametrize("kept", [0.01, 0.3, 0.5, 0.9, 0.999])
def test_a_ledger_that_is_cut_short_is_refused(tmp_path, kept):
    path = ledger_of(tmp_path / "fleet.duckdb", boats("W1=Wren"))
    path.write_bytes(path.read_bytes()[: int(path.stat().st_size * kept)])
    with pytest.raises(LedgerDamaged, match="not a sound towless ledger"), open_for_writing(path, "test"):
        pass


def test_a_ledger_with_a_flipped_bit_is_told_as_damaged_when_it_is_met(tmp_path):
    path = ledger_of(tmp_path / "fleet.duckdb", boats(*(f"W{number}" for number in range(2000))))
    content = bytearray(path.read_bytes())
    for place in range(3 * 4096 + 8, len(content), 4096):
        content[place] ^= 0xFF
    path.write_bytes(content)
    with pytest.raises(LedgerDamaged, match="not a sound towless ledger"), open_for_writing(path, "test") as ledger:
        ledger.reconciliation()


def test_a_ledger_of_a_newer_towless_is_refused(tmp_path):
    path = ledger_of(tmp_path / "fleet.duckdb", boats("W1=Wren"))
    with open_for_writing(path, "test") as ledger:
        ledger.connection.execute("update received.state set layout = layout + 1")
    with (
        pytest.raises(LedgerUnavailable, match=f"layout {LAYOUT + 1}; this one knows {LAYOUT}.*Update towless"),
        open_for_writing(path, "test"),
    ):
        pass


def test_a_place_that_cannot_be_written_is_told_plainly():
    with pytest.raises(LedgerUnavailable, match="cannot be written there"), open_for_writing("/proc/fleet.duckdb", "test"):
        pass


def test_a_full_disk_is_told_plainly_and_nothing_changes(tmp_path):
    path = ledger_of(tmp_path / "fleet.duckdb", boats("W1=Wren"))
    many = boats(*(f"V{number}={hashlib.md5(str(number).encode()).hexdigest()}" for number in range(60_000)))
    usual = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (path.stat().st_size + 100_000, usual[1]))
    try:
        with pytest.raises(LedgerUnavailable, match=r"the disk is full.*Nothing changed"), open_for_writing(path, "test") as ledger:
            ledger.take_in([many], BY)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, usual)
    with open_for_writing(path, "test") as ledger:
        assert ledger.version == 1
        assert ledger.reconciliation().row(0) == ("vessels", 1, 1, 0, 0, 0)


def test_a_second_writer_waits_and_is_told_who_has_the_ledger(tmp_path):
    path = ledger_of(tmp_path / "fleet.duckdb", boats("W1=Wren"))
    holder = writers.start("hold", path)
    try:
        with pytest.raises(LedgerInUse, match=f"process {holder.pid}, which has been at 'hold' since"), open_for_writing(path, "undo", 0.2):
            pass
    finally:
        writers.finish(holder)
    with open_for_writing(path, "undo", 0.2) as ledger:
        assert ledger.version == 1


def test_another_program_that_has_the_ledger_open_is_told(tmp_path):
    path = ledger_of(tmp_path / "fleet.duckdb", boats("W1=Wren"))
    command = "import duckdb, sys; held = duckdb.connect(sys.argv[1]); print('ready', flush=True); sys.stdin.read()"
    holder = subprocess.Popen([sys.executable, "-c", command, str(path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    assert holder.stdout is not None
    assert holder.stdout.readline() == "ready\n"
    try:
        with pytest.raises(LedgerInUse, match="another program has it open"), open_for_writing(path, "undo", 0.2):
            pass
    finally:
        writers.finish(holder)


def test_what_an_interrupted_change_left_is_cleared_away(tmp_path):
    path = ledger_of(tmp_path / "fleet.duckdb", boats("W1=Wren"))
    left = [tmp_path / name for name in ("fleet.g000002.building", "fleet.new.building", "fleet.read.pointing")]
    for file in left:
        file.touch()
    with open_for_writing(path, "test"):
        assert not any(file.exists() for file in left)


def test_what_an_interrupted_change_had_spilled_is_cleared_away(tmp_path):
    path = ledger_of(tmp_path / "fleet.duckdb", boats("W1=Wren"))
    (tmp_path / "fleet.duckdb.tmp").mkdir()
    (tmp_path / "fleet.duckdb.tmp" / "spilled").touch()
    with open_for_writing(path, "test"):
        pass
    assert not (tmp_path / "fleet.duckdb.tmp").exists()


def test_an_empty_ledger_that_was_published_stays(tmp_path):
    path = ledger_of(tmp_path / "fleet.duckdb")
    with open_for_writing(path, "test") as ledger:
        assert ledger.version == 0
    with open_published(path) as copy:
        assert copy.frame("select * from accepted.vessels").is_empty()


def test_a_ledger_can_be_moved_with_all_that_stands_beside_it(tmp_path):
    (tmp_path / "here").mkdir()
    ledger_of(tmp_path / "here" / "fleet.duckdb", boats("W1=Wren"))
    shutil.move(tmp_path / "here", tmp_path / "there")
    assert (tmp_path / "there" / "fleet.read.duckdb").resolve().is_file()
    with open_for_writing(tmp_path / "there" / "fleet.duckdb", "test") as ledger:
        assert ledger.version == 1


def test_two_imports_at_once_go_one_after_the_other(tmp_path):
    path = ledger_of(tmp_path / "fleet.duckdb", boats("W1=Wren"))
    both = [writers.start("intake", path, rows) for rows in (500, 500)]
    for process in both:
        writers.finish(process)
    assert [process.returncode for process in both] == [0, 0]
    with open_for_writing(path, "test") as ledger:
        assert ledger.version == 2
        assert ledger.reconciliation().row(0) == ("vessels", 504, 501, 0, 0, 3)
