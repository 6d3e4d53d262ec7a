"""Truths drawn at random for any other seed, so that scoring is honest.

In: the planted parts as a pattern, a seed. Out: `draw_parts`, `draw_causes`. Shapes 1 to 3.5, costs of a failure 3 to 10 times
those of a planned renewal, and today's plan set so that a known share of lives fails before it.
Elsewhere: the fixed truths (`planted`).
"""

from dataclasses import replace

import numpy as np

from sample_fleet.chance import Chance
from sample_fleet.planted import CAUSES, PARTS
from sample_fleet.truths import CauseTruth, Curve, Limit, PartTruth, Pattern

KEPT = ("engine oil and filter", "anodes", "propeller")
TYPICAL_H_A_MONTH = 21.0
CURVES_THAT_WEAR, RANDOM_THAT_WEAR = 0.87, 0.2


def draw_parts(seed: int) -> tuple[PartTruth, ...]:
    """Draw the truths of all parts; parts on a fixed maker's interval and hidden functions stay as planted."""
    chance = Chance(seed, "truths")
    return tuple(part if part.component in KEPT or part.hidden else _draw(part, chance) for part in PARTS)


def draw_causes(seed: int) -> tuple[CauseTruth, ...]:
    """Draw the rates of the operational causes; which one drifts stays."""
    chance = Chance(seed, "causes")
    return tuple(replace(cause, rate=round(cause.rate * float(chance.spread(1, 0.3)[0]), 3)) for cause in CAUSES)


def _draw(part: PartTruth, chance: Chance) -> PartTruth:
    wears = chance.one() < (RANDOM_THAT_WEAR if part.pattern is Pattern.RANDOM else CURVES_THAT_WEAR)
    drawn = replace(
        part,
        pattern=part.pattern if part.pattern is Pattern.FAILS_YOUNG else Pattern.WEARS_OUT if wears else Pattern.RANDOM,
        hours=_curve(part.hours, wears, chance),
        months=_curve(part.months, wears, chance),
        early_share=round(chance.one(0.05, 0.15), 3) if part.early_share else 0.0,
        early_mean_h=round(chance.one(15, 40)),
        factors={
            column: {value: round(float(np.exp(chance.one(-0.45, 0.25))), 2) for value in each} for column, each in part.factors.items()
        },
        failure_cost=float(round(part.planned_cost * np.exp(chance.one(np.log(3), np.log(10))))),
        limit=None,
    )
    if not wears and drawn.clock == "both":
        drawn = replace(drawn, months=None)
    return _with_limit(_with_plan(drawn, part, chance), chance)


def _curve(curve: Curve | None, wears: bool, chance: Chance) -> Curve | None:
    if curve is None:
        return None
    shape = round(chance.one(1.2, 3.5), 2) if wears else 1.0
    return Curve(shape, float(round(curve.scale * float(chance.spread(1, 0.3)[0]))))


def age_at_share(part: PartTruth, share: float) -> float:
    """Return the age in months, at typical use, by which this share of good fittings has failed."""
    months = np.arange(0.25, 600, 0.25)
    failed = 1 - np.exp(-part.cumulative_hazard(months * TYPICAL_H_A_MONTH, months))
    return float(months[min(int(np.searchsorted(failed, share)), len(months) - 1)])


def _with_plan(drawn: PartTruth, part: PartTruth, chance: Chance) -> PartTruth:
    """Set today's interval where 5 to 50 % would have failed; parts that no plan renewed mostly stay so."""
    share, has_plan, on_months_too = chance.one(0.05, 0.5), chance.one(), chance.one()
    planned = part.plan_h is not None or part.plan_months is not None
    if has_plan > (0.9 if planned else 0.35) or (drawn.pattern is Pattern.RANDOM and has_plan > 0.4):
        return replace(drawn, plan_h=None, plan_months=None)
    age = age_at_share(drawn, share)
    hours = max(20.0, round(age * TYPICAL_H_A_MONTH / 10) * 10.0) if drawn.hours else None
    months = max(2.0, float(round(age * (1.0 if drawn.clock == "months" else 1.3)))) if drawn.months or on_months_too < 0.4 else None
    return replace(drawn, plan_h=hours, plan_months=months)


def _with_limit(part: PartTruth, chance: Chance) -> PartTruth:
    """Give some parts an expected life, an approved limit or a ceiling; a ceiling is never below today's plan."""
    draw, off = chance.one(), float(chance.spread(1, 0.3)[0])
    if part.pattern is Pattern.RANDOM or draw > 0.6:
        return part
    if draw < 0.3:
        hours = round((part.hours.scale if part.hours else 0) * off, -1) or None
        months = float(round((part.months.scale if part.months else 0) * off)) or None
        return replace(part, limit=Limit(expected_life_h=hours, expected_life_months=months, source_note="other fleets of the coast"))
    age = age_at_share(part, 0.2) * off
    hours = max(round(age * TYPICAL_H_A_MONTH, -1), part.plan_h or 0.0) if part.hours else None
    months = max(float(round(age)), part.plan_months or 0.0) if part.months else None
    if draw < 0.45:
        return replace(part, limit=Limit(hours, months, approval_note="maker's letter allows more", source_note="maker's service chart"))
    return replace(part, limit=Limit(hours, months, binding=True, source_note="maker's service chart"))
