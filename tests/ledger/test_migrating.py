"""An older ledger comes to this program's layout with every value it held, and is kept as it was."""

import duckdb
import pytest

from pipelines.errors import LedgerUnavailable
from pipelines.ledger import migrating
from pipelines.ledger.backup import backup, restore
from pipelines.ledger.beside import Beside
from pipelines.ledger.layout import LAYOUT, columns_in, declared_columns
from pipelines.ledger.publishing import publish
from pipelines.ledger.reading import is_owed, open_published
from pipelines.ledger.writing import open_for_writing
from tests.support.ledgers import boats, ledger_of, uncoded
from tests.support.older import older_ledger

BY = "A. Tester"


@pytest.fixture
def path(tmp_path):
    return older_ledger(tmp_path / "fleet.duckdb")


def rows_of(path, table: str) -> list[tuple]:
    """Every value of a table but the hashes of rows, which are made anew."""
    with duckdb.connect(str(path), read_only=True) as opened:
        return opened.execute(f"select columns(lambda c: c not in ('key_hash', 'content_hash')) from {table} order by all").fetchall()


def opened_once(path) -> int:
    with open_for_writing(path, "test") as ledger:
        return ledger.version


def test_an_older_ledger_gets_every_declared_column(path):
    with open_for_writing(path, "test") as ledger:
        assert columns_in(ledger.connection, "ledger") == declared_columns()
        assert ledger.frame("select layout from received.state").item() == LAYOUT


def test_an_older_ledger_keeps_every_value_and_new_columns_are_empty(path):
    tables = ("received.imports", "received.files", "received.rows", "received.faults", "received.settled_words", "held.vessels")
    before = {table: rows_of(path, table) for table in tables}
    opened_once(path)
    for table, rows in before.items():
        assert [row[: len(rows[0])] for row in rows_of(path, table)] == rows
        assert all(set(row[len(rows[0]) :]) <= {None} for row in rows_of(path, table))


def test_the_ledger_as_it_was_is_kept_and_told_by_name(path, caplog):
    before = path.read_bytes()
    opened_once(path)
    kept = path.with_name(f"fleet.before-layout-{LAYOUT}.duckdb")
    assert kept.read_bytes() == before
    assert caplog.messages == [
        f"{path}: was made by an older towless (layout 1) and has been brought to layout {LAYOUT} of this one. "
        f"The ledger as it was is kept whole as {kept.name}."
    ]


def test_a_ledger_is_brought_to_the_layout_once(path, caplog):
    opened_once(path)
    caplog.clear()
    content = path.read_bytes()
    opened_once(path)
    assert caplog.messages == []
    assert path.read_bytes() == content


def test_readers_are_owed_a_copy_under_a_version_they_have_not_seen(path):
    assert opened_once(path) == 4
    assert is_owed(path)


def test_an_older_ledger_counts_and_takes_in_as_before(path):
    with open_for_writing(path, "test") as ledger:
        assert ledger.reconciliation().rows() == [("vessels", 4, 3, 0, 0, 1)]
        assert ledger.kept_mapping() == "[words]"
        assert ledger.take_in([boats("W9=Coot")], BY).import_id == 3
        publish(ledger, uncoded)
    with open_published(path) as copy:
        assert copy.frame("select count(*) from accepted.vessels").item() == 4


def test_a_table_or_column_that_is_declared_later_is_added_by_its_declaration_alone(tmp_path):
    path = ledger_of(tmp_path / "fleet.duckdb", boats("W1=Wren"))
    with open_for_writing(path, "test") as ledger:
        ledger.connection.execute("alter table held.vessels drop column tank_l; drop table received.settled_words")
    with open_for_writing(path, "test") as ledger:
        assert columns_in(ledger.connection, "ledger") == declared_columns()
        assert ledger.frame("select vessel_id, tank_l from held.vessels").rows() == [("W1", None)]


def test_changes_that_a_power_cut_left_beside_the_file_are_in_both(path):
    beside = Beside.of(path)
    with duckdb.connect(str(path), config={"checkpoint_threshold": "1GB"}) as opened:
        opened.execute("pragma disable_checkpoint_on_shutdown; update held.vessels set name = 'Heron' where row_id = 2")
    assert beside.write_ahead.exists()
    opened_once(path)
    for file in (path, path.with_name(f"fleet.before-layout-{LAYOUT}.duckdb")):
        assert rows_of(file, "held.vessels")[1][2] == "Heron"


def test_a_fault_while_migrating_leaves_the_older_ledger_as_it_was(path, monkeypatch):
    before = path.read_bytes()
    monkeypatch.setattr(migrating, "content_of", lambda _, name, columns: (name, columns))
    with pytest.raises(LedgerUnavailable, match="does not read back the same"), open_for_writing(path, "test"):
        pass
    assert path.read_bytes() == before
    assert rows_of(path, "received.state")[0][0] == 1


def test_a_ledger_kept_before_is_not_written_over(path, tmp_path):
    opened_once(path)
    path.unlink()
    older_ledger(path, rows=5)
    opened_once(path)
    assert len(rows_of(tmp_path / f"fleet.before-layout-{LAYOUT}.duckdb", "held.vessels")) == 3
    assert len(rows_of(tmp_path / f"fleet.before-layout-{LAYOUT}-2.duckdb", "held.vessels")) == 5


def test_a_backup_of_an_older_towless_can_be_brought_back(path, tmp_path):
    (tmp_path / "old-backup.duckdb").write_bytes(path.read_bytes())
    opened_once(path)
    restore(tmp_path / "old-backup.duckdb", path)
    with open_for_writing(path, "test") as ledger:
        assert columns_in(ledger.connection, "ledger") == declared_columns()
        assert ledger.reconciliation().row(0)[1] == 4


def test_a_backup_of_a_migrated_ledger_comes_back(path, tmp_path):
    opened_once(path)
    assert backup(path, tmp_path / "kept.duckdb").rows == 5
    assert restore(tmp_path / "kept.duckdb", path).content.rows == 5
