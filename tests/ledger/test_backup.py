import duckdb
import polars as pl
import pytest

from pipelines.errors import LedgerDamaged, LedgerInUse, NoLedger, WrongInput
from pipelines.ledger.backup import backup, restore
from pipelines.ledger.content import content_of
from pipelines.ledger.publishing import publish
from pipelines.ledger.reading import is_owed, open_published
from pipelines.ledger.writing import open_for_writing
from tests.support.ledgers import boats, ledger_of, uncoded
from tests.support.writers import finish, start

BY = "A. Tester"


@pytest.fixture
def path(tmp_path):
    return ledger_of(tmp_path / "fleet.duckdb", boats("W1=Wren", "W2=Teal", faulty=1, sha256="aa"), boats("W1=Tern"))


@pytest.fixture
def kept(tmp_path, path):
    backup(path, tmp_path / "kept.duckdb")
    return tmp_path / "kept.duckdb"


def content(path):
    with open_for_writing(path, "test") as ledger:
        return content_of(ledger.connection, "ledger")


def names(path) -> dict[str, str]:
    with open_for_writing(path, "records") as ledger:
        publish(ledger, uncoded)
    with open_published(path) as copy:
        return dict(copy.frame("select vessel_id, name from accepted.vessels").iter_rows())


def tampered(kept, sql: str) -> None:
    with duckdb.connect(str(kept)) as opened:
        opened.execute(sql)


def test_a_backup_says_how_many_rows_it_holds(tmp_path, path):
    told = backup(path, tmp_path / "kept.duckdb")
    assert told.rows == 4
    assert str(told).startswith("4 rows, each value checked (digest ")


def test_a_backup_leaves_the_ledger_and_its_copy_alone(tmp_path, path):
    before = {file.name: file.read_bytes() for file in tmp_path.iterdir()}
    backup(path, tmp_path / "kept.duckdb")
    assert {file.name: file.read_bytes() for file in tmp_path.iterdir() if file.name != "kept.duckdb"} == before


def test_a_lost_ledger_comes_back_with_all_it_held(path, kept):
    held = content(path)
    path.unlink()
    restored = restore(kept, path)
    assert restored.content == held
    assert restored.kept_aside is None
    assert names(path) == {"W1": "Tern", "W2": "Teal"}


def test_the_ledger_before_is_kept_aside(path, kept):
    with open_for_writing(path, "test") as ledger:
        ledger.take_in([boats("W3=Coot")], BY)
    restored = restore(kept, path)
    assert names(path) == {"W1": "Tern", "W2": "Teal"}
    assert restored.kept_aside is not None
    assert str(restored).endswith(f"the ledger is at version 4 now; the ledger before it is kept as {restored.kept_aside.name}")
    assert names(restored.kept_aside) == {"W1": "Tern", "W2": "Teal", "W3": "Coot"}


def test_readers_are_owed_what_was_brought_back_under_a_version_they_have_not_seen(path, kept):
    for number in range(3):
        ledger_of(path, boats(f"V{number}"))
    restored = restore(kept, path)
    assert restored.version == 6
    assert is_owed(path)
    assert names(path) == {"W1": "Tern", "W2": "Teal"}
    assert not is_owed(path)


def test_a_ledger_that_was_brought_back_can_be_taken_in_to_and_backed_up_again(tmp_path, path, kept):
    restore(kept, path)
    with open_for_writing(path, "test") as ledger:
        ledger.take_in([boats("W1=Coot")], BY)
    backup(path, tmp_path / "again.duckdb")
    restore(tmp_path / "again.duckdb", path)
    assert names(path)["W1"] == "Coot"


def test_a_damaged_ledger_can_be_replaced_and_is_kept_aside_as_it_was(path, kept):
    path.write_bytes(b"not a ledger any more")
    restored = restore(kept, path)
    assert restored.kept_aside is not None
    assert restored.kept_aside.read_bytes() == b"not a ledger any more"
    assert names(path) == {"W1": "Tern", "W2": "Teal"}


def test_a_ledger_copied_by_other_means_can_be_brought_back(tmp_path, path):
    (tmp_path / "plain.duckdb").write_bytes(path.read_bytes())
    restore(tmp_path / "plain.duckdb", path)
    assert names(path) == {"W1": "Tern", "W2": "Teal"}


@pytest.mark.parametrize(
    "sql",
    [
        "update held.vessels set name = 'Heron' where vessel_id = 'W2'",
        "delete from received.rows where line = 2",
        "update received.seal set rows = rows + 1",
    ],
)
def test_a_backup_that_does_not_hold_what_its_seal_says_is_refused(path, kept, sql):
    held = content(path)
    tampered(kept, sql)
    with pytest.raises(LedgerDamaged, match="it does not hold what its seal says"):
        restore(kept, path)
    assert content(path) == held


def test_a_seal_of_another_duckdb_is_held_to_the_count_of_rows(path, kept):
    tampered(kept, "update received.seal set made_with = 'v1', digest = 'made otherwise'")
    restore(kept, path)
    assert names(path) == {"W1": "Tern", "W2": "Teal"}


@pytest.mark.parametrize("kept_share", [0.0, 0.4, 0.95])
def test_a_backup_cut_short_is_refused_and_nothing_changes(path, kept, kept_share):
    held = content(path)
    kept.write_bytes(kept.read_bytes()[: int(kept.stat().st_size * kept_share)])
    with pytest.raises(LedgerDamaged, match=r"kept\.duckdb: not a sound copy of a ledger.*If none is sound, take your files in again"):
        restore(kept, path)
    assert content(path) == held


def test_a_file_that_is_there_is_not_written_over(tmp_path, path):
    (tmp_path / "kept.duckdb").write_text("precious")
    with pytest.raises(WrongInput, match="Nothing was written over"):
        backup(path, tmp_path / "kept.duckdb")
    assert (tmp_path / "kept.duckdb").read_text() == "precious"


def test_there_is_nothing_to_copy_without_a_ledger(tmp_path):
    with pytest.raises(NoLedger, match="nothing to copy"):
        backup(tmp_path / "fleet.duckdb", tmp_path / "kept.duckdb")
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_not_there_is_refused(tmp_path, path):
    with pytest.raises(WrongInput, match="there is no folder"):
        backup(path, tmp_path / "nowhere" / "kept.duckdb")


def test_only_a_backup_that_is_there_and_is_not_the_ledger_can_be_brought_back(tmp_path, path):
    for source in (tmp_path / "none.duckdb", path, tmp_path):
        with pytest.raises(WrongInput, match="not a backup that can be brought back"):
            restore(source, path)


def test_a_ledger_in_use_is_neither_copied_nor_replaced(tmp_path, path, kept):
    holder = start("hold", path)
    try:
        with pytest.raises(LedgerInUse):
            backup(path, tmp_path / "more.duckdb", 0.1)
        with pytest.raises(LedgerInUse):
            restore(kept, path, 0.1)
    finally:
        finish(holder)
    assert not (tmp_path / "more.duckdb").exists()


def test_a_digest_does_not_depend_on_the_order_of_rows(path):
    with open_for_writing(path, "test") as ledger:
        before = content_of(ledger.connection, "ledger")
        turned = ledger.frame("select * from received.rows order by row_id desc")
        ledger.connection.register("turned", turned)
        ledger.connection.execute("delete from received.rows; insert into received.rows select * from turned")
        assert content_of(ledger.connection, "ledger") == before
        ledger.connection.execute("update received.rows set raw = null where row_id = 1")
        assert content_of(ledger.connection, "ledger") != before
        assert isinstance(turned, pl.DataFrame)
