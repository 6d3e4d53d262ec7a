"""Ordered, received and counted: what stands on the shelf afterwards, what is told, what is refused, what can be brought back."""

import json
from datetime import date
from pathlib import Path
from typing import Any

import polars as pl
import pytest

from pipelines.errors import NoLedger, UnknownWord, WrongInput
from pipelines.flow import by_hand, shelf, taking
from pipelines.flow.queries import query
from pipelines.flow.shelf import COUNTED, ORDERED, RECEIVED, ShelfChange, difference, whole_pieces, write_shelf
from pipelines.intake.taking import read_file
from pipelines.ledger.reading import open_published
from pipelines.ledger.writing import open_for_writing
from pipelines.terms.settings import Settings

PARTS = """part_id,component,base,on_hand,on_order,lead_time_d,unit_cost,bin
P1,drive belt,North,4,2,21,43.4,A3
P1,drive belt,South,1,,21,43.4,B1
P2,anodes,,9,,5,27.9,
"""


@pytest.fixture
def ledger(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A ledger with three parts on two shelves and one of no base; publishing is not what is tested."""
    for room in (by_hand, shelf):
        monkeypatch.setattr(room, "publish_anew", lambda *_: None)
    file = tmp_path / "parts.csv"
    file.write_text(PARTS, encoding="utf-8")
    with open_for_writing(tmp_path / "fleet.duckdb", "test") as opened:
        opened.take_in(read_file(file), "test")
    return tmp_path / "fleet.duckdb"


def write(ledger: Path, *changes: ShelfChange, form: str = "form 1", by: str = "foreman", because: str = "", **more: Any):
    return write_shelf(ledger, changes, by, because, form, Settings(), **more)


def stand(ledger: Path) -> dict[tuple[str, str | None], tuple[int, int | None]]:
    with open_for_writing(ledger, "test") as opened:
        rows = opened.frame(query("shelf_now")).to_dicts()
    return {(row["part_id"], row["base"]): (row["on_hand"], row["on_order"]) for row in rows}


def test_what_is_ordered_comes_and_is_counted(ledger: Path):
    write(ledger, ShelfChange("P1", ORDERED, 6, "North"), form="a")
    assert stand(ledger)["P1", "North"] == (4, 8)
    write(ledger, ShelfChange("P1", RECEIVED, 5, "north"), form="b")
    assert stand(ledger)["P1", "North"] == (9, 3)
    write(ledger, ShelfChange("P1", COUNTED, 7, "North"), form="c")
    assert stand(ledger) == {("P1", "North"): (7, 3), ("P1", "South"): (1, None), ("P2", None): (9, None)}


def test_a_shelf_that_comes_back_to_an_earlier_number_is_believed(ledger: Path):
    """The same figures as before are a new row all the same, not an old row sent again."""
    for form, pieces in (("a", 3), ("b", 9), ("c", 3)):
        write(ledger, ShelfChange("P2", COUNTED, pieces), form=form)
    assert stand(ledger)["P2", None][0] == 3


def test_two_touches_on_the_button_are_one_change_even_after_a_later_one(ledger: Path):
    first = write(ledger, ShelfChange("P2", RECEIVED, 2), form="a")
    write(ledger, ShelfChange("P2", RECEIVED, 3), form="b")
    again = write(ledger, ShelfChange("P2", RECEIVED, 2), form="a")
    assert again.import_id == first.import_id
    assert again.told == ()
    assert stand(ledger)["P2", None][0] == 14


def test_a_change_is_taken_back_and_what_stood_before_stands_again(ledger: Path):
    written = write(ledger, ShelfChange("P2", COUNTED, 2), ShelfChange("P1", RECEIVED, 2, "North"))
    by_hand.take_back(ledger, written, "foreman", Settings())
    assert stand(ledger) == {("P1", "North"): (4, 2), ("P1", "South"): (1, None), ("P2", None): (9, None)}
    write(ledger, ShelfChange("P2", COUNTED, 2), form="form 1")
    assert stand(ledger)["P2", None][0] == 2


def test_the_old_list_sent_again_does_not_undo_a_count(ledger: Path, tmp_path: Path):
    write(ledger, ShelfChange("P2", COUNTED, 2))
    again = tmp_path / "again.csv"
    again.write_text(PARTS + "\n", encoding="utf-8")
    with open_for_writing(ledger, "test") as opened:
        opened.take_in(read_file(again), "test")
    assert stand(ledger)["P2", None][0] == 2


def test_who_when_why_and_the_fleets_own_columns_are_kept(ledger: Path):
    write(ledger, ShelfChange("P1", COUNTED, 4, "North"), because="spring count", by="the foreman")
    with open_for_writing(ledger, "test") as opened:
        row = opened.frame(query("shelf_now")).filter(pl.col("part_id") == "P1", pl.col("base") == "North").row(0, named=True)
        taken_by = opened.frame("select taken_by from received.imports where import_id = 2").item()
    assert json.loads(row["extra"]) == {
        "bin": "A3",
        "shelf_change": "counted 4",
        "shelf_because": "spring count",
        "shelf_form": "form 1",
        "shelf_on": date.today().isoformat(),
    }
    assert taken_by == "the foreman"
    assert row["since_on"] == date.today()


def test_several_lines_of_one_form_are_one_import(ledger: Path):
    written = write(ledger, ShelfChange("P1", RECEIVED, 1, "North"), ShelfChange("P1", COUNTED, 6, "North"), ShelfChange("P2", COUNTED, 8))
    assert (written.import_id, len(written.told)) == (2, 3)
    assert stand(ledger)["P1", "North"] == (6, 1)


def test_whoever_counts_is_told_as_soon_as_it_is_safe(ledger: Path, monkeypatch: pytest.MonkeyPatch):
    order: list[str] = []
    monkeypatch.setattr(shelf, "publish_anew", lambda *_: order.append("published"))
    write(ledger, ShelfChange("P2", COUNTED, 8), kept=lambda _: order.append("safe"))
    assert order == ["safe", "published"]


@pytest.mark.parametrize(
    ("change", "kind", "said"),
    [
        (ShelfChange("P2", COUNTED, -1), WrongInput, "whole number from 0"),
        (ShelfChange("P2", RECEIVED, 0), WrongInput, "whole number from 1"),
        (ShelfChange("P2", COUNTED, 2.5), WrongInput, "2.5"),  # type: ignore[arg-type]
        (ShelfChange("P2", COUNTED, 10**9), WrongInput, "100,000"),
        (ShelfChange("P9", COUNTED, 2), UnknownWord, "The nearest is 'P"),
        (ShelfChange("P1", COUNTED, 2), UnknownWord, "--base: 'North', 'South'"),
        (ShelfChange("P1", COUNTED, 2, "East"), UnknownWord, "It lies at: 'North', 'South'"),
    ],
)
def test_what_cannot_be_is_refused_with_the_way_out_and_nothing_is_written(ledger: Path, change: ShelfChange, kind: type, said: str):
    with pytest.raises(kind, match=said):
        write(ledger, ShelfChange("P2", COUNTED, 1), change)
    assert stand(ledger)["P2", None][0] == 9


def test_somebody_has_to_have_done_something(ledger: Path):
    with pytest.raises(WrongInput, match="say who"):
        write(ledger, ShelfChange("P2", COUNTED, 1), by=" ")
    with pytest.raises(WrongInput, match="no part has a number"):
        write(ledger)
    with pytest.raises(NoLedger):
        write(ledger.with_name("none.duckdb"), ShelfChange("P2", COUNTED, 1))


@pytest.mark.parametrize("said", ["2.3", "-1", "two", "", "½", "1e3", "12345678"])
def test_no_part_of_a_piece_can_be_counted(said: str):
    with pytest.raises(WrongInput, match="pieces"):
        whole_pieces(said)
    assert whole_pieces(" 12 ") == 12


@pytest.mark.parametrize(
    ("found", "listed", "used", "said"),
    [
        (4, 4, 0, "As the list says."),
        (2, 4, 2, "as it should be"),
        (3, 4, 0, "1 piece fewer than that explains"),
        (5, 4, 1, "2 pieces more than that explains"),
        (0, 1, 3, "as it should be"),
    ],
)
def test_a_difference_is_told_with_what_explains_it(found: int, listed: int, used: int, said: str):
    assert said in difference(found, listed, used, date(2025, 5, 1))


def test_more_than_was_on_order_is_told(ledger: Path):
    assert write(ledger, ShelfChange("P1", RECEIVED, 3, "North")).told == (
        "P1 at North: 3 pieces received, 7 on the shelf and 0 on order now. 1 piece more than was on order.",
    )


ENGINES = """engine_id,vessel_id,place,drive,fuel,commissioned_on
e1,14,single,inboard,diesel,2019-01-01
e2,15,single,inboard,diesel,2019-01-01
"""
JOBS = """ticket_id,vessel_id,engine_id,done_on,component,action
J1,14,e1,2025-01-05,anodes,renew
J2,14,e1,2025-01-06,drive belt,renew
J3,15,e2,2025-01-07,drive belt,fit
J4,15,e2,2025-01-08,drive belt,inspect
J5,15,e2,2019-01-08,drive belt,renew
"""


@pytest.mark.slow
def test_jobs_written_down_since_take_from_the_shelf_of_their_base(tmp_path: Path):
    files = {
        "parts": "".join(f"{line},{day}\n" for line, day in zip(PARTS.splitlines(), ("shelf_on", *["2024-06-01"] * 3), strict=True)),
        "boats": "vessel_id,name,vessel_class,base\n14,Teal,day boat,North\n15,Knot,day boat,South\n",
        "engines": ENGINES,
        "jobs": JOBS,
    }
    for name, text in files.items():
        (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
    taking.take_in(tmp_path / "fleet.duckdb", taking.Wish(tuple(tmp_path / f"{name}.csv" for name in files), by="test"), Settings())
    with open_published(tmp_path / "fleet.duckdb") as copy:
        used = {(row["part_id"], row["base"]): row["used"] for row in shelf.standing(copy).to_dicts()}
    assert used == {("P1", "North"): 1, ("P1", "South"): 1, ("P2", None): 1}
