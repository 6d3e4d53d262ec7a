import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.advice.case import Estimate
from pipelines.advice.counts import NOTHING, poisson
from pipelines.advice.current_plan import with_interval
from pipelines.advice.demand import NOTHING_WANTED, event_demand
from pipelines.advice.ends_ahead import PLAIN
from pipelines.advice.present import present_parts
from pipelines.advice.seasons import Seasons
from tests.advice.made import TODAY, derived, even_use, positions, records, unhurried, weibull
from tests.advice.test_due import running

COUNT, DAYS = 24, 150
RNG = np.random.default_rng(8)
AGES = RNG.uniform(0, 180, COUNT)
YEARS = RNG.uniform(100, 500, COUNT)


def parts(every_h=None, every_months=None):
    """Positions of uneven age and use, with an interval in force."""
    lives = derived("lives", *({**running(float(age), engine=f"e{n}"), "vessel_id": f"v{n}"} for n, age in enumerate(AGES)))
    here = present_parts(positions("part", COUNT), lives, use())
    return with_interval(here, records("plan", {"component": "part", "every_h": every_h, "every_months": every_months}), records("limits"))


def use():
    return even_use(COUNT).with_columns(hours_per_day=np.repeat(YEARS / 365.25, 12))


def wanted(posterior, days=(DAYS,), manner=PLAIN, **interval):
    estimates = [Estimate("part", None, posterior, derived("lives"))]
    return event_demand(parts(**interval), estimates, Seasons(use(), TODAY), derived("lives"), days, manner)


def demand(posterior, **interval):
    return wanted(posterior, **interval).by(DAYS)


def simulated(shape, scale, every_h, runs=4000):
    """Count the renewals of every position one by one: a plain second way."""
    rng = np.random.default_rng(9)
    totals = np.zeros(runs, dtype=int)
    for age, year_h in zip(AGES, YEARS, strict=True):
        length = year_h / 365.25 * DAYS
        lasts = scale * ((age / scale) ** shape + rng.exponential(size=runs)) ** (1 / shape) - age
        ends = np.minimum(lasts, max(every_h - age, 0.0))
        while (ends <= length).any():
            totals += ends <= length
            ends = ends + np.minimum(scale * rng.weibull(shape, runs), every_h)
    return totals


@unhurried
@given(st.floats(20, 5000), st.floats(5, 300), st.floats(5, 300))
def test_lives_without_memory_give_exactly_poisson_counts_by_every_day(scale, early, late):
    told = wanted(weibull(1.0, scale), sorted({early, late}))
    run = Seasons(use(), TODAY)
    for day, one in zip(told.days, told.demands, strict=True):
        exact = poisson(run.hours_by([f"e{n}" for n in range(COUNT)], float(day)).sum() / scale).probability
        size = min(exact.size, one.probability.size)
        assert one.probability[:size] == pytest.approx(exact[:size], abs=1e-11)


@pytest.mark.parametrize(("shape", "every_h"), [(1.0, np.inf), (2.5, np.inf), (2.5, 200.0), (1.3, 60.0)])
def test_demand_agrees_with_a_simulation_of_every_position(shape, every_h):
    totals = simulated(shape, 250.0, every_h)
    one = demand(weibull(shape, 250.0), every_h=None if np.isinf(every_h) else every_h)
    assert one.mean == pytest.approx(totals.mean(), abs=0.2, rel=0.01)
    for level in (0.05, 0.5, 0.95):
        assert abs(one.quantile(level) - np.quantile(totals, level)) <= 1


def test_an_interval_on_months_is_met_by_engines_that_hardly_run():
    one = demand(weibull(3, 1e6), every_months=6.0)
    assert one.mean == pytest.approx(COUNT, abs=0.01)


def test_positions_without_a_law_have_their_planned_renewals_only():
    due = (AGES + YEARS / 365.25 * DAYS >= 190).sum()
    one = event_demand(parts(every_h=190.0), [], Seasons(use(), TODAY), derived("lives"), (DAYS,)).by(DAYS)
    assert one.mean == pytest.approx(due, abs=1)


def test_laws_on_a_clock_that_does_not_run_are_passed_over():
    nobody = Seasons(use().clear(), TODAY)
    estimates = [Estimate("part", None, weibull(1, 100), derived("lives"))]
    assert event_demand(parts(), estimates, nobody, derived("lives"), (DAYS,)).by(DAYS).mean == pytest.approx(0, abs=1e-9)


def test_nothing_to_serve_and_no_days_ask_for_nothing():
    estimates = [Estimate("part", None, weibull(1, 100), derived("lives"))]
    assert event_demand(parts().clear(), estimates, Seasons(use(), TODAY), derived("lives"), (DAYS,)) is NOTHING_WANTED
    assert event_demand(parts(), estimates, Seasons(use(), TODAY), derived("lives"), (0.0,)) is NOTHING_WANTED
    assert NOTHING_WANTED.by(DAYS) is NOTHING


def damage(lives, day=365.25 / 12):
    return event_demand(parts(), [], Seasons(use(), TODAY), lives, (day,))


def test_no_damage_seen_is_no_damage_expected():
    assert damage(derived("lives", running())).damaged == 0


def test_damage_comes_with_the_hours_run():
    told = damage(derived("lives", running(100.0), running(100.0, ending="outside damage")))
    assert told.damaged == pytest.approx(YEARS.sum() / 12 / 200, rel=0.03)
    assert told.demands[0].mean == pytest.approx(told.damaged, rel=1e-6)


def test_damage_without_hours_comes_with_the_months():
    seen = derived("lives", running(), running(ending="outside damage")).with_columns(low_h=pl.lit(None, pl.Float64))
    assert damage(seen).damaged == pytest.approx(COUNT / (2 * running()["low_months"]), rel=0.01)


def test_doubt_between_two_estimates_is_not_shared():
    half = [Estimate("part", {"base": word}, weibull(1, 250), derived("lives")) for word in ("north", "south")]
    here = parts().with_columns(base=pl.when(pl.int_range(pl.len()) < COUNT // 2).then(pl.lit("north")).otherwise(pl.lit("south")))
    apart = event_demand(here, half, Seasons(use(), TODAY), derived("lives"), (DAYS,)).by(DAYS)
    assert apart.mean == pytest.approx(demand(weibull(1, 250)).mean, rel=1e-3)
