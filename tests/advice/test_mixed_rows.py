"""Where models have limits or plans of their own, a row of all of them passes no limit and reckons each position by its own interval."""

import polars as pl
import pytest

from pipelines.advice.verdict import interval_rows
from pipelines.advice.words import TOO_LITTLE
from pipelines.terms.settings import Settings
from tests.advice.made import catalogue, drawn_lives, estimate, fleet, lives, positions, records

WORN = estimate(drawn_lives(2.8, 400, 350, 120))
COSTS = records("costs", {"component": "part", "planned_cost": 100.0, "failure_cost": 600.0, "currency": "EUR"})
TWO_MODELS = pl.concat([positions("part", 6), positions("part", 4, engine_model="M60")])


def limit(**more):
    return {"component": "part", "task": "renew", **more}


def row_of(of=WORN, here=TWO_MODELS, **tables):
    given = {"costs": COSTS, "catalogue": catalogue({"component": "part"}), **tables}
    return interval_rows([of], fleet(here, **given), Settings()).row(0, named=True)


def saved(advised, **tables):
    """What each model alone would save with the advice of the row."""
    alone = [row_of(here=TWO_MODELS.filter(pl.col("engine_model") == model), **tables) for model in ("M40", "M60")]
    return sum(each["positions"] * (each["current_cost_rate"] - advised) for each in alone)


def test_the_saving_is_reckoned_at_each_position_from_its_own_interval():
    plan = records("plan", {"component": "part", "every_h": 60.0}, {"component": "part", "engine_model": "M60", "every_h": 300.0})
    row = row_of(plan=plan)
    assert row["current_h"] == 60
    assert row["saving_per_year"] == pytest.approx(saved(row["cost_rate"], plan=plan), rel=1e-6)
    assert row["saving_per_year"] == pytest.approx(10 * (row["current_cost_rate"] - row["cost_rate"]))


def test_an_interval_that_is_kept_for_want_of_data_passes_no_models_limit():
    few = estimate(lives("part", [300.0] + [800.0] * 30, [True] + [False] * 30))
    plan = records("plan", {"component": "part", "every_h": 400.0})
    row = row_of(few, plan=plan, limits=records("limits", limit(engine_model="M60", max_h=150.0)))
    assert row["current_h"] == 400
    assert row["renew_h"] <= 150


def test_without_costs_a_mixed_row_keeps_to_the_shortest_limit():
    plan = records("plan", {"component": "part", "every_h": 400.0})
    row = row_of(plan=plan, limits=records("limits", limit(engine_model="M60", max_h=150.0)), costs=records("costs"))
    assert (row["renew_h"], row["current_h"]) == (150, 400)


def test_the_limit_that_is_told_is_the_one_that_must_be_kept():
    passed = limit(engine_model="M40", max_h=90.0, binding=False, approval_note="agreed in writing")
    row = row_of(limits=records("limits", passed, limit(engine_model="M60", max_h=150.0)))
    assert (row["limit_h"], row["limit_binding"]) == (150, True)


def test_the_limit_that_is_told_binds_where_the_shortest_does():
    loose = limit(engine_model="M40", max_h=90.0, binding=False)
    row = row_of(limits=records("limits", loose, limit(engine_model="M60", max_h=150.0)))
    assert (row["limit_h"], row["limit_binding"]) == (90, False)


def test_savings_are_told_against_failing_and_against_the_limit_of_those_that_have_one():
    row = row_of(limits=records("limits", limit(engine_model="M60", max_h=40.0, binding=False, approval_note="agreed")))
    over_failure = 10 * (row["run_to_failure_cost_rate"] - row["cost_rate"])
    assert row["saving_over_failure"] == pytest.approx(over_failure)
    assert row["saving_over_failure_low"] <= row["saving_over_failure"] <= row["saving_over_failure_high"]
    at_limit = row_of(here=TWO_MODELS.filter(pl.col("engine_model") == "M60"), plan=records("plan", limit(every_h=40.0)))
    assert row["saving_over_limit"] == pytest.approx(4 * (at_limit["current_cost_rate"] - row["cost_rate"]))


def test_without_a_limit_nothing_is_saved_against_one():
    assert row_of()["saving_over_limit"] is None


def test_a_verdict_names_the_rows_its_failures_came_from():
    held = lives("part", [300.0, 500.0, 700.0], [True, True, False])
    shown = held.with_columns(evidence=pl.Series([[7, 3], [9], [11]], dtype=pl.List(pl.Int64)))
    assert row_of(estimate(shown))["evidence"] == [3, 7, 9]


@pytest.mark.parametrize("ages", [[200.0, 420.0, 610.0], [60.0, 350.0, 800.0]])
def test_three_failures_do_not_begin_renewing_what_is_left_to_fail_today(ages):
    few = estimate(lives("part", ages + [900.0] * 40, [True] * 3 + [False] * 40))
    costs = records("costs", {"component": "part", "planned_cost": 100.0, "failure_cost": 160.0})
    row = row_of(few, here=positions("part", 20), plan=records("plan", {"component": "part"}), costs=costs)
    assert (row["renew_h"], row["renew_months"]) == (None, None)


def test_what_is_kept_for_want_of_data_is_said_as_it_is():
    few = estimate(lives("part", [300.0, 500.0] + [800.0] * 30, [True] * 2 + [False] * 30))
    dear = records("costs", {"component": "part", "planned_cost": 100.0, "failure_cost": 105.0})
    planned = row_of(few, plan=records("plan", {"component": "part", "every_h": 400.0}), costs=dear)
    assert planned["verdict"] == TOO_LITTLE
    assert "keep to renewing every 400 h" in planned["reason"]
    reason = row_of(few, costs=dear)["reason"]
    assert "today" not in reason
    assert "keep to" not in reason


def test_a_planned_renewal_as_dear_as_a_failure_is_said_to_be():
    costs = records("costs", {"component": "part", "planned_cost": 300.0, "failure_cost": 200.0, "currency": "EUR"})
    row = row_of(plan=records("plan", {"component": "part"}), costs=costs)
    assert row["renew_h"] is None
    assert "costs no less than a failure (300 against 200 EUR)" in row["reason"]
