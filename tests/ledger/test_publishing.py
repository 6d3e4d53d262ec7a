import os
import stat

import polars as pl
import pytest

from pipelines.ledger.beside import Beside
from pipelines.ledger.publishing import publish
from pipelines.ledger.reading import is_owed, open_published
from pipelines.ledger.workbench import Workbench, scratch
from pipelines.ledger.writing import open_for_writing
from pipelines.terms.account import ACCOUNT_TABLES
from pipelines.terms.tables import RECORD_KINDS
from pipelines.terms.vocabulary import VOCABULARY_TABLES
from tests.support.ledgers import boats, ledger_of, uncoded

BY = "A. Tester"


class Broken(Exception):
    pass


def breaks(bench: Workbench) -> None:
    uncoded(bench)
    raise Broken


@pytest.fixture
def path(tmp_path):
    return ledger_of(tmp_path / "fleet.duckdb", boats("W1=Wren", "W2=Teal", faulty=1, sha256="aa"))


def take(path, *names: str, build=uncoded) -> None:
    with open_for_writing(path, "test") as ledger:
        ledger.take_in([boats(*names)], BY)
        publish(ledger, build)


def generations(path) -> list[str]:
    return sorted(file.name for file in Beside.of(path).generations().values())


def test_the_pointer_is_a_link_to_the_generation_beside_it(path):
    assert os.readlink(path.with_name("fleet.read.duckdb")) == "fleet.g000001.duckdb"


def test_a_generation_is_read_only(path):
    assert stat.S_IMODE(path.with_name("fleet.g000001.duckdb").stat().st_mode) == 0o444


def test_the_copy_holds_accepted_rows_only(path):
    take(path, "W1=Tern", "W2=Teal")
    with open_published(path) as copy:
        assert copy.version == 2
        assert copy.frame("select vessel_id, name from accepted.vessels order by row_id").rows() == [("W2", "Teal"), ("W1", "Tern")]


@pytest.mark.parametrize("kind", RECORD_KINDS)
def test_accepted_tables_have_the_same_columns_in_a_copy_and_in_a_scratch(path, kind):
    with open_published(path) as copy, scratch() as bench:
        assert copy.frame(f"select * from accepted.{kind}").schema == bench.frame(f"select * from accepted.{kind}").schema


@pytest.mark.parametrize(
    ("schema", "table"),
    [("about", table) for table in ACCOUNT_TABLES.values()] + [("accepted", table) for table in VOCABULARY_TABLES.values()],
    ids=lambda value: getattr(value, "name", value),
)
def test_tables_of_account_and_vocabulary_are_as_they_are_declared(path, schema, table):
    with open_published(path) as copy:
        assert copy.frame(f"select * from {schema}.{table.name}").schema == {column.name: column.polars_type for column in table.columns}


def test_rows_left_out_stand_in_the_copy_with_place_value_and_reason(path):
    with open_published(path) as copy:
        row = copy.frame("select * from about.left_out").row(0, named=True)
    assert row["file"] == "boats.csv"
    assert (row["line"], row["column"], row["value"]) == (4, "tank_l", "full")
    assert row["reason"] == "boats.csv, line 4, tank_l: 'full'. Litres are a number such as 90."


def test_every_row_of_the_copy_can_be_traced_to_its_file_and_line(path):
    with open_published(path) as copy:
        traced = copy.frame("select vessel_id, file, line from accepted.vessels join about.rows using (row_id) order by line")
    assert traced.rows() == [("W1", "boats.csv", 2), ("W2", "boats.csv", 3)]


def test_an_undone_import_stays_on_the_list_with_nothing_counted(path):
    with open_for_writing(path, "test") as ledger:
        ledger.undo(1, BY)
        publish(ledger, uncoded)
    with open_published(path) as copy:
        assert copy.frame("select rows_in, undone_by from about.imports").rows() == [(0, BY)]
        assert copy.frame("select * from about.reconciliation").is_empty()
        assert copy.frame("select * from about.left_out").is_empty()


def test_what_the_build_makes_is_in_the_copy(path):
    def build(bench: Workbench) -> None:
        uncoded(bench)
        bench.run("create table derived.boats as select count(*) as boats from accepted.vessels")
        bench.put("derived.fits", pl.DataFrame({"component": ["drive belt"], "curve": [[{"age": 1.0}]]}))

    take(path, "W3=Tern", build=build)
    with open_published(path) as copy:
        assert copy.frame("select boats from derived.boats").item() == 3
        assert copy.frame("select curve from derived.fits").item().to_list() == [{"age": 1.0}]


def test_only_the_last_two_generations_are_kept(path):
    for name in ("W3", "W4", "W5"):
        take(path, name)
    assert generations(path) == ["fleet.g000003.duckdb", "fleet.g000004.duckdb"]


def test_a_version_that_readers_have_is_not_built_again(path):
    with open_for_writing(path, "test") as ledger:
        publish(ledger, breaks)
    assert generations(path) == ["fleet.g000001.duckdb"]


def test_a_build_that_fails_leaves_readers_with_the_version_before_and_the_publication_owed(path):
    with pytest.raises(Broken):
        take(path, "W3=Tern", build=breaks)
    assert is_owed(path)
    assert generations(path) == ["fleet.g000001.duckdb"]
    with open_published(path) as copy:
        assert copy.version == 1


def test_what_is_owed_is_finished_by_the_next_to_publish(path):
    with pytest.raises(Broken):
        take(path, "W3=Tern", build=breaks)
    with open_for_writing(path, "records") as ledger:
        publish(ledger, uncoded)
    assert not is_owed(path)
    with open_published(path) as copy:
        assert copy.version == 2


def test_a_ledger_stays_usable_after_a_build_that_failed(path):
    with open_for_writing(path, "test") as ledger:
        ledger.take_in([boats("W3=Tern")], BY)
        with pytest.raises(Broken):
            publish(ledger, breaks)
        publish(ledger, uncoded)
    assert not is_owed(path)


def test_the_marker_stands_between_commit_and_publication(path):
    with open_for_writing(path, "test") as ledger:
        assert not ledger.beside.owed.exists()
        ledger.take_in([boats("W3=Tern")], BY)
        assert ledger.beside.owed.exists()
        publish(ledger, uncoded)
        assert not ledger.beside.owed.exists()
