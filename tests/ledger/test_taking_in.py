import polars as pl
import pytest

from pipelines.errors import RowsLeftOut, WrongInput
from pipelines.ledger import taking_in
from pipelines.ledger.counts import Counts
from pipelines.ledger.writing import open_for_writing
from pipelines.terms.tables import RECORD_KINDS
from tests.support.ledgers import boats, taking

BY = "A. Tester"


@pytest.fixture
def ledger(tmp_path):
    with open_for_writing(tmp_path / "fleet.duckdb", "test") as opened:
        yield opened


def fates(ledger) -> list[str]:
    return ledger.frame("select fate from received.rows order by row_id")["fate"].to_list()


def names(ledger) -> dict[str, str]:
    accepted = "select vessel_id, name from held.vessels join received.rows using (row_id) where fate = 'accepted'"
    return dict(ledger.frame(accepted).iter_rows())


def test_every_row_comes_in_with_its_place_and_as_it_came(ledger):
    ledger.take_in([boats("W1=Wren", "W2=Teal", file="boats.csv", sha256="aa")], BY)
    rows = ledger.frame("select row_id, line, rows.kind, raw, file, sha256, header from received.rows join received.files using (file_id)")
    assert rows["row_id"].to_list() == [1, 2]
    assert rows["line"].to_list() == [2, 3]
    assert rows.row(0)[2:] == ("vessels", "{'vessel_id': 'W1', 'name': 'Wren'}", "boats.csv", "aa", '["header"]')


@pytest.mark.parametrize("kind", RECORD_KINDS.values(), ids=lambda kind: kind.name)
def test_every_kind_is_held_with_its_types_and_words_as_written(ledger, kind):
    ledger.take_in([taking(kind.name, [{}], "one.csv")], BY)
    frame = ledger.frame(f"select * from held.{kind.name}")
    assert frame.columns == ["row_id", *kind.column_names, "extra"]
    assert all(frame.schema[column.name] == column.polars_type for column in kind.columns)
    assert frame.height == 1


def test_the_same_key_and_content_is_repeated(ledger):
    taken = ledger.take_in([boats("W1=Wren", "W1=Wren")], BY)
    assert taken.counts == {"vessels": Counts(rows_in=2, accepted=1, repeated=1)}


def test_the_same_key_with_other_content_supersedes(ledger):
    ledger.take_in([boats("W1=Wren")], BY)
    taken = ledger.take_in([boats("W1=Teal")], BY)
    assert taken.counts == {"vessels": Counts(rows_in=1, accepted=1)}
    assert taken.corrected == {"vessels": 1}
    assert fates(ledger) == ["superseded", "accepted"]
    assert names(ledger) == {"W1": "Teal"}


def test_an_old_row_that_comes_again_does_not_undo_its_correction(ledger):
    for name in ("Wren", "Teal", "Wren"):
        ledger.take_in([boats(f"W1={name}")], BY)
    assert fates(ledger) == ["superseded", "accepted", "repeated"]


def test_of_several_corrections_in_one_file_the_last_line_counts(ledger):
    taken = ledger.take_in([boats("W1=Wren", "W1=Teal", "W1=Tern", "W1=Teal")], BY)
    assert fates(ledger) == ["superseded", "superseded", "accepted", "repeated"]
    assert taken.total == Counts(rows_in=4, accepted=1, repeated=1, superseded=2)


def test_a_faulty_row_is_left_out_with_its_reason_and_counted(ledger):
    taken = ledger.take_in([boats("W1=Wren", faulty=2)], BY)
    assert taken.total == Counts(rows_in=3, accepted=1, left_out=2)
    faults = ledger.frame('select line, "column", value, reason from received.faults join received.rows using (row_id) order by line')
    assert faults.row(0) == (3, "tank_l", "full", "boats.csv, line 3, tank_l: 'full'. Litres are a number such as 90.")


def test_rows_are_numbered_in_order_of_line_whether_sound_or_faulty(ledger):
    taken = boats("W1=Wren", "W2=Teal", faulty=1)
    first = taken.left_out.with_columns(line=pl.lit(1, pl.Int64))
    ledger.take_in([type(taken)(taken.kind, taken.file, "", "", (), taken.rows, first)], BY)
    assert fates(ledger) == ["left_out", "accepted", "accepted"]


def test_sheets_of_a_workbook_are_told_apart(ledger):
    sheets = [taking("vessels", [{"vessel_id": sheet}], "boats.xlsx", sheet=sheet, sha256="aa") for sheet in ("2023", "2024")]
    ledger.take_in(sheets, BY)
    assert ledger.frame("select sheet from received.files order by file_id")["sheet"].to_list() == ["2023", "2024"]


def test_several_files_and_kinds_are_one_import(ledger):
    calls = taking("rescue_calls", [{"call_id": "C1", "vessel_id": "W1"}], "calls.csv")
    taken = ledger.take_in([boats("W1=Wren"), calls], BY)
    assert taken.import_id == 1
    assert {kind: counts.accepted for kind, counts in taken.counts.items()} == {"vessels": 1, "rescue_calls": 1}
    assert ledger.version == 1


def test_equal_hashes_of_other_keys_and_contents_do_not_meet(ledger, monkeypatch):
    """With every row hashed to the same number only the exact compare is left, and nothing changes."""
    monkeypatch.setattr(taking_in, "hashed", lambda _: "7")
    one, other = boats("W1=Wren", "W2=Teal", "W1=Wren", "W2=Tern"), taking("rescue_calls", [{"call_id": "W1"}, {"vessel_id": "W1"}])
    ledger.take_in([one, other], BY)
    assert fates(ledger) == ["accepted", "superseded", "repeated", "accepted", "accepted", "accepted"]
    ledger.undo(1, BY)
    ledger.take_in([boats("W2=Teal")], BY)
    assert fates(ledger) == [*["undone"] * 6, "accepted"]


def test_keys_of_different_kinds_do_not_meet(ledger):
    calls, trips = (taking(kind, [{name: "1", "vessel_id": "W1"}]) for kind, name in (("rescue_calls", "call_id"), ("trips", "trip_id")))
    ledger.take_in([calls, trips], BY)
    assert fates(ledger) == ["accepted", "accepted"]
    assert ledger.frame("select count(distinct key_hash) from received.rows").item() == 2


def test_a_ledger_hashed_by_another_duckdb_is_hashed_anew_when_it_is_opened(tmp_path):
    path = tmp_path / "older.duckdb"
    with open_for_writing(path, "test") as opened:
        opened.take_in([boats("W1=Wren"), taking("rescue_calls", [{"vessel_id": "W1", "call_id": None}], "calls.csv")], BY)
        right = opened.frame("select key_hash from received.rows order by row_id").rows()
        opened.connection.execute("update received.rows set key_hash = row_id; update received.state set hashed_as = 1")
    with open_for_writing(path, "test") as opened:
        assert opened.frame("select key_hash from received.rows order by row_id").rows() == right
        assert opened.take_in([boats("W1=Wren")], BY).total.repeated == 1


def test_the_same_file_again_is_told_as_repeated_and_nothing_is_written(ledger):
    ledger.take_in([boats("W1=Wren", "W2=Teal", sha256="aa", faulty=1)], BY)
    taken = ledger.take_in([boats("W1=Wren", "W2=Teal", sha256="aa", faulty=1)], BY)
    assert taken.import_id is None
    assert taken.counts == {"vessels": Counts(rows_in=3, repeated=3)}
    assert taken.files_again == ("boats.csv",)
    assert ledger.version == 1
    assert ledger.reconciliation().row(0) == ("vessels", 3, 2, 0, 0, 1)


def test_a_copy_of_a_file_in_the_same_import_is_told_as_repeated(ledger):
    taken = ledger.take_in([boats("W1=Wren", sha256="aa"), boats("W1=Wren", sha256="aa", file="copy of boats.csv")], BY)
    assert taken.counts == {"vessels": Counts(rows_in=2, accepted=1, repeated=1)}
    assert taken.files_again == ("copy of boats.csv",)
    assert len(fates(ledger)) == 1


def test_a_known_file_beside_a_new_one_leaves_the_new_one_to_be_taken(ledger):
    ledger.take_in([boats("W1=Wren", sha256="aa")], BY)
    taken = ledger.take_in([boats("W1=Wren", sha256="aa"), boats("W3=Tern", sha256="bb", file="more.csv")], BY)
    assert taken.counts == {"vessels": Counts(rows_in=2, accepted=1, repeated=1)}


def test_the_same_file_read_with_another_mapping_comes_in(ledger):
    ledger.take_in([boats("W1=Wren", sha256="aa", faulty=1)], BY)
    taken = ledger.take_in([boats("W1=Wren", "W2=Teal", sha256="aa")], BY, "[columns]")
    assert taken.counts == {"vessels": Counts(rows_in=2, accepted=1, repeated=1)}


def test_a_file_read_with_the_kept_mapping_is_the_same_file(ledger):
    ledger.take_in([boats("W1=Wren", sha256="aa")], BY, "[columns]")
    assert ledger.take_in([boats("W1=Wren", sha256="aa")], BY).import_id is None
    ledger.take_in([boats("W2=Teal", sha256="bb", file="more.csv")], BY)
    assert ledger.take_in([boats("W2=Teal", sha256="bb", file="more.csv")], BY, "[columns]").import_id is None


def test_the_same_file_comes_in_again_after_it_was_undone(ledger):
    first = ledger.take_in([boats("W1=Wren", sha256="aa")], BY)
    ledger.undo(first.import_id, BY)
    assert ledger.take_in([boats("W1=Wren", sha256="aa")], BY).total == Counts(rows_in=1, accepted=1)


def test_rows_written_by_hand_have_no_file_to_be_the_same_as(ledger):
    for name in ("Wren", "Teal"):
        ledger.take_in([boats(f"W1={name}", file="adopted by hand")], BY)
    assert names(ledger) == {"W1": "Teal"}


def test_strict_takes_in_nothing_when_a_row_would_be_left_out(ledger):
    with pytest.raises(RowsLeftOut, match=r"boats\.csv, line 3, tank_l: 'full'.*\nNothing was taken in") as refusal:
        ledger.take_in([boats("W1=Wren", faulty=1)], BY, strict=True)
    assert refusal.value.exit_code == 1
    assert ledger.version == 0
    assert fates(ledger) == []


def test_strict_names_the_first_faults_and_counts_the_rest(ledger):
    with pytest.raises(RowsLeftOut, match="and 2 more"):
        ledger.take_in([boats("W1=Wren", faulty=7)], BY, strict=True)


def test_strict_takes_sound_rows_in(ledger):
    assert ledger.take_in([boats("W1=Wren")], BY, strict=True).total.accepted == 1


def test_undoing_takes_the_rows_out_of_the_count_and_keeps_them(ledger):
    ledger.take_in([boats("W1=Wren", "W2=Teal", faulty=1)], BY)
    undone = ledger.undo(1, BY)
    assert undone.rows_out == {"vessels": 3}
    assert ledger.reconciliation().is_empty()
    assert fates(ledger) == ["undone"] * 3
    assert ledger.frame("select undone_by from received.imports").item() == BY


def test_undoing_a_correction_brings_the_corrected_row_back(ledger):
    ledger.take_in([boats("W1=Wren")], BY)
    ledger.take_in([boats("W1=Teal")], BY)
    assert ledger.undo(2, BY).restored == {"vessels": 1}
    assert names(ledger) == {"W1": "Wren"}


def test_undoing_the_first_telling_lets_the_repeat_count(ledger):
    ledger.take_in([boats("W1=Wren")], BY)
    ledger.take_in([boats("W1=Wren", "W2=Teal")], BY)
    ledger.undo(1, BY)
    assert fates(ledger) == ["undone", "accepted", "accepted"]


def test_undoing_what_was_never_taken_in_is_refused(ledger):
    with pytest.raises(WrongInput, match=r"--undo 7: no such import\. Nothing has been taken in yet"):
        ledger.undo(7, BY)
    ledger.take_in([boats("W1=Wren")], BY)
    with pytest.raises(WrongInput, match="There are imports 1 to 1"):
        ledger.undo(7, BY)
    assert ledger.version == 1


def test_undoing_twice_is_refused(ledger):
    ledger.take_in([boats("W1=Wren")], BY)
    ledger.undo(1, BY)
    with pytest.raises(WrongInput, match="undone already"):
        ledger.undo(1, BY)
    assert ledger.version == 2


def test_every_change_raises_the_version_by_one(ledger):
    ledger.take_in([boats("W1=Wren")], BY)
    ledger.undo(1, BY)
    ledger.settle_word("component", "impellor", "raw-water pump impeller", BY)
    assert ledger.version == 3


def test_a_settled_word_is_remembered_and_the_last_settling_counts(ledger):
    ledger.settle_word("component", "pump kit", "fuel pump", BY)
    ledger.settle_word("component", "pump kit", "raw-water pump impeller", BY)
    assert ledger.settled_words().select("list", "word", "code", "settled_by").rows() == [
        ("component", "pump kit", "raw-water pump impeller", BY)
    ]


def test_the_mapping_is_kept_and_the_last_one_that_stands_is_used_again(ledger):
    assert ledger.kept_mapping() == ""
    ledger.take_in([boats("W1=Wren")], BY, "first")
    ledger.take_in([boats("W2=Teal")], BY, "second")
    ledger.take_in([boats("W3=Tern", file="adopted by hand")], BY)
    assert ledger.kept_mapping() == "second"
    ledger.undo(2, BY)
    assert ledger.kept_mapping() == "first"


def test_a_change_that_fails_leaves_nothing_behind(ledger):
    broken = boats("W1=Wren")
    wrong = type(broken)("vessels", "boats.csv", "", "", (), broken.rows.drop("name"), broken.left_out)
    with pytest.raises(pl.exceptions.ColumnNotFoundError):
        ledger.take_in([broken, wrong], BY)
    assert ledger.version == 0
    assert fates(ledger) == []
    assert not ledger.beside.owed.exists()
    assert ledger.take_in([broken], BY).import_id == 1
