"""Jobs of a fleet laid onto visits: what is shared, what it is said to save, and the words of it."""

from datetime import date, timedelta

import polars as pl
import pytest

from pipelines.advice.visit_plan import Manner, planned_visits
from pipelines.advice.visit_rows import together, visit_rows
from pipelines.terms.answers import names_of
from tests.advice.made import TODAY, fleet, positions, records
from tests.advice.test_moving import SCHEMA, job

DAYS = 200


def task(due_in=30, boat="v0", component="part", **said) -> dict:
    plain = {"base": "north", "vessel_class": "launch", "caution": f"Mind the {component}."}
    without_costs = {name: cell for name, cell in job(due_in).items() if not name.endswith("_cost")}
    return without_costs | plain | {"vessel_id": boat, "component": component} | said


TASK_SCHEMA = {**SCHEMA, **dict.fromkeys(("base", "vessel_class", "caution"), pl.String)}


def plan(*tasks: dict, visit_cost: float | None = 35.0, manner: Manner | None = None, **costs: float) -> pl.DataFrame:
    parts = sorted({one["component"] for one in tasks}) or ["part"]
    rows = [
        {"component": part, "planned_cost": 100.0, "failure_cost": 600.0, "visit_cost": costs.get(part, visit_cost), "currency": "EUR"}
        for part in parts
    ]
    made = fleet(positions("part", 1), costs=records("costs", *rows))
    return planned_visits(pl.DataFrame(list(tasks), schema=TASK_SCHEMA), made, [], TODAY, DAYS, manner or Manner())


def on(day: int) -> date:
    return TODAY + timedelta(days=day)


def test_jobs_due_close_together_share_a_visit():
    rows = visit_rows(plan(task(30), task(33, component="other"), task(150, component="third")))
    assert rows["visit_on"].to_list() == [on(30), on(150)] or rows["visit_on"].to_list() == [on(33), on(150)]
    assert rows["jobs"].to_list() == [2, 1]


def test_boats_do_not_share_a_visit():
    assert visit_rows(plan(task(30), task(30, boat="v1"))).height == 2


def test_what_sharing_saves_is_a_visit_less_what_moving_costs():
    row = visit_rows(plan(task(30), task(33, component="other", safety=True, hidden=False))).row(0, named=True)
    assert row["saving"] == pytest.approx(70 - 35 - row["moving_cost"])
    assert row["cost"] == pytest.approx(35 + row["moving_cost"])


def test_jobs_due_on_one_day_are_not_said_to_save_a_visit():
    row = visit_rows(plan(task(30), task(30, component="other"))).row(0, named=True)
    assert (row["jobs"], row["saving"]) == (2, 0.0)


def test_a_visit_costs_the_dearest_of_what_the_parts_of_the_boat_say():
    rows = visit_rows(plan(task(30), task(150, component="other"), visit_cost=35.0, other=60.0))
    assert set(rows["visit_cost"]) == {60.0}


def test_a_part_without_a_cost_of_a_visit_takes_the_fleets():
    made = fleet(positions("part", 1), costs=records("costs", {"component": "other", "visit_cost": 35.0}))
    jobs = planned_visits(pl.DataFrame([task(30)], schema=TASK_SCHEMA), made, [], TODAY, DAYS, Manner())
    assert jobs["visit_cost"].to_list() == [35.0]


def test_where_no_visit_has_a_cost_there_are_no_visits_unless_a_window_is_given():
    assert plan(task(30), task(33), visit_cost=None).is_empty()
    jobs = plan(task(30), task(33, component="other"), task(50, component="third"), visit_cost=None, manner=Manner(window_days=7))
    assert jobs["visit_on"].to_list() == [on(30), on(30), on(50)]
    assert together(jobs)["saving"] is None
    assert visit_rows(jobs)["saving"].null_count() == 2


def test_a_given_cost_of_a_visit_counts_in_place_of_the_recorded():
    assert visit_rows(plan(task(30), manner=Manner(visit_cost=12.0)))["visit_cost"].to_list() == [12.0]


def test_a_job_whose_day_is_not_known_is_on_no_visit():
    assert plan(task(30), task(40, component="other", due_on=None))["component"].to_list() == ["part"]


def test_the_fleets_total_is_beside_each_job_on_its_day_and_all_at_one_service():
    jobs = plan(task(10), task(14, component="other"), task(170, component="third"), task(60, boat="v1"))
    told = together(jobs)
    assert (told["jobs"], told["boats"], told["visits"], told["own_days"]) == (4, 2, 3, 4)
    assert told["cost_each_on_its_day"] == pytest.approx(4 * 35)
    assert told["cost"] == pytest.approx(3 * 35 + jobs["moving_cost"].sum())
    assert told["cost_all_at_one_service"] > told["cost"]
    assert told["saving"] == pytest.approx(told["cost_each_on_its_day"] - told["cost"])


def test_a_visit_says_what_sets_its_day_what_was_moved_to_it_and_its_cautions():
    row = visit_rows(plan(task(-3), task(8, component="other", safety=True))).row(0, named=True)
    assert list(row) == names_of("visits")
    assert row["why"] == "Overdue: part; brought forward 8 days: other."
    assert row["tasks"] == ["renew part (e0)", "renew other (e0)"]
    assert row["caution"] == ["Mind the part.", "Mind the other."]
    assert row["overdue"] == 1


def test_a_visit_says_what_was_put_back():
    jobs = plan(task(30, every_h=None, every_months=24.0), task(33, component="other", task="test"))
    assert visit_rows(jobs)["why"].item() == "Due that day: other; put back 3 days: part."


def test_a_visit_on_the_day_a_job_was_put_off_to_says_so():
    jobs = plan(task(-5, overdue=False, deferred_until=on(20)))
    assert visit_rows(jobs)["why"].item() == "Due that day as put off: part."


def test_no_jobs_make_no_visits_and_no_saving():
    told = together(plan())
    assert (told["visits"], told["cost"], told["saving"]) == (0, 0.0, 0.0)
    assert visit_rows(plan()).is_empty()
