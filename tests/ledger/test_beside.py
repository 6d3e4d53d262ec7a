import pytest

from pipelines.errors import WrongInput
from pipelines.ledger.beside import Beside, put_in_place


def test_everything_that_belongs_to_a_ledger_is_named_after_it(tmp_path):
    beside = Beside.of(tmp_path / "fleet.duckdb")
    names = [beside.lock, beside.owed, beside.pointer, beside.generation(12), beside.write_ahead]
    assert [file.name for file in names] == [
        "fleet.duckdb.lock",
        "fleet.duckdb.owed",
        "fleet.read.duckdb",
        "fleet.g000012.duckdb",
        "fleet.duckdb.wal",
    ]
    assert {file.parent for file in names} == {tmp_path}


def test_ledgers_that_differ_in_their_ending_share_nothing(tmp_path):
    assert Beside.of(tmp_path / "fleet.db").pointer.name == "fleet.db.read.duckdb"
    assert Beside.of(tmp_path / "fleet").pointer != Beside.of(tmp_path / "fleet.db").pointer


def test_two_names_of_one_ledger_have_one_lock(tmp_path):
    (tmp_path / "other.duckdb").symlink_to(tmp_path / "fleet.duckdb")
    assert Beside.of(tmp_path / "other.duckdb").lock == Beside.of(tmp_path / "fleet.duckdb").lock


@pytest.mark.parametrize("name", ["fleet.read.duckdb", "fleet.g000012.duckdb"])
def test_a_copy_for_readers_is_refused_with_the_name_of_its_ledger(tmp_path, name):
    with pytest.raises(WrongInput, match=r"Name the ledger: .*fleet\.duckdb\.$"):
        Beside.of(tmp_path / name)


def test_a_folder_is_refused(tmp_path):
    with pytest.raises(WrongInput, match="this is a folder"):
        Beside.of(tmp_path)


def test_only_the_generations_of_this_ledger_are_found(tmp_path):
    for name in ("fleet.g000003.duckdb", "fleet.g1000004.duckdb", "fleets.g000005.duckdb", "my.fleet.g000006.duckdb", "fleet.g7.duckdb"):
        (tmp_path / name).touch()
    assert sorted(Beside.of(tmp_path / "fleet.duckdb").generations()) == [3, 1000004]


def test_only_leftovers_of_this_ledger_are_found(tmp_path):
    left = {"fleet.g000003.building", "fleet.g000003.building.wal", "fleet.new.building", "fleet.restored.building", "fleet.read.pointing"}
    kept = {"fleet.duckdb", "fleet.new", "fleet.g000003.duckdb", "fleets.new.building", "fleet.building"}
    for name in left | kept:
        (tmp_path / name).touch()
    assert {file.name for file in Beside.of(tmp_path / "fleet.duckdb").leftovers()} == left


def test_a_pointer_to_a_file_that_is_gone_points_nowhere(tmp_path):
    beside = Beside.of(tmp_path / "fleet.duckdb")
    assert beside.target() is None
    beside.pointer.symlink_to("fleet.g000001.duckdb")
    assert beside.target() is None
    beside.generation(1).touch()
    assert beside.target() == beside.generation(1)


def test_a_finished_file_takes_the_place_of_the_one_before(tmp_path):
    made, place = tmp_path / "made", tmp_path / "place"
    made.write_text("new")
    place.write_text("old")
    put_in_place(made, place)
    assert place.read_text() == "new"
    assert not made.exists()
