from dataclasses import replace

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipelines.advice.case import Estimate
from pipelines.advice.verdict import interval_rows
from pipelines.advice.words import IMPROVE, KEEP, ON_CONDITION, RENEW, RUN, TEST, TOO_LITTLE, VERDICTS
from pipelines.fits.knowledge import Knowledge
from pipelines.terms.answers import names_of
from pipelines.terms.settings import Settings
from tests.advice.made import believed, catalogue, drawn_lives, estimate, fleet, lives, positions, records, unhurried
from tests.advice.test_early import fitted_badly

COSTS = records("costs", {"component": "part", "planned_cost": 100.0, "failure_cost": 600.0, "visit_cost": 40.0, "currency": "EUR"})
PLAN = records("plan", {"component": "part", "every_h": 200.0})
WORN = estimate(drawn_lives(2.8, 400, 350, 120))
RANDOM = estimate(drawn_lives(1.0, 400, 900, 120))


def limit(task="renew", max_h=None, max_months=None, **more):
    return records("limits", {"component": "part", "task": task, "max_h": max_h, "max_months": max_months, **more})


def verdict(of=WORN, asked=None, part=None, **tables):
    here = positions("part", 20)
    given = {"costs": COSTS, "plan": PLAN, "catalogue": catalogue({"component": "part", **(part or {})})}
    rows = interval_rows([of], fleet(here, **(given | tables)), asked or Settings())
    assert rows.columns == names_of("intervals")
    return rows.row(0, named=True)


def test_a_worn_part_is_renewed_at_an_interval_that_saves_money():
    row = verdict()
    assert row["verdict"] == RENEW
    assert 130 <= row["renew_h"] <= 200
    assert row["renew_months"] is None
    assert row["range_h"][0] <= row["renew_h"] <= row["range_h"][1]
    assert row["cost_rate_low"] < row["cost_rate"] < row["cost_rate_high"]
    assert row["cost_rate"] < row["run_to_failure_cost_rate"]
    assert row["pays_probability"] > 0.95
    assert (row["current_h"], row["failures"], row["lives"]) == (200.0, WORN.lives.filter(pl.col("ending") == "failed").height, 120)


def test_money_is_per_position_and_year_and_the_saving_for_all_positions():
    row = verdict()
    assert row["year_h"] == pytest.approx(240)
    one = (row["current_cost_rate"] - row["cost_rate"]) * row["positions"]
    assert row["saving_per_year"] == pytest.approx(one)
    assert row["saving_low"] <= row["saving_per_year"] <= row["saving_high"]


def test_a_random_part_runs_to_failure_with_a_spare():
    row = verdict(RANDOM, plan=records("plan", {"component": "part"}))
    assert (row["verdict"], row["renew_h"], row["renew_months"]) == (RUN, None, None)
    assert row["pays_probability"] == 0
    assert row["range_h"][1] is None


@pytest.mark.parametrize("part", [{"safety": True}, {"hidden": True}, {"safety": True, "hidden": True}])
def test_a_part_that_must_not_fail_never_runs_to_failure(part):
    row = verdict(RANDOM, part=part)
    assert row["renew_h"] is not None
    assert row["verdict"] in (TEST, RENEW)


@settings(unhurried, max_examples=8)
@given(st.floats(1, 1000), st.floats(1, 1000), st.booleans(), st.booleans())
def test_no_costs_send_a_safety_part_to_failure(planned, failure, has_plan, wears):
    costs = records("costs", {"component": "part", "planned_cost": planned, "failure_cost": failure})
    plan = PLAN if has_plan else records("plan", {"component": "part"})
    row = verdict(WORN if wears else RANDOM, part={"safety": True}, costs=costs, plan=plan)
    assert row["renew_h"] is not None


@settings(unhurried, max_examples=8)
@given(st.floats(20, 800), st.floats(1, 40), st.booleans())
def test_a_binding_limit_is_never_passed(max_h, max_months, wears):
    row = verdict(WORN if wears else RANDOM, limits=limit(max_h=max_h, max_months=max_months))
    assert row["renew_h"] <= max_h
    assert row["renew_months"] <= max_months
    assert (row["limit_h"], row["limit_months"], row["limit_binding"]) == (max_h, max_months, True)


def test_the_least_cost_beyond_a_limit_keeps_the_makers_interval():
    row = verdict(limits=limit(max_h=100.0))
    assert (row["verdict"], row["renew_h"]) == (KEEP, 100.0)
    assert "must be kept" in row["reason"]


@pytest.mark.parametrize(("note", "passed"), [(None, False), ("agreed in writing", True)])
def test_a_limit_that_is_not_binding_is_passed_only_with_approval(note, passed):
    row = verdict(limits=limit(max_h=100.0, binding=False, approval_note=note))
    assert (row["renew_h"] > 100) == passed
    assert row["limit_binding"] is False
    assert passed or "written approval" in row["reason"]


def test_the_records_cap_an_extension_and_say_so():
    held = drawn_lives(3, 2000, 200, 150)
    row = verdict(estimate(held))
    assert row["verdict"] == RENEW
    assert row["renew_h"] == 400
    assert "reach no further" in row["reason"]


def test_few_failures_leave_todays_interval():
    held = drawn_lives(2, 1500, 200, 12, seed=5)
    row = verdict(estimate(held), part={"safety": True})
    assert (row["verdict"], row["renew_h"]) == (TOO_LITTLE, 200)
    assert "cannot tell" in row["reason"]


def test_renewing_does_not_stop_on_two_failures():
    held = lives("part", [300.0, 500.0] + [800.0] * 30, [True, True] + [False] * 30)
    costs = records("costs", {"component": "part", "planned_cost": 100.0, "failure_cost": 105.0})
    row = verdict(estimate(held), costs=costs)
    assert (row["verdict"], row["renew_h"]) == (TOO_LITTLE, 200)


def test_without_costs_todays_interval_stays_and_costs_are_asked_for():
    row = verdict(costs=records("costs"))
    assert (row["verdict"], row["renew_h"]) == (TOO_LITTLE, 200)
    assert "planned cost" in row["reason"]
    assert row["cost_rate"] is None
    assert verdict(costs=records("costs"), plan=records("plan"), limits=limit(max_h=150.0))["verdict"] == KEEP


def test_a_part_without_lives_rests_on_its_prior_and_keeps_todays_interval():
    nothing = lives("part", [], [])
    row = verdict(Estimate("part", None, believed(nothing, Knowledge(interval=200.0)), nothing))
    assert (row["verdict"], row["renew_h"], row["lives"]) == (TOO_LITTLE, 200, 0)


def test_no_laws_at_all_are_said():
    row = verdict(Estimate("part", None, None, lives("part", [], [])))
    assert row["verdict"] == TOO_LITTLE
    assert "No life" in row["reason"]


def test_bad_fitting_is_told_from_wear():
    row = verdict(estimate(fitted_badly()), plan=records("plan", {"component": "part", "every_h": 300.0}))
    assert row["verdict"] == IMPROVE
    assert 150 <= row["renew_h"] <= 400
    assert "how it is fitted" in row["reason"]


def test_a_hidden_function_is_tested_often_enough_and_within_its_limit():
    row = verdict(part={"hidden": True})
    assert row["verdict"] == TEST
    assert 0 < row["test_months"] < 3
    strict = verdict(part={"hidden": True}, asked=replace(Settings(), availability=0.999))
    assert strict["test_months"] < row["test_months"]
    weekly = verdict(part={"hidden": True}, limits=limit("test", max_months=0.25))
    assert weekly["test_months"] == 0.25
    assert "longest allowed" in weekly["reason"]


def test_a_hidden_function_is_tested_even_without_costs():
    assert verdict(part={"hidden": True}, costs=records("costs"))["test_months"] > 0


def test_wear_that_shows_is_looked_for():
    held = drawn_lives(1.6, 400, 350, 150)
    seen = held.with_columns(
        pl.when(pl.int_range(pl.len()) % 4 == 0).then(pl.lit("condition")).otherwise("ending").alias("ending"),
    ).with_columns(
        pl.when(pl.col("ending") == "condition").then(pl.col("low_h") / 0.85).otherwise("high_h").alias("high_h"),
    )
    costs = records("costs", {"component": "part", "planned_cost": 100.0, "failure_cost": 3000.0, "visit_cost": 2.0})
    row = verdict(estimate(seen), part={"wear_visible": True}, costs=costs)
    assert row["verdict"] == ON_CONDITION
    assert 0 < row["inspect_h"] <= row["renew_h"]
    dear = records("costs", {"component": "part", "planned_cost": 100.0, "failure_cost": 3000.0, "visit_cost": 500.0})
    assert verdict(estimate(seen), part={"wear_visible": True}, costs=dear)["verdict"] != ON_CONDITION


def test_groups_stand_beside_the_whole_fleet():
    here = pl.concat([positions("part", 6), positions("part", 4, water="fresh")])
    rows = interval_rows([WORN, replace(WORN, group={"water": "fresh"})], fleet(here, costs=COSTS, plan=PLAN), Settings())
    assert rows["group"].to_list() == [None, {"water": "fresh"}]
    assert rows["positions"].to_list() == [10, 4]


def test_the_limit_of_a_mixed_fleet_is_the_shortest_of_its_models():
    here = pl.concat([positions("part", 6), positions("part", 4, engine_model="M60")])
    limits = records(
        "limits",
        {"component": "part", "task": "renew", "engine_model": "M40", "max_h": 150.0},
        {"component": "part", "task": "renew", "engine_model": "M60", "max_h": 120.0},
    )
    rows = interval_rows([WORN, replace(WORN, group={"engine_model": "M40"})], fleet(here, costs=COSTS, limits=limits), Settings())
    assert rows["renew_h"].to_list() == [120.0, 150.0]
    assert rows["current_h"].to_list() == [150.0, 150.0]


def test_without_a_plan_or_a_limit_no_saving_is_made_up():
    row = verdict(plan=records("plan"))
    assert (row["current_cost_rate"], row["saving_per_year"]) == (None, None)
    assert row["run_to_failure_cost_rate"] is not None


def test_unknown_use_gives_an_interval_but_no_yearly_money():
    row = verdict(engine_use=fleet(positions("part", 1)).engine_use.clear())
    assert row["renew_h"] is not None
    assert (row["year_h"], row["cost_rate"], row["saving_per_year"]) == (None, None, None)


def test_every_verdict_is_one_of_the_seven_with_one_sentence_of_reason():
    for row in (verdict(), verdict(RANDOM), verdict(costs=records("costs")), verdict(part={"hidden": True})):
        assert row["verdict"] in VERDICTS
        assert row["reason"].endswith(".")
        assert row["basis"]
    assert len(VERDICTS) == 7


def test_no_estimates_give_no_rows():
    assert interval_rows([], fleet(positions("part", 1)), Settings()).columns == names_of("intervals")
