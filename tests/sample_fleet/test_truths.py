"""What a planted truth says of survival, and how it is written down."""

import json
from datetime import date

import numpy as np
import pytest

from sample_fleet.drawn import age_at_share, draw_causes, draw_parts
from sample_fleet.planted import CAUSES, PARTS
from sample_fleet.truths import Curve, PartTruth, Pattern, Truth


def part(**changes) -> PartTruth:
    return PartTruth(**({"component": "belt", "pattern": Pattern.WEARS_OUT, "cause": "", "planned_cost": 1, "failure_cost": 5} | changes))


def test_at_the_scale_one_in_e_survives():
    assert part(hours=Curve(2.5, 400)).survival(np.array([400.0]), np.array([3.0])) == pytest.approx(np.exp(-1))


def test_two_clocks_add_their_hazards():
    both = part(hours=Curve(2.0, 400), months=Curve(3.0, 50))
    assert both.clock == "both"
    assert both.survival(np.array([200.0]), np.array([25.0])) == pytest.approx(np.exp(-0.25 - 0.125))


def test_a_factor_stretches_every_scale():
    plain, stretched = part(hours=Curve(2.0, 400)), part(hours=Curve(2.0, 200))
    at = np.array([150.0]), np.array([0.0])
    assert stretched.survival(*at) == pytest.approx(plain.survival(*at, 0.5))


def test_factors_multiply_over_columns_and_unknown_values_have_none():
    belt = part(hours=Curve(2.0, 400), factors={"water": {"salt": 0.5}, "engine_model": {"Hesk 60": 0.8}})
    assert belt.factor({"water": "salt", "engine_model": "Hesk 60"}) == pytest.approx(0.4)
    assert belt.factor({"water": "fresh"}) == 1


def test_bad_fittings_die_early_and_the_rest_live_on():
    hose = part(months=Curve(3.0, 100), early_share=0.1, early_mean_h=20)
    assert hose.survival(np.array([0.0, 500.0]), np.array([0.0, 0.0])) == pytest.approx([1.0, 0.9], abs=1e-6)


def test_truths_are_written_as_plain_values():
    truth = Truth(48, 6, 24, PARTS, CAUSES, date(2024, 4, 1), "hull_colour", "bench 4")
    told = json.loads(json.dumps(truth.as_json()))
    assert [each["component"] for each in told["parts"]] == [each.component for each in PARTS]
    assert told["coding_changed_on"] == "2024-04-01"
    assert told["parts"][0]["hours"] == {"shape": 2.6, "scale": 860}


def test_every_sort_of_truth_is_planted():
    clocks = {(each.pattern, each.clock) for each in PARTS}
    assert {(Pattern.WEARS_OUT, "hours"), (Pattern.WEARS_OUT, "months"), (Pattern.WEARS_OUT, "both")} < clocks
    assert {each.pattern for each in PARTS} == set(Pattern)
    assert any(each.hidden for each in PARTS)
    assert any(cause.yearly_drift != 1 for cause in CAUSES)


@pytest.mark.parametrize("seed", [1, 2, 3, 101])
def test_drawn_truths_stay_within_their_bounds(seed):
    for each in draw_parts(seed):
        kept = next(part for part in PARTS if part.component == each.component)
        if each == kept:
            continue
        assert all(1 <= curve.shape <= 3.5 for curve in (each.hours, each.months) if curve)
        assert 2.95 <= each.failure_cost / each.planned_cost <= 10.05
        assert each.hours or each.months


@pytest.mark.parametrize("seed", [1, 2, 3, 101])
def test_today_s_plan_never_passes_a_drawn_ceiling(seed):
    for each in draw_parts(seed):
        if each.limit and each.limit.is_ceiling and each.plan_h and each.limit.max_h:
            assert each.plan_h <= each.limit.max_h
        if each.limit and each.limit.is_ceiling and each.plan_months and each.limit.max_months:
            assert each.plan_months <= each.limit.max_months


def test_drawn_plans_leave_a_half_to_nearly_all_lives_suspended():
    plans = [part for seed in range(20) for part in draw_parts(seed) if part.plan_h and part.hours and part not in PARTS]
    hours = np.array([part.plan_h for part in plans], dtype=float)
    shares = [1 - np.exp(-part.cumulative_hazard(at, at / 21)[()]) for part, at in zip(plans, hours, strict=True)]
    assert min(shares) > 0.03
    assert max(shares) < 0.56


def test_the_age_at_a_share_is_where_that_share_has_failed():
    assert age_at_share(part(months=Curve(2.0, 40)), 1 - np.exp(-1)) == pytest.approx(40, abs=0.5)


def test_two_seeds_have_two_truths():
    assert draw_parts(1) != draw_parts(2)
    assert draw_causes(1) != draw_causes(2)
    assert draw_parts(1) == draw_parts(1)
