"""The due list by the command: why and the chance, boats tied up, the yard's weeks, and a calendar file."""

from pathlib import Path

from icalendar import Calendar

from pipelines.command.main import main
from pipelines.terms.answers import names_of
from tests.support.small_fleet import ask

PLACE = ("engine_id", "vessel_id", "component", "position", "task")
CONTRACT = (*PLACE, "fitted_on", "age_h", "age_months", "due_in_h", "due_on", "overdue", "deferred_until", "failure_probability", "caution")


def test_the_due_list_keeps_the_keys_of_the_contract_and_says_why(taken, capsys):
    told = ask(capsys, "due", "--ledger", taken)
    assert list(told["rows"][0]) == names_of("due")
    assert tuple(told["rows"][0])[: len(CONTRACT)] == CONTRACT
    assert all(row["because"] and row["caution"] for row in told["rows"])
    assert all(row["due_on"] or row["because"] for row in told["rows"])
    assert sum(told["not_known"].values()) == sum(row["due_on"] is None for row in told["rows"])


def test_the_weeks_hold_no_more_than_the_hours_that_were_given_and_every_task_once(taken, capsys):
    told = ask(capsys, "due", "--hours-a-week", 4, "--ledger", taken)
    assert told["yard_hours_a_week"] == 4
    assert len(told["weeks"]) == len(told["rows"])
    for week in told["week_totals"]:
        assert week["labour_h"] <= 4 + 1e-9 or week["jobs"] == 1
    late = [row for row in told["weeks"] if row["weeks_late"]]
    assert late
    assert all("does not fit in the week of" in row["note"] for row in late)
    assert told["does_not_fit"] == [row for row in told["weeks"] if row["note"]]


def test_the_chance_is_told_up_to_the_next_visit(taken, capsys):
    near, far = (ask(capsys, "due", "--next-visit", days, "--ledger", taken) for days in ("14d", "120d"))
    assert (near["next_visit_days"], far["next_visit_days"]) == (14, 120)
    pairs = [(a["failure_probability"], b["failure_probability"]) for a, b in zip(near["rows"], far["rows"], strict=True)]
    assert all(low <= high for low, high in pairs if low is not None)
    assert any(low < high for low, high in pairs if low is not None)


def test_boats_that_should_stay_tied_up_have_one_line_each_with_their_reasons(taken, capsys):
    told = ask(capsys, "due", "--ledger", taken)
    boats = [row["vessel_id"] for row in told["tied_up"]]
    assert len(boats) == len(set(boats))
    assert all(row["reasons"] and row["jobs"] == len(row["reasons"]) for row in told["tied_up"])
    assert main(["due", "--ledger", str(taken)]) == 0
    listed = capsys.readouterr().out
    assert ("Boats that should stay tied up" in listed) == bool(boats)
    assert all(row["reason"] in listed for row in told["tied_up"][:20])


def test_the_calendar_of_the_command_is_read_back_with_every_task_that_has_a_day(taken, capsys, tmp_path: Path):
    file = tmp_path / "due.ics"
    told = ask(capsys, "due", "--calendar", file, "--ledger", taken)
    events = Calendar.from_ical(file.read_bytes()).walk("VEVENT")
    assert len(events) == sum(row["due_on"] is not None for row in told["rows"])
