"""Files taken in from the folder to the ledger: known ones by their hash, large ones by parts, and what is told of them."""

import polars as pl
import pytest

from pipelines.errors import RowsLeftOut
from pipelines.flow import files_read
from pipelines.flow.taking import Wish, take_in
from pipelines.intake import slicing
from pipelines.ledger.history import history_of
from pipelines.ledger.writing import open_for_writing
from pipelines.terms.settings import Settings

HEADER = "call_id,vessel_id,called_at,meter_h,symptom\n"


def calls(count: int, late: str = "") -> str:
    return HEADER + "".join(f"C{number},B1,2024-07-{number % 28 + 1:02},{number}.5,hot\n" for number in range(count)) + late


@pytest.fixture
def by_parts(monkeypatch):
    monkeypatch.setattr(slicing, "FROM_BYTES", 1)
    monkeypatch.setattr(slicing, "FIRST", 500)
    monkeypatch.setattr(slicing, "PART", 900)


@pytest.fixture
def yard(tmp_path):
    (tmp_path / "records").mkdir()
    return tmp_path


def taken_of(yard, content: str, name: str = "calls.csv", **how):
    (yard / "records" / name).write_text(content)
    return take_in(yard / "fleet.duckdb", Wish((yard / "records" / name,), **how), Settings())


def received(yard) -> pl.DataFrame:
    with open_for_writing(yard / "fleet.duckdb", "test") as ledger:
        return ledger.frame("select row_id, line, fate from received.rows order by row_id")


@pytest.mark.usefixtures("by_parts")
def test_a_large_file_comes_in_by_parts_with_rows_numbered_in_order_of_line(yard):
    told = taken_of(yard, calls(100, "C1,B1,soon,1,hot\nC5,B1,2024-07-06,5.5,hot\nC6,B1,2024-07-06,5.5,hot\n"))
    assert told.answer.rows.row(0) == ("rescue_calls", 103, 100, 1, 1, 1)
    assert received(yard)["line"].to_list() == list(range(2, 105))
    assert told.left_out.select("line", "raw").rows() == [(102, "C1,B1,soon,1,hot")]


@pytest.mark.usefixtures("by_parts")
def test_each_row_of_a_large_file_is_shown_as_it_came(yard):
    taken_of(yard, calls(100))
    with open_for_writing(yard / "fleet.duckdb", "test") as ledger:
        assert history_of(ledger, [61])["raw"].to_list() == ["C60,B1,2024-07-05,60.5,hot"]
        assert ledger.frame("select count(raw) < count(*) from received.rows").item()


@pytest.mark.usefixtures("by_parts")
def test_a_file_whose_end_shows_another_form_is_begun_again_and_comes_in_whole(yard):
    late = "D1,B1,25/07/2024,1,hot\nD2,B1,03/04/2024,1,hot\n"
    told = taken_of(yard, calls(100, late))
    assert told.answer.rows.row(0) == ("rescue_calls", 102, 102, 0, 0, 0)
    assert "calls.csv: dates are read with the day first, as 1 of its dates show." in told.remarks
    assert received(yard).height == 102


@pytest.mark.usefixtures("by_parts")
def test_a_file_in_another_encoding_comes_in_whole(yard):
    (yard / "records" / "calls.csv").write_bytes(calls(100, "D1,B1,2024-07-01,1,Möwe\n").encode("cp1252"))
    told = take_in(yard / "fleet.duckdb", Wish((yard / "records",)), Settings())
    assert told.answer.rows["accepted"].to_list() == [101]


def test_the_same_file_again_is_not_read(yard, monkeypatch):
    taken_of(yard, calls(10))
    monkeypatch.setattr(files_read, "read_file", lambda *_: pytest.fail("was read"))
    told = taken_of(yard, calls(10), "copy.csv")
    assert told.answer.rows.row(0) == ("rescue_calls", 10, 0, 10, 0, 0)
    assert "copy.csv: is in already, so nothing of it was taken." in told.remarks


@pytest.mark.usefixtures("by_parts")
def test_two_copies_of_a_large_file_in_one_folder_are_told_as_repeated(yard):
    (yard / "records" / "a.csv").write_text(calls(50))
    taken_of(yard, calls(50), "b.csv")
    told = take_in(yard / "fleet.duckdb", Wish((yard / "records",)), Settings())
    assert told.answer.rows.row(0) == ("rescue_calls", 100, 0, 100, 0, 0)


@pytest.mark.usefixtures("by_parts")
def test_strict_takes_nothing_of_a_large_file_with_a_fault_at_its_end(yard):
    with pytest.raises(RowsLeftOut, match="line 102, called_at: 'soon'"):
        taken_of(yard, calls(100, "C1,B1,soon,1,hot\n"), strict=True)
    assert not (yard / "fleet.duckdb").exists()


@pytest.mark.usefixtures("by_parts")
def test_who_asks_is_told_how_far_the_reading_is(yard):
    (yard / "records" / "calls.csv").write_text(calls(100))
    heard: list[tuple[str, int, int]] = []
    take_in(yard / "fleet.duckdb", Wish((yard / "records",)), Settings(), lambda *said: heard.append(said))
    size = (yard / "records" / "calls.csv").stat().st_size
    assert heard[-1] == ("calls.csv", size, size)
    assert [done for _, done, _ in heard] == sorted(done for _, done, _ in heard)


def test_engines_that_no_list_holds_are_counted_with_an_example(yard):
    (yard / "records" / "engines.csv").write_text("engine_id,vessel_id,commissioned_on\nE1,B1,2020-04-01\n")
    (yard / "records" / "boats.csv").write_text("vessel_id,name\nB1,Tern\n")
    tickets = "ticket_id,engine_id,done_on,component,action\nT1,E1,2024-07-14,anodes,renew\nT2,E9,2024-07-14,anodes,renew\n"
    (yard / "records" / "tickets.csv").write_text(f"{tickets}T3,E9,2024-07-15,anodes,renew\n")
    told = take_in(yard / "fleet.duckdb", Wish((yard / "records",)), Settings())
    assert any(remark.startswith("2 rows name 1 engine that no list of engines holds, such as E9: kept") for remark in told.remarks)
    assert not any("no list of boats" in remark for remark in told.remarks)
