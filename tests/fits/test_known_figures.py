"""Which figure of limits and plan counts, and what it says of the scale."""

from datetime import date

import numpy as np
import polars as pl
import pytest

from pipelines.fits.ages import compress
from pipelines.fits.knowledge import Knowledge
from pipelines.fits.known_figures import CARRIED_OVER_DOUBT, KnownFigures, hours_per_month
from pipelines.terms.settings import Prior

PRIOR = Prior()
LIVES = compress(0.0, [100.0, 300.0], [100.0, np.inf], [2, 8])


def known(limits: list[dict] | None = None, plan: list[dict] | None = None) -> KnownFigures:
    empty = KnownFigures()
    usual = {"component": "impeller", "task": "renew"}
    return KnownFigures(
        pl.DataFrame([usual | row for row in limits or []], schema=empty.limits.schema),
        pl.DataFrame([usual | row for row in plan or []], schema=empty.plan.schema),
    )


def test_an_expected_life_counts_before_a_limit_and_a_limit_before_a_plan():
    everything = known([{"max_h": 200.0, "expected_life_h": 500.0}], [{"every_h": 150.0}])
    assert everything.about("impeller") == Knowledge(expected_life=500.0)
    assert known([{"max_h": 200.0}], [{"every_h": 150.0}]).about("impeller") == Knowledge(limit=200.0)
    assert known(plan=[{"every_h": 150.0}]).about("impeller") == Knowledge(interval=150.0)
    assert known().about("impeller") == Knowledge()
    assert everything.about("belt") == Knowledge()


def test_a_row_for_the_engine_model_counts_before_one_for_all():
    limits = known([{"max_h": 200.0}, {"max_h": 400.0, "engine_model": "M2"}])
    assert limits.about("impeller", {"engine_model": "M2"}) == Knowledge(limit=400.0)
    assert limits.about("impeller", {"engine_model": "M1"}) == Knowledge(limit=200.0)


def test_over_the_whole_fleet_the_rows_of_several_models_are_averaged_as_logarithms():
    limits = known([{"max_h": 100.0, "engine_model": "M1"}, {"max_h": 400.0, "engine_model": "M2"}])
    assert limits.about("impeller").limit == pytest.approx(200.0)


def test_only_the_plan_last_adopted_is_in_force_and_only_for_renewals():
    plan = known(
        plan=[
            {"every_h": 300.0, "adopted_on": date(2023, 1, 1)},
            {"every_h": 100.0, "adopted_on": date(2021, 1, 1)},
            {"every_h": 20.0, "adopted_on": date(2024, 1, 1), "task": "inspect"},
            {"every_h": 50.0, "adopted_on": date(2024, 1, 1), "base": "North"},
        ]
    )
    assert plan.about("impeller", {"base": "South"}) == Knowledge(interval=300.0)
    assert plan.about("impeller", {"base": "North"}) == Knowledge(interval=50.0)


def test_a_plan_to_renew_only_at_failure_says_nothing_of_the_scale():
    plan = known(plan=[{"every_h": 300.0, "adopted_on": date(2021, 1, 1)}, {"adopted_on": date(2023, 1, 1)}])
    assert plan.about("impeller") == Knowledge()


def test_a_limit_of_an_inspection_is_no_limit_of_the_life():
    assert known([{"max_h": 50.0, "task": "inspect"}]).about("impeller") == Knowledge()


def test_a_figure_of_the_other_clock_is_carried_over_with_doubt():
    limits = known([{"max_months": 24.0}])
    assert limits.about("impeller", clock="months") == Knowledge(limit=24.0)
    assert limits.about("impeller", clock="hours") == Knowledge()
    assert limits.about("impeller", clock="hours", hours_per_month=25.0) == Knowledge(limit=600.0, doubt=CARRIED_OVER_DOUBT)
    assert known([{"max_h": 600.0}]).about("impeller", clock="months", hours_per_month=25.0).limit == pytest.approx(24.0)


def test_hours_a_month_are_those_of_lives_with_both_ages():
    lives = pl.DataFrame({"low_h": [100.0, None, 0.0, 200.0], "low_months": [5.0, 9.0, 1.0, 10.0]})
    assert hours_per_month(lives) == pytest.approx(20.0)
    assert hours_per_month(lives.filter(pl.col("low_h").is_null())) is None


@pytest.mark.parametrize(
    ("knowledge", "centre", "sd", "basis"),
    [
        (Knowledge(expected_life=500.0), 500.0, 0.5, "expected life"),
        (Knowledge(limit=200.0), 400.0, 0.7, "limit"),
        (Knowledge(interval=200.0), 400.0, 1.0, "plan"),
        (Knowledge(limit=200.0, doubt=0.3), 400.0, float(np.hypot(0.7, 0.3)), "limit"),
    ],
)
def test_a_limit_is_half_a_life(knowledge, centre, sd, basis):
    found = knowledge.scale_prior(PRIOR, LIVES)
    assert (np.exp(found.centre), found.sd, found.basis) == (pytest.approx(centre), pytest.approx(sd), basis)
    at = np.log(centre) + sd * np.linspace(-8, 8, 4001)
    assert np.exp(found.log_density(at)).sum() * (at[1] - at[0]) == pytest.approx(1.0)
    assert found.low < np.log(centre) - 5 * sd
    assert found.high > np.log(centre) + 5 * sd


def test_with_nothing_known_the_prior_is_flat_around_the_ages_seen():
    found = Knowledge().scale_prior(PRIOR, LIVES)
    at = np.linspace(found.low, found.high, 1001)
    assert (found.centre, found.basis) == (None, "ages seen")
    assert np.ptp(found.log_density(at)) == 0
    assert np.exp(found.log_density(at)).mean() * (found.high - found.low) == pytest.approx(1.0)
    assert found.low < np.log(100.0) < np.log(300.0) < found.high


def test_a_flat_prior_is_as_wide_on_any_clock():
    months = compress(LIVES.entry, LIVES.low / 25, LIVES.high / 25, LIVES.count)
    one, other = (Knowledge().scale_prior(PRIOR, ages) for ages in (LIVES, months))
    assert one.high - one.low == pytest.approx(other.high - other.low)
