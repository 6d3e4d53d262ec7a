"""A task is put off by name, with a reason and until a day; refused past what must be kept; taken back by its import."""

from datetime import date, timedelta

import pytest

from pipelines.command.main import main
from tests.support.small_fleet import ask, refuse

SIGNED = ("--put-off-by", "Yard office", "--because", "part on order")
FAR = "2035-01-01"


@pytest.fixture
def free(own_ledger, capsys) -> dict:
    """An overdue task that nothing forbids to put off."""
    return _first(own_ledger, capsys, lambda row: row["ceiling_on"] is None and row["task"] == "renew")


def _first(ledger, capsys, wanted) -> dict:
    rows = ask(capsys, "due", "--ledger", ledger)["rows"]
    found = [row for row in rows if row["overdue"] and row["state"] == "running" and wanted(row)]
    assert found
    return found[0]


def where(row: dict) -> tuple[str, ...]:
    named = {"--engine": row["engine_id"], "--boat": row["vessel_id"], "--position": row["position"], "--task": row["task"]}
    return ("due", "--put-off", row["component"], *(word for pair in named.items() if pair[1] for word in pair))


def same(row: dict, rows: list[dict]) -> dict:
    place = ("engine_id", "vessel_id", "component", "position", "task")
    return next(one for one in rows if all(one[name] == row[name] for name in place))


def test_what_is_put_off_is_told_in_the_list_and_taken_back_by_its_import(own_ledger, free, capsys):
    told = ask(capsys, *where(free), "--until", FAR, *SIGNED, "--ledger", own_ledger)
    row = same(free, told["rows"])
    assert (row["overdue"], row["deferred_until"], row["times_put_off"]) == (False, FAR, 1)
    assert f"Put off once by Yard office, until {FAR} (part on order)." in row["because"]
    imports = ask(capsys, "records", "--ledger", own_ledger)["imports"]
    assert f"put off: renew {free['component']}" in imports[0]["files"]
    listed = ask(capsys, "due", "--put-offs", "--ledger", own_ledger)["rows"]
    assert [(one["put_off_by"], one["state"], one["import_id"]) for one in listed] == [("Yard office", "in force", row["put_off_import"])]
    assert main(["intake", "--undo", str(row["put_off_import"]), "--taken-in-by", "Quay hand", "--ledger", str(own_ledger)]) == 0
    assert "1 row is out of every count" in capsys.readouterr().err
    again = same(free, ask(capsys, "due", "--ledger", own_ledger)["rows"])
    assert (again["overdue"], again["deferred_until"]) == (True, None)
    listed = ask(capsys, "due", "--put-offs", "--ledger", own_ledger)["rows"]
    assert [(one["state"], one["undone_by"]) for one in listed] == [("taken back", "Quay hand")]


def test_a_day_before_it_was_put_off_does_not_know_of_it(own_ledger, free, capsys):
    ask(capsys, *where(free), "--until", FAR, *SIGNED, "--ledger", own_ledger)
    day = ask(capsys, "due", "--ledger", own_ledger)["as_of"]
    then = same(free, ask(capsys, "due", "--as-of", day, "--ledger", own_ledger)["rows"])
    assert (then["overdue"], then["times_put_off"]) == (True, 0)


def test_a_later_put_off_replaces_the_one_before(own_ledger, free, capsys):
    for until in (FAR, "2036-01-01"):
        told = ask(capsys, *where(free), "--until", until, *SIGNED, "--ledger", own_ledger)
    assert same(free, told["rows"])["times_put_off"] == 2
    listed = ask(capsys, "due", "--put-offs", "--ledger", own_ledger)["rows"]
    assert [one["state"] for one in listed] == ["in force", "replaced"]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--until", FAR, "--because", "why"), "needs who and why"),
        (("--until", FAR, "--put-off-by", "Yard office"), "needs who and why"),
        (SIGNED, "needs a day: --until DATE"),
        (("--until", "2001-01-01", *SIGNED), "Give a later day"),
        (("--until", FAR, "--until-h", "1", *SIGNED), "Give more hours"),
    ],
)
def test_what_is_missing_or_past_is_refused_with_the_way_out(own_ledger, free, capsys, words, told):
    assert told in refuse(capsys, 2, *where(free), *words, "--ledger", own_ledger)
    assert ask(capsys, "due", "--put-offs", "--ledger", own_ledger)["rows"] == []


def test_a_task_that_is_not_there_or_not_alone_is_refused(own_ledger, free, capsys):
    nowhere = ("due", "--put-off", "drive belt", "--until", FAR, *SIGNED, "--ledger", own_ledger)
    assert "needs where" in refuse(capsys, 2, *nowhere)
    assert "no boat of that number or name" in refuse(capsys, 2, *nowhere, "--boat", "Nobody's")
    assert "no such task" in refuse(
        capsys, 2, "due", "--put-off", "sail", "--engine", free["engine_id"], "--until", FAR, *SIGNED, "--ledger", own_ledger
    )


def test_a_task_not_yet_due_by_that_day_is_refused(own_ledger, capsys):
    rows = ask(capsys, "due", "--within", "365d", "--ledger", own_ledger)
    day = date.fromisoformat(rows["as_of"]) + timedelta(days=1)
    coming = [row for row in rows["rows"] if row["due_on"] and date.fromisoformat(row["due_on"]) > day]
    assert "nothing to put off" in refuse(capsys, 2, *where(coming[-1]), "--until", day, *SIGNED, "--ledger", own_ledger)


def test_a_limit_or_a_safety_part_is_not_put_off_past_its_ceiling(own_ledger, capsys):
    kept = _first(own_ledger, capsys, lambda row: row["ceiling_on"] is not None)
    told = refuse(capsys, 2, *where(kept), "--until", FAR, *SIGNED, "--ledger", own_ledger)
    assert kept["ceiling_on"] in told
    assert "It cannot be put off: do it" in told


def test_a_ceiling_still_to_come_may_be_used_up_and_no_more(own_ledger, capsys):
    rows = ask(capsys, "due", "--within", "365d", "--ledger", own_ledger)
    early = [row for row in rows["rows"] if row["ceiling_on"] and row["due_on"] and row["ceiling_on"] > max(row["due_on"], rows["as_of"])]
    if not early:
        pytest.skip("no plan of the small fleet is shorter than its limit")
    told = refuse(capsys, 2, *where(early[0]), "--until", FAR, *SIGNED, "--ledger", own_ledger)
    assert f"Put it off until {early[0]['ceiling_on']} or an earlier day" in told
