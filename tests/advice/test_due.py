from datetime import date, timedelta

import polars as pl
import pytest

from pipelines.advice.case import Estimate
from pipelines.advice.due import NOT_KNOWN, due_rows, due_tasks
from pipelines.advice.looks import last_looks
from pipelines.advice.present import DOWN, RUNNING, UNKNOWN, present_parts
from pipelines.terms.answers import names_of
from pipelines.terms.cautions import caution_for
from tests.advice.made import TODAY, derived, even_use, fleet, positions, records, weibull

MONTH = 365.25 / 12
NO_LOOKS = pl.DataFrame(
    schema={
        "engine_id": pl.String,
        "vessel_id": pl.String,
        "component": pl.String,
        "position": pl.String,
        "task": pl.String,
        "done_on": pl.Date,
        "done_h": pl.Float64,
    }
)


def running(age_h: float | None = 100.0, months=5.0, ending="running", engine="e0", component="part"):
    began = TODAY - timedelta(days=round(months * MONTH))
    life = {
        "life_id": "x",
        "engine_id": engine,
        "vessel_id": "v0",
        "component": component,
        "began_on": began,
        "ended_on": TODAY,
        "ending": ending,
    }
    return {**life, "began_h": 50.0, "low_h": age_h, "low_months": months, "entry_h": 0.0, "entry_months": 0.0}


def due(*lives, plan=None, limits=None, looks=NO_LOOKS, within=None, count=1, estimates=(), component="part", use=None):
    here = positions(component, count)
    tables = {"plan": records("plan", *(plan or [])), "limits": records("limits", *(limits or []))}
    made = fleet(here, engine_use=even_use(count) if use is None else use, **tables)
    days = 36_500 if within is None else within
    tasks = due_tasks(made, derived("lives", *lives), looks, estimates, TODAY, horizons=(days,))
    return due_rows(tasks, TODAY, days)


def every(hours=None, months=None, task=None):
    return {"component": "part", "task": task, "every_h": hours, "every_months": months}


def test_a_part_is_due_when_its_engine_will_have_run_the_hours():
    row = due(running(100.0), plan=[every(160)]).row(0, named=True)
    assert row["due_in_h"] == 60
    assert (row["due_on"] - TODAY).days == pytest.approx(60 / 240 * 365.25, abs=1)
    assert row["overdue"] is False
    assert row["fitted_on"] == TODAY - timedelta(days=round(5 * MONTH))


def test_the_day_follows_the_season_of_the_engine():
    summer = even_use(1, 240.0, months=(6, 7, 8))
    in_summer = due(running(100.0), plan=[every(140)], use=summer)["due_on"][0]
    assert date(2026, 6, 10) < in_summer < date(2026, 6, 25)
    next_year = due(running(100.0), plan=[every(100 + 230)], use=summer)["due_on"][0]
    assert date(2026, 8, 20) < next_year <= date(2026, 8, 31)
    after_winter = due(running(100.0), plan=[every(100 + 250)], use=summer)["due_on"][0]
    assert date(2027, 5, 31) < after_winter < date(2027, 6, 15)


def test_whichever_clock_comes_first_counts():
    row = due(running(100.0, months=11), plan=[every(200, 12)]).row(0, named=True)
    assert (row["due_on"] - TODAY).days == pytest.approx(MONTH, abs=1)
    assert row["due_in_h"] == 100


def test_what_is_over_comes_first():
    rows = due(running(100.0, engine="e0"), running(300.0, engine="e1"), plan=[every(200)], count=2)
    assert rows["engine_id"].to_list() == ["e1", "e0"]
    assert rows["overdue"].to_list() == [True, False]
    assert rows["due_in_h"].to_list() == [-100, 100]
    assert rows["due_on"][0] < TODAY


def test_a_look_ahead_leaves_out_what_is_due_later():
    lives = [running(100.0, engine="e0"), running(198.0, engine="e1")]
    assert due(*lives, plan=[every(200)], count=2, within=30)["engine_id"].to_list() == ["e1"]
    assert due(*lives, plan=[every(200)], count=2, within=365).height == 2


def test_a_part_that_failed_and_was_not_renewed_is_overdue_from_that_day():
    life = {**running(100.0, ending="found failed"), "ended_on": date(2026, 5, 20)}
    row = due(life).row(0, named=True)
    assert (row["task"], row["overdue"], row["due_on"]) == ("renew", True, date(2026, 5, 20))
    assert row["failure_probability"] is None


def test_a_part_of_unknown_age_is_listed_with_what_to_do():
    row = due(plan=[every(200)], within=1).row(0, named=True)
    assert (row["fitted_on"], row["age_h"], row["due_on"], row["overdue"]) == (None, None, None, None)
    assert row["caution"].startswith(NOT_KNOWN)


def test_parts_of_an_engine_that_left_are_not_due():
    assert due(running(300.0, ending="withdrawn"), plan=[every(200)]).is_empty()


def test_a_part_without_an_interval_is_not_due():
    assert due(running(300.0)).is_empty()
    assert due(running(300.0), plan=[every()]).is_empty()


def test_no_row_is_without_its_caution():
    row = due(running(100.0, component="bilge pump"), plan=[{**every(150), "component": "bilge pump"}], component="bilge pump").row(
        0, named=True
    )
    assert row["caution"] == caution_for("bilge pump")
    assert due(running(), plan=[every(150)])["caution"][0] == caution_for("part")


def test_a_plan_past_a_binding_limit_is_due_at_the_limit():
    assert due(running(100.0), plan=[every(500)], limits=[{"component": "part", "task": "renew", "max_h": 150.0}])["due_in_h"][0] == 50


def test_inspections_and_tests_are_due_from_the_last_one():
    looks = NO_LOOKS.vstack(
        pl.DataFrame([("e0", "v0", "part", None, "inspect", TODAY - timedelta(days=30), 130.0)], schema=NO_LOOKS.schema, orient="row")
    )
    plan = [every(50, task="inspect"), every(None, 2, task="test")]
    rows = due(running(100.0), plan=plan, looks=looks)
    assert dict(rows.select("task", "due_in_h").rows()) == {"test": None, "inspect": 30}
    inspected = rows.filter(pl.col("task") == "inspect")
    assert inspected["age_h"][0] == 100
    assert rows.filter(pl.col("task") == "test")["overdue"][0] is True


def test_a_look_before_the_part_was_fitted_does_not_count():
    looks = NO_LOOKS.vstack(
        pl.DataFrame([("e0", "v0", "part", None, "inspect", TODAY - timedelta(days=300), 10.0)], schema=NO_LOOKS.schema, orient="row")
    )
    assert due(running(40.0), plan=[every(50, task="inspect")], looks=looks)["due_in_h"][0] == 10


def test_the_chance_of_failing_is_that_of_the_days_ahead_given_the_age():
    held = derived("lives")
    rows = due(running(300.0), plan=[every(500)], within=365 * 3, estimates=[Estimate("part", None, weibull(2, 400), held)])
    ahead = 300 + 240 * 3
    exact = 1 - 2.718281828 ** ((300 / 400) ** 2 - (ahead / 400) ** 2)
    assert rows["failure_probability"][0] == pytest.approx(exact, abs=0.01)


def test_the_finest_group_gives_the_chance():
    whole, group = (
        Estimate("part", None, weibull(1, 1e9), derived("lives")),
        Estimate("part", {"base": "north"}, weibull(1, 10), derived("lives")),
    )
    assert due(running(100.0), plan=[every(110)], within=365, estimates=[whole, group])["failure_probability"][0] > 0.9


def test_columns_are_those_of_the_answer():
    assert due().columns == names_of("due")
    assert due(running(), plan=[every(150)]).columns == names_of("due")


def test_what_stands_in_each_position():
    here = positions("part", 4)
    lives = derived(
        "lives",
        {**running(100.0, engine="e0"), "vessel_id": "v0"},
        {**running(100.0, engine="e1", ending="failed"), "vessel_id": "v1"},
        {**running(100.0, engine="e3", ending="withdrawn"), "vessel_id": "v3"},
    )
    present = present_parts(here, lives, even_use(4))
    assert dict(present.select("engine_id", "state").rows()) == {"e0": RUNNING, "e1": DOWN, "e2": UNKNOWN}
    assert present["age_h"].to_list() == [100.0, None, None]


def test_a_part_goes_with_its_engine_to_another_boat():
    here = positions("part", 1, vessel_id="v9")
    assert present_parts(here, derived("lives", running(100.0)), even_use(1))["age_h"].to_list() == [100.0]


def test_looks_are_the_inspections_that_found_it_sound():
    lives = derived("lives", running(100.0))
    evidence = derived(
        "life_evidence",
        {"life_id": "x", "row_id": 1, "part_played": "sound finding"},
        {"life_id": "x", "row_id": 2, "part_played": "began"},
        {"life_id": "x", "row_id": 3, "part_played": "sound finding"},
    )
    tickets = pl.DataFrame(
        [(1, "inspect", TODAY), (2, "renew", TODAY), (3, "clean", TODAY)], schema=["row_id", "action", "done_on"], orient="row"
    )
    hours_at = pl.DataFrame([("e0", TODAY, 150.0)], schema=["engine_id", "on_date", "hours"], orient="row")
    looks = last_looks(lives, evidence, tickets, hours_at)
    assert looks.rows() == [("e0", "v0", "part", None, "inspect", TODAY, 150.0)]


def test_what_is_in_there_now_counts_where_its_life_cannot_tell():
    tested = derived("lives", running(100.0))  # a hidden function's life ends at its last sound test
    here = tested.select("engine_id", "vessel_id", "component", "position").with_columns(
        pl.lit("E1").alias("hours_engine_id"), pl.lit(None, pl.String).alias("engine_model"), pl.lit(None, pl.String).alias("base")
    )
    now = tested.select("engine_id", "vessel_id", "component", "position").with_columns(
        pl.lit(date(2025, 1, 1)).alias("fitted_on"),
        pl.lit(180.0).alias("age_h"),
        pl.lit(9.0).alias("age_months"),
        pl.lit(value=False).alias("down"),
    )
    found = present_parts(here, tested, even_use(1), now)
    assert found.select("state", "began_on", "age_h", "age_months").row(0) == ("running", date(2025, 1, 1), 180.0, 9.0)
