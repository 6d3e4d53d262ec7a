import numpy as np
import pytest

from pipelines.advice.case import Costs, Part
from pipelines.advice.cost_curve import CURVE_SCHEMA, cost_curves
from pipelines.advice.inspection import best_inspection
from pipelines.advice.prospect import NEVER, Decision
from pipelines.advice.weighing import weigh
from pipelines.terms.settings import Settings
from tests.advice.made import case, drawn_lives, estimate, fleet, lives, positions, records, weibull

COSTS = records("costs", {"component": "part", "planned_cost": 100.0, "failure_cost": 600.0})
PLAN = records("plan", {"component": "part", "every_h": 200.0})


def test_the_curve_is_least_where_the_verdict_renews():
    made = fleet(positions("part"), costs=COSTS, plan=PLAN)
    held = estimate(drawn_lives(2.8, 400, 350, 120))
    curve = cost_curves(held, made, Settings())
    assert curve.columns == list(CURVE_SCHEMA)
    assert set(curve["clock"]) == {"hours"}
    assert curve["age"].is_sorted()
    assert (curve["low"] <= curve["cost"]).all()
    assert (curve["cost"] <= curve["high"]).all()
    best = curve.sort("cost")["age"][0]
    assert best == pytest.approx(150, rel=0.25)


def test_without_costs_there_is_no_curve():
    assert cost_curves(estimate(drawn_lives(2.8, 400, 350, 60)), fleet(positions("part"), plan=PLAN), Settings()).is_empty()


def looked_at(visit, shape=1.6, failure=30.0, worn=20):
    """A case whose wear shows over the last 15 % of its life."""
    seen = lives("part", [300.0] * 40, [True] * 40).with_columns(
        ending=np.array(["condition"] * worn + ["failed"] * (40 - worn), dtype=object)
    )
    part = Part(wear_visible=True)
    weighed = weigh(case(posterior=weibull(shape, 500), lives=seen, part=part, costs=Costs(1.0, failure, visit)), Settings())
    assert weighed is not None
    return weighed


def test_cheap_looks_beat_waiting_and_dear_ones_do_not():
    assert best_inspection(looked_at(0.02), NEVER, 0.85) is not None
    assert best_inspection(looked_at(20.0), NEVER, 0.85) is None


def test_looks_never_come_later_than_the_renewal():
    found = best_inspection(looked_at(0.02), Decision(120.0, None), 0.6)
    assert found is None or (found.every.hours or 0) <= 120


def test_few_condition_renewals_show_no_visible_wear():
    assert best_inspection(looked_at(0.02, worn=4), NEVER, 0.85) is None


def test_wear_that_never_shows_before_the_failure_is_not_looked_for():
    assert best_inspection(looked_at(0.02), NEVER, 1.0) is None


def test_without_a_price_of_a_visit_no_look_is_advised():
    assert best_inspection(looked_at(None), NEVER, 0.85) is None
