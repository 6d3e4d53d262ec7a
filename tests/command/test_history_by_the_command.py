"""Who sent what and when, what a row said before, and days after the last record, as the command tells them."""

from datetime import date, timedelta

import pytest

from pipelines.command.main import main
from tests.support.small_fleet import ask, refuse


@pytest.fixture
def corrected(own_ledger, tmp_path, capsys):
    """A ledger with a boat that was named and then renamed."""
    for name, sender in (("Late Arrival", "A. Clerk"), ("Early Arrival", "B. Clerk")):
        file = tmp_path / f"{name}.csv"
        file.write_text(f"vessel_id,name\nX99,{name}\n")
        ask(capsys, "intake", file, "--ledger", own_ledger, "--taken-in-by", sender)
    return own_ledger


def test_every_version_of_a_row_is_told_by_its_id(corrected, capsys):
    rows = ask(capsys, "records", "--history", "vessels", "X99", "--ledger", corrected)["rows"]
    assert [(row["fate"], row["file"], row["taken_by"]) for row in rows] == [
        ("superseded", "Late Arrival.csv", "A. Clerk"),
        ("accepted", "Early Arrival.csv", "B. Clerk"),
    ]
    assert rows[0]["reason"] == f"row {rows[1]['row_id']} corrected it"
    assert len(rows[0]["sha256"]) == 64
    assert "Late Arrival" in rows[0]["raw"]


def test_a_row_is_told_by_its_number_too_and_as_a_table(corrected, capsys):
    number = ask(capsys, "records", "--history", "vessels", "X99", "--ledger", corrected)["rows"][0]["row_id"]
    assert main(["records", "--row", str(number), "--ledger", str(corrected)]) == 0
    told = capsys.readouterr().out
    assert "corrected it" in told
    assert "A. Clerk" in told


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--history", "vessels", "Y1"], "'Y1': no row of vessels goes by that vessel_id"),
        (["--history", "boats", "X99"], "'boats': no such kind of record. Known: vessels"),
        (["--row", "99999999"], "no row of that number ever came in"),
    ],
)
def test_a_row_that_never_came_is_told(taken, capsys, words, said):
    assert said in refuse(capsys, 2, "records", *words, "--ledger", taken)


def test_undoing_names_who_and_tells_what_came_back(corrected, capsys):
    assert main(["intake", "--undo", "3", "--taken-in-by", "C. Clerk", "--ledger", str(corrected), "--format", "json"]) == 0
    told = capsys.readouterr()
    assert "Import 3 is undone: 1 row is out of every count, kept and marked. 1 earlier row counts again: 1 of vessels." in told.err
    imports = ask(capsys, "records", "--ledger", corrected)["imports"]
    assert [(one["import_id"], one["undone_by"]) for one in imports[:2]] == [(3, "C. Clerk"), (2, None)]
    assert (imports[0]["files"], imports[1]["taken_by"]) == ("Early Arrival.csv", "A. Clerk")


def test_the_table_of_records_shows_imports_words_and_near_misses(taken, capsys):
    assert main(["records", "--ledger", str(taken)]) == 0
    told = capsys.readouterr().out
    for heading in ("Imports", "Words taken for a near one, to be looked over", "Accepted, and in no life"):
        assert f"\n{heading}\n" in told


def test_taking_in_and_undoing_say_as_of_which_day(own_ledger, records, capsys):
    last = ask(capsys, "rates", "--ledger", own_ledger)["as_of"]
    assert ask(capsys, "intake", records, "--ledger", own_ledger)["as_of"] == last
    assert ask(capsys, "intake", "--undo", 1, "--ledger", own_ledger)["as_of"] is None


def test_one_row_left_out_is_told_in_the_singular(tmp_path, capsys):
    tickets = tmp_path / "tickets.csv"
    tickets.write_text("engine_id,done_on,component,action\nE1,2024-02-31,belt,renew\n")
    assert main(["intake", str(tickets), "--ledger", str(tmp_path / "f.duckdb")]) == 0
    assert "1 row was left out." in capsys.readouterr().err


def test_an_answer_counts_the_rows_left_out_that_touch_it(taken, capsys):
    everything = ask(capsys, "records", "--ledger", taken)
    by_kind = {row["kind"]: row["left_out"] for row in everything["rows"]}
    assert by_kind["service_tickets"] > 0
    calls, lives, one = (
        ask(capsys, *words, "--ledger", taken)["left_out"] for words in (["rates"], ["lives"], ["lives", "--component", "alternator"])
    )
    assert calls < one < lives


def test_what_is_due_can_be_asked_of_a_day_after_the_last_record(taken, capsys):
    now = ask(capsys, "due", "--within", "3000d", "--ledger", taken)
    later = date.fromisoformat(now["as_of"]) + timedelta(days=90)
    assert main(["due", "--within", "3000d", "--as-of", later.isoformat(), "--ledger", str(taken)]) == 0
    assert f"The records end on {now['as_of']}." in capsys.readouterr().err
    then = ask(capsys, "due", "--within", "3000d", "--as-of", later, "--ledger", taken)
    assert then["as_of"] == later.isoformat()
    ages = {(row["engine_id"], row["vessel_id"], row["component"], row["position"], row["task"]): row for row in now["rows"]}
    older = [
        (row["age_months"] - ages[place]["age_months"], row["due_on"], ages[place]["due_on"])
        for row in then["rows"]
        if (place := (row["engine_id"], row["vessel_id"], row["component"], row["position"], row["task"])) in ages and row["age_months"]
        if ages[place]["age_months"]
    ]
    assert older
    assert all(months == pytest.approx(90 / 30.4375, abs=0.01) for months, _, _ in older)
    # Due by months alone does not move; due by hours may move by a rounded day.
    moved = [
        abs((date.fromisoformat(new) - date.fromisoformat(old)).days) for _, new, old in older if new and old and old > later.isoformat()
    ]
    assert sorted(moved)[len(moved) // 2] <= 2


def test_lives_are_watched_only_up_to_the_last_record(taken, capsys):
    now = ask(capsys, "lives", "--ledger", taken)
    later = date.fromisoformat(now["as_of"]) + timedelta(days=90)
    then = ask(capsys, "lives", "--as-of", later, "--ledger", taken)
    assert (then["as_of"], then["rows"]) == (now["as_of"], now["rows"])
    assert main(["lives", "--as-of", later.isoformat(), "--ledger", str(taken)]) == 0
    assert "so this is told as of that day" in capsys.readouterr().err


def test_more_than_a_year_after_the_last_record_nothing_is_told(taken, capsys):
    assert "more than a year after" in refuse(capsys, 1, "due", "--as-of", "2199-01-01", "--ledger", taken)


def test_an_interval_without_a_part_to_adopt_it_for_is_refused(taken, capsys):
    assert "Name the part with --adopt COMPONENT" in refuse(capsys, 2, "intervals", "--every-h", 100, "--ledger", taken)
