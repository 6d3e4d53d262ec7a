"""Visits and spare boats by the command, on a small messy fleet: what is told, as what, and what is refused."""

from datetime import date, timedelta
from itertools import pairwise

import polars as pl
import pytest

from pipelines.command.main import main
from pipelines.terms.answers import names_of
from tests.support.small_fleet import ask, refuse


@pytest.fixture
def told(taken, capsys):
    return ask(capsys, "due", "--visits", "--within", "120d", "--ledger", taken)


def test_visits_stand_beside_the_rows_of_due(told):
    assert list(told["rows"][0]) == names_of("due")
    assert list(told["visits"][0]) == names_of("visits")


def test_every_visit_is_within_the_days_asked_for_and_holds_jobs_of_one_boat(told):
    first, last = date.fromisoformat(told["as_of"]), date.fromisoformat(told["as_of"]) + timedelta(days=120)
    assert all(first <= date.fromisoformat(visit["visit_on"]) <= last for visit in told["visits"])
    assert all(len(visit["tasks"]) == visit["jobs"] for visit in told["visits"])
    assert len({(visit["visit_on"], visit["vessel_id"]) for visit in told["visits"]}) == len(told["visits"])


def test_all_that_is_overdue_is_on_the_first_visit_of_its_boat(told):
    overdue = [row for row in told["rows"] if row["overdue"] and row["due_on"]]
    assert overdue
    assert sum(visit["overdue"] for visit in told["visits"]) == len(overdue)
    assert {visit["visit_on"] for visit in told["visits"] if visit["overdue"]} == {told["as_of"]}


def test_savings_of_the_visits_add_to_what_grouping_saves(told):
    grouping = told["grouping"]
    assert sum(visit["saving"] for visit in told["visits"]) == pytest.approx(grouping["saving"])
    assert sum(visit["cost"] for visit in told["visits"]) == pytest.approx(grouping["cost"])
    assert grouping["cost_each_on_its_day"] - grouping["cost"] == pytest.approx(grouping["saving"])
    assert grouping["saving"] > 0
    assert grouping["visits"] == len(told["visits"]) < grouping["own_days"]


def test_a_filter_on_a_base_keeps_that_bases_visits_as_they_are(taken, told, capsys):
    base = told["visits"][0]["base"]
    alone = ask(capsys, "due", "--visits", "--within", "120d", "--base", base, "--ledger", taken)
    assert alone["visits"] == [visit for visit in told["visits"] if visit["base"] == base]


def test_cheaper_visits_share_less(taken, capsys):
    many, few = (ask(capsys, "due", "--visits", "--visit-cost", cost, "--ledger", taken)["grouping"] for cost in ("1", "500"))
    assert few["visits"] / few["jobs"] < many["visits"] / many["jobs"]


def test_jobs_are_put_together_by_days_where_that_is_asked(taken, capsys):
    told = ask(capsys, "due", "--visits", "--visit-window", "14d", "--within", "60d", "--ledger", taken)
    days: dict[str, list[date]] = {}
    for visit in told["visits"]:
        days.setdefault(visit["vessel_id"], []).append(date.fromisoformat(visit["visit_on"]))
    gaps = [(after - before).days for held in days.values() for before, after in pairwise(held)]
    assert all(gap > 14 for gap in gaps)


@pytest.mark.slow
def test_without_a_cost_of_a_visit_nothing_is_said_to_be_saved(records, tmp_path, capsys):
    for file in records.iterdir():
        (tmp_path / file.name).write_bytes(file.read_bytes())
    costs = pl.read_csv(tmp_path / "costs.csv", infer_schema=False)
    costs.with_columns(visit_cost=pl.lit(None, pl.String)).write_csv(tmp_path / "costs.csv")
    ledger = tmp_path / "fleet.duckdb"
    assert main(["intake", str(tmp_path), "--ledger", str(ledger)]) == 0
    capsys.readouterr()
    assert "No visit_cost is recorded" in refuse(capsys, 1, "due", "--visits", "--ledger", ledger)
    grouped = ask(capsys, "due", "--visits", "--visit-window", "10d", "--ledger", ledger)
    assert grouped["grouping"]["saving"] is None
    assert {visit["saving"] for visit in grouped["visits"]} == {None}
    assert ask(capsys, "due", "--visits", "--visit-cost", "40", "--ledger", ledger)["grouping"]["saving"] > 0


def test_the_calendar_has_one_event_a_visit(taken, told, tmp_path, capsys):
    file = tmp_path / "visits.ics"
    assert main(["due", "--visits", "--within", "120d", "--calendar", str(file), "--ledger", str(taken)]) == 0
    capsys.readouterr()
    written = file.read_bytes().decode().replace("\r\n ", "")
    assert written.count("BEGIN:VEVENT") == len(told["visits"])
    visit = next(visit for visit in told["visits"] if visit["jobs"] > 1)
    assert f"SUMMARY:{visit['vessel_id']}: {visit['jobs']} jobs" in written
    assert len({line for line in written.split("\r\n") if line.startswith("UID:")}) == len(told["visits"])


def test_a_table_shows_visits_with_why_and_what_is_saved(taken, capsys):
    assert main(["due", "--visits", "--ledger", str(taken)]) == 0
    shown = capsys.readouterr()
    assert all(word in shown.out for word in ("visit on", "why", "saving", "licensed technician"))
    assert "in place of" in shown.err
    assert "no record says that one journey serves several boats" in shown.err


def test_spare_boats_stand_beside_the_rows_of_due(taken, capsys):
    told = ask(capsys, "due", "--spare-boats", "--ledger", taken)
    assert list(told["rows"][0]) == names_of("due")
    assert list(told["spare_boats"][0]) == names_of("spare_boats")
    pool = [row for row in told["spare_boats"] if row["group"] is None]
    assert len({row["month"] for row in pool}) == len(pool) == 12
    assert all(row["low"] <= row["boats_down"] <= row["high"] for row in told["spare_boats"])
    assert told["spare_boats_from"]["downtimes"] > 0


def test_more_certainty_takes_no_fewer_spare_boats(taken, capsys):
    needs = []
    for chance in ("0.8", "0.999"):
        rows = ask(capsys, "due", "--spare-boats", "--service-level", chance, "--ledger", taken)["spare_boats"]
        needs.append(sum(row["spares_needed"] for row in rows if row["group"] is None))
    assert needs[0] < needs[1]


def test_the_table_of_spare_boats_says_what_was_not_counted(taken, capsys):
    assert main(["due", "--spare-boats", "--ledger", str(taken)]) == 0
    shown = capsys.readouterr()
    assert "spare boats" in shown.out
    assert "Counted from" in shown.err
    assert "all boats booked" in shown.err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--visits", "--spare-boats"), "two questions"),
        (("--visit-cost", "30"), "Add --visits"),
        (("--visit-window", "7d"), "Add --visits"),
        (("--service-level", "0.9"), "Add --spare-boats"),
    ],
)
def test_an_option_without_its_question_is_refused(taken, capsys, words, said):
    assert said in refuse(capsys, 2, "due", *words, "--ledger", taken)
