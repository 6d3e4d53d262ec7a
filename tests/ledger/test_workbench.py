import duckdb
import polars as pl
import pytest

from pipelines.ledger.workbench import scratch
from pipelines.terms.tables import RECORD_KINDS


@pytest.fixture
def bench():
    with scratch() as opened:
        yield opened


@pytest.mark.parametrize("kind", RECORD_KINDS.values(), ids=lambda kind: kind.name)
def test_every_accepted_table_stands_empty_with_its_columns_and_the_words_as_written(bench, kind):
    frame = bench.frame(f"select * from accepted.{kind.name}")
    coded = [f"{column.name}_as_written" for column in kind.columns if column.coded_as]
    assert frame.is_empty()
    assert frame.columns == ["row_id", *kind.column_names, *coded, "extra"]
    assert all(frame.schema[column.name] == column.polars_type for column in kind.columns)


def test_the_vocabulary_tables_stand_empty(bench):
    assert bench.frame("select list, word, code, how from accepted.words").is_empty()
    assert bench.frame("select component, clock, drives, named from accepted.catalogue").is_empty()
    assert bench.frame("select cause, system, remedy, component, effect from accepted.cause_tree").is_empty()


def test_a_frame_that_is_put_comes_back_as_it_was(bench):
    frame = pl.DataFrame({"component": ["drive belt", None], "curve": [[{"age": 1.0, "surviving": 0.5}], []], "lives": [3, 4]})
    bench.put("derived.fits", frame)
    assert bench.frame("select * from derived.fits").equals(frame)


def test_a_column_of_nulls_only_is_put_as_text(bench):
    bench.put("derived.notes", pl.DataFrame({"note": [None]}))
    assert bench.frame("select * from derived.notes").schema == {"note": pl.String}


def test_putting_twice_replaces(bench):
    bench.put("derived.fits", pl.DataFrame({"a": [1]}))
    bench.put("derived.fits", pl.DataFrame({"b": [2]}))
    assert bench.frame("select * from derived.fits").equals(pl.DataFrame({"b": [2]}))


def test_sums_come_as_plain_numbers(bench):
    bench.put("derived.counts", pl.DataFrame({"n": [1, 2]}))
    frame = bench.frame("select sum(n) as whole, cast(1.5 as decimal(4, 2)) as money from derived.counts")
    assert frame.schema == {"whole": pl.Int64, "money": pl.Float64}


def test_parameters_go_in_by_order_and_by_name(bench):
    bench.run("insert into accepted.vessels by name select $boat as vessel_id", {"boat": "Wren"})
    assert bench.frame("select vessel_id from accepted.vessels where vessel_id = ?", ["Wren"]).height == 1


def test_a_query_never_picks_up_a_python_variable(bench):
    passing_by = pl.DataFrame({"a": [1]})
    with pytest.raises(duckdb.CatalogException):
        bench.frame("select * from passing_by")
    assert passing_by.height == 1


def test_two_scratches_do_not_meet(bench):
    bench.put("derived.fits", pl.DataFrame({"a": [1]}))
    with scratch() as other, pytest.raises(duckdb.CatalogException):
        other.frame("select * from derived.fits")
