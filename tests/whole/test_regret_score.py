"""Scoring of advice: whose row counts, what is needless, what stands in for a missing answer."""

from datetime import date

import numpy as np
import polars as pl
import pytest

from sample_fleet.truths import Curve, Limit, PartTruth, Pattern, Truth
from tests.whole.regret_score import mean_regret, score

BELT = PartTruth("drive belt", Pattern.WEARS_OUT, "", 100, 600, hours=Curve(3.0, 1000), plan_h=900)
COIL = PartTruth("ignition coil", Pattern.RANDOM, "", 100, 600, hours=Curve(1.0, 3000))


def truth(part: PartTruth, factors: dict[str, float] | None = None) -> Truth:
    factors = factors or {"A": 1.0}
    positions = pl.DataFrame(
        {
            "component": [part.component] * len(factors),
            "engine_model": list(factors),
            "base": ["quay"] * len(factors),
            "factor": list(factors.values()),
            "hours_per_year": [240.0] * len(factors),
        }
    )
    return Truth(1, 6, 1, (part,), (), date(2023, 4, 1), "hull_colour", "bench 4", positions)


def row(component: str, hours: float | None = None, months: float | None = None, group: dict | None = None) -> dict:
    return {"component": component, "group": group, "verdict": "as tested", "renew_h": hours, "renew_months": months, "failures": 3}


def test_the_true_optimum_has_no_regret():
    best = min(score(truth(BELT), [row("drive belt", hours)])[0].regret for hours in range(300, 600, 5))
    assert best == pytest.approx(0, abs=1e-4)


def test_renewing_late_and_early_both_cost():
    late, early = (score(truth(BELT), [row("drive belt", hours)])[0].regret for hours in (900, 100))
    assert late > 0.2
    assert early > 1


def test_running_a_wearing_part_to_failure_costs_what_no_interval_costs():
    at_failure = score(truth(BELT), [row("drive belt")])[0]
    assert at_failure.advice == "at failure"
    assert at_failure.regret > 1


def test_a_random_part_told_to_renew_is_needless_and_dearer():
    told, left = score(truth(COIL), [row("ignition coil", 500)])[0], score(truth(COIL), [row("ignition coil")])[0]
    assert told.needless
    assert told.regret > 0.5
    assert not left.needless
    assert left.regret == pytest.approx(0, abs=1e-6)


def test_a_missing_row_means_that_today_s_plan_goes_on():
    missing = score(truth(BELT), [])[0]
    assert not missing.answered
    assert missing.regret == missing.habit > 0


def test_the_row_of_the_position_s_own_group_counts_before_the_row_for_all():
    fleet = truth(BELT, {"A": 1.0, "B": 0.5})
    rows = [row("drive belt", 400), row("drive belt", 200, group={"engine_model": "B"})]
    assert score(fleet, rows)[0].regret < 0.05 < score(fleet, rows[:1])[0].regret


def test_advice_past_a_ceiling_is_counted_and_scored_at_the_ceiling():
    capped = PartTruth("drive belt", Pattern.WEARS_OUT, "", 100, 600, hours=Curve(3.0, 1000), limit=Limit(max_h=200, binding=True))
    past, at = (score(truth(capped), [row("drive belt", hours)])[0] for hours in (400, 200))
    assert (past.passes_ceiling, at.passes_ceiling) == (1, 0)
    assert past.regret == pytest.approx(at.regret) == pytest.approx(0, abs=1e-9)


def test_hidden_functions_are_not_scored():
    pump = PartTruth("bilge pump", Pattern.WEARS_OUT, "", 100, 900, months=Curve(2.0, 60), hidden=True)
    assert score(truth(pump), []) == []


def test_the_mean_is_over_parts_of_one_pattern_or_all():
    scores = score(truth(BELT), [row("drive belt", 900)]) + score(truth(COIL), [row("ignition coil")])
    assert mean_regret(scores) == pytest.approx(mean_regret(scores, Pattern.WEARS_OUT) / 2, abs=1e-6)
    assert np.isnan(mean_regret(scores, Pattern.FAILS_YOUNG))
