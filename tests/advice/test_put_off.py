"""A task that is put off is not overdue until its day, then overdue again; never past what must be kept."""

from datetime import datetime, timedelta

import polars as pl
import pytest

from pipelines.advice.due import due_rows, due_tasks
from pipelines.advice.put_off import NOTHING_PUT_OFF
from tests.advice.made import TODAY, catalogue, derived, even_use, fleet, positions, records
from tests.advice.test_due import MONTH, NO_LOOKS, every, running


def put_off(**other) -> dict:
    plain = {
        "put_off_no": 1,
        "engine_id": "e0",
        "vessel_id": "v0",
        "component": "part",
        "task": "renew",
        "until_on": TODAY + timedelta(days=20),
        "put_off_on": TODAY - timedelta(days=2),
        "put_off_by": "Yard office",
        "because": "part on order",
        "import_id": 7,
    }
    return plain | other


def rows_with(*put_offs, age_h=230.0, months=5.0, limits=(), safety=False, plan=None, as_of=TODAY, looks=NO_LOOKS, ending="running"):
    here = positions("part", 1)
    tables = {"plan": records("plan", *(plan or [every(200)])), "limits": records("limits", *limits)}
    made = fleet(here, engine_use=even_use(1), catalogue=catalogue({"component": "part", "safety": safety}), **tables)
    said = pl.DataFrame(list(put_offs), schema=NOTHING_PUT_OFF.schema)
    tasks = due_tasks(made, derived("lives", running(age_h, months, ending)), looks, (), as_of, said, horizons=(30,))
    return due_rows(tasks, as_of, 30)


def row_with(*put_offs, **other) -> dict:
    return rows_with(*put_offs, **other).row(0, named=True)


def test_a_task_that_is_put_off_is_not_overdue_until_its_day():
    assert row_with()["overdue"] is True
    row = row_with(put_off())
    assert (row["overdue"], row["deferred_until"], row["due_on"] < TODAY) == (False, TODAY + timedelta(days=20), True)
    assert (row["put_off_by"], row["put_off_because"], row["put_off_import"]) == ("Yard office", "part on order", 7)


def test_on_its_day_it_is_overdue_again_and_says_that_it_was_put_off():
    row = row_with(put_off(until_on=TODAY))
    assert row["overdue"] is True
    assert row["deferred_until"] == TODAY
    assert f"Put off once by Yard office, until {TODAY}, which is over (part on order)." in row["because"]


def test_the_last_of_several_put_offs_counts_and_all_are_counted():
    row = row_with(put_off(until_on=TODAY - timedelta(days=1)), put_off(put_off_no=2, put_off_by="Quay hand"))
    assert (row["overdue"], row["times_put_off"], row["put_off_by"]) == (False, 2, "Quay hand")
    assert "Put off twice, last by Quay hand" in row["because"]


def test_a_put_off_that_was_taken_back_counts_for_nothing():
    row = row_with(put_off(undone_at=datetime(2026, 5, 31)))
    assert (row["overdue"], row["times_put_off"], row["deferred_until"]) == (True, 0, None)


def test_a_task_done_since_is_no_longer_put_off():
    fitted = TODAY - timedelta(days=round(5 * MONTH))
    row = row_with(put_off(put_off_on=fitted - timedelta(days=1)))
    assert (row["overdue"], row["times_put_off"]) == (True, 0)
    assert row_with(put_off(put_off_on=fitted))["times_put_off"] == 0
    assert row_with(put_off(put_off_on=fitted + timedelta(days=1)))["times_put_off"] == 1


def test_a_look_ends_the_put_off_of_looking_but_not_of_renewing():
    looked = [("e0", "v0", "part", None, "inspect", TODAY - timedelta(days=1), 279.0)]
    looks = NO_LOOKS.vstack(pl.DataFrame(looked, schema=NO_LOOKS.schema, orient="row"))
    plan = [every(200), every(0.5, task="inspect")]
    rows = rows_with(put_off(), put_off(task="inspect", put_off_no=2), plan=plan, looks=looks)
    assert dict(rows.select("task", "times_put_off").rows()) == {"renew": 1, "inspect": 0}


def test_a_part_that_failed_after_it_was_put_off_is_overdue():
    row = row_with(put_off(put_off_on=TODAY - timedelta(days=9)), ending="found failed")
    assert (row["state"], row["overdue"], row["times_put_off"]) == ("down", True, 0)


def test_the_renewal_of_a_part_that_failed_before_can_be_put_off():
    row = row_with(put_off(put_off_on=TODAY), ending="found failed")
    assert (row["state"], row["overdue"], row["times_put_off"]) == ("down", False, 1)


def test_a_put_off_until_an_age_ends_when_the_engine_has_run_it():
    row = row_with(put_off(until_on=TODAY + timedelta(days=300), until_h=250.0))
    days = (row["deferred_until"] - TODAY).days
    assert days == pytest.approx(20 / 240 * 365.25, abs=1)
    assert row_with(put_off(until_on=TODAY + timedelta(days=300), until_h=229.0))["overdue"] is True


@pytest.mark.parametrize("binding", [True, None])
def test_a_put_off_never_reaches_past_a_limit_that_must_be_kept(binding):
    limits = [{"component": "part", "task": "renew", "max_h": 240.0, "binding": binding}]
    row = row_with(put_off(until_on=TODAY + timedelta(days=60)), limits=limits, plan=[every(200)])
    assert row["deferred_until"] == row["ceiling_on"]
    assert (row["ceiling_on"] - TODAY).days == pytest.approx(10 / 240 * 365.25, abs=1)


def test_a_limit_that_is_reached_already_makes_it_overdue_whatever_was_put_off():
    row = row_with(put_off(), limits=[{"component": "part", "task": "renew", "max_h": 230.0}])
    assert row["overdue"] is True


def test_a_limit_with_written_approval_is_no_ceiling():
    limits = [{"component": "part", "task": "renew", "max_h": 230.0, "binding": False, "approval_note": "letter of 3 May"}]
    row = row_with(put_off(), limits=limits)
    assert (row["overdue"], row["ceiling_on"]) == (False, None)
    without = [{"component": "part", "task": "renew", "max_h": 230.0, "binding": False}]
    assert row_with(put_off(), limits=without)["overdue"] is True


def test_a_safety_part_without_a_limit_has_its_interval_as_ceiling():
    row = row_with(put_off(), safety=True)
    assert row["overdue"] is True
    assert row["ceiling_on"] == row["due_on"]


def test_a_put_off_of_another_place_or_task_does_not_touch_this_one():
    for other in ({"engine_id": "e1"}, {"task": "test"}, {"position": "port"}, {"component": "hose"}):
        assert row_with(put_off(**other))["times_put_off"] == 0


def test_a_put_off_stays_with_the_engine_when_it_moves_to_another_boat():
    assert row_with(put_off(vessel_id="the boat before"))["times_put_off"] == 1
