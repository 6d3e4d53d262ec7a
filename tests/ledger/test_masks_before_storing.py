from hashlib import blake2b, sha256

import polars as pl
import pytest

from pipelines.intake.masking import counted, mask
from pipelines.intake.masks import Known
from pipelines.intake.taking import read_file
from pipelines.ledger.writing import open_for_writing

TICKETS = """ticket_id,vessel_id,done_on,component,action,done_by,customer,van reg,notes
T1,W1,2025-05-01,impeller,renew,Oona Vostrel,Vostrel party,AB12 CDE,"spoke to Mr Quillfeather, ring 07700 900123"
T2,W1,2025-05-02,impeller,renew,bench 4,H-1023,,at service with Anna Blue
T3,W1,2025-02-30,impeller,renew,bench 4,,,"called by Sophie, oona@example.org"
"""
BOATS = "vessel_id,name,hin,owner\nW1,Anna Blue,GB-ABC12345D626,Sophie Vostrel\n"
TOLD = ("Oona", "Vostrel", "AB12 CDE", "Quillfeather", "07700 900123", "Sophie", "oona@example.org")


@pytest.fixture
def files(tmp_path):
    for name, text in (("tickets", TICKETS), ("boats", BOATS)):
        (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
    return [tmp_path / "tickets.csv", tmp_path / "boats.csv"]


@pytest.fixture
def ledger(tmp_path):
    with open_for_writing(tmp_path / "fleet.duckdb", "test") as opened:
        yield opened


def taken_in(ledger, files):
    return ledger.take_in([taken for file in files for taken in read_file(file)], "A. Tester")


def everything(ledger) -> str:
    """Every value of every table of the ledger, but for who took it in."""
    tables = ledger.frame("select schema_name, table_name from duckdb_tables() where schema_name in ('received', 'held')")
    return "\n".join(ledger.frame(f"select * from {schema}.{table}").write_csv() for schema, table in tables.iter_rows())


def test_nothing_that_tells_who_somebody_is_is_in_any_table_of_the_ledger(ledger, files):
    taken_in(ledger, files)
    held = everything(ledger)
    assert [word for word in TOLD if word in held] == []
    assert "Anna Blue" in held
    assert "at service with Anna Blue" in held


def test_names_become_initials_where_who_did_it_is_told_and_codes_stay(ledger, files):
    taken_in(ledger, files)
    assert ledger.frame("select done_by from held.service_tickets order by row_id")["done_by"].to_list() == ["O.V.", "bench 4"]


def test_the_row_as_it_came_keeps_its_cells_and_the_hash_of_how_it_came(ledger, files):
    taken_in(ledger, files)
    raw, original = ledger.frame("select raw, original_hash from received.rows where line = 2 and kind = 'service_tickets'").row(0)
    assert raw == ('T1,W1,2025-05-01,impeller,renew,[name],[name],[registration mark],"spoke to Mr [name], ring [telephone number]"')
    key = sha256(files[0].read_bytes()).hexdigest().encode()
    assert original == blake2b(TICKETS.splitlines()[1].encode(), digest_size=16, key=key).hexdigest()
    assert ledger.frame("select original_hash from received.rows where line = 3 and kind = 'service_tickets'").item() is None


def test_a_row_left_out_is_masked_too_and_still_says_its_fault(ledger, files):
    taken_in(ledger, files)
    raw, value, reason = ledger.frame("select raw, value, reason from received.faults join received.rows using (row_id)").row(0)
    assert raw == 'T3,W1,2025-02-30,impeller,renew,bench 4,,,"called by [name], [e-mail address]"'
    assert value == "2025-02-30"
    assert "line 4" in reason


def test_how_much_was_masked_is_kept_with_the_import_and_said(ledger, files):
    told = ledger.masked(taken_in(ledger, files).import_id)
    assert told == {"name": 5, "telephone number": 1, "e-mail address": 1, "registration mark": 1}
    assert counted(told) == "5 names, 1 telephone number, 1 e-mail address and 1 registration mark were masked before storing."
    assert counted(dict.fromkeys(told, 0)) == ""


def test_a_registration_in_a_column_of_the_boats_own_stays_in_the_ledger(ledger, files):
    taken_in(ledger, files)
    assert ledger.frame("select extra from held.vessels").item() == '{"hin":"GB-ABC12345D626","owner":"[name]"}'


def test_the_same_rows_sent_again_are_repeated_and_a_corrected_note_supersedes(ledger, files, tmp_path):
    taken_in(ledger, files)
    again = tmp_path / "again.csv"
    again.write_text(TICKETS.replace("T2,W1,2025-05-02", "T2,W1,2025-05-03"), encoding="utf-8")
    counts = taken_in(ledger, [again]).counts["service_tickets"]
    assert (counts.repeated, counts.accepted, counts.left_out) == (1, 1, 1)
    assert taken_in(ledger, files).counts["service_tickets"].repeated == 3


def test_the_lines_of_a_large_file_are_masked_and_keep_their_numbers(files):
    whole = read_file(files[0])[0]
    lines = TICKETS.encode().split(b"\n", 1)[1]
    part = type(whole)(**{**vars(whole), "rows": whole.rows.with_columns(pl.lit(None, pl.String).alias("raw")), "text": (2, lines)})
    told = mask(part, Known.of(["Anna Blue"])).taken
    assert told.rows["raw"].null_count() == 2
    assert told.text is not None
    first, masked = told.text
    assert first == 2
    assert [word for word in TOLD if word in masked.decode()] == []
    assert masked.count(b"\n") == lines.count(b"\n")
    assert masked.split(b"\n")[1] == lines.split(b"\n")[1]


def test_rows_without_anybody_in_them_are_the_same_rows(files):
    whole = read_file(files[0])[0]
    plain = type(whole)(**{**vars(whole), "rows": whole.rows.filter(pl.col("ticket_id") == "T2"), "left_out": whole.left_out.clear()})
    told = mask(plain, Known.of(["Anna Blue"]))
    assert told.taken.rows.drop("original_hash").equals(plain.rows)
    assert set(told.counts.values()) == {0}
