"""The fitted line's limits are profile-likelihood limits at every age; the paper is a straight line; the fit is judged by bands."""

import numpy as np
import polars as pl
import pytest

from pipelines.errors import NoFigure
from pipelines.fits.ages import Ages, compress
from pipelines.fits.fitted_line import fitted_line
from pipelines.fits.goodness import goodness_of
from pipelines.fits.hazard_line import hazard_line
from pipelines.fits.kaplan_meier import kaplan_meier
from pipelines.fits.knowledge import Knowledge
from pipelines.fits.posterior import posterior
from pipelines.fits.profile_limits import profile_limits
from pipelines.fits.weibull import fit_weibull
from pipelines.fits.weibull_paper import MOST_POINTS, paper_points
from pipelines.terms.settings import Prior


def drawn(count: int, shape: float, seed: int, entry: float = 0.0) -> Ages:
    """Lives of a Weibull of scale 500, suspended at ages even over 200 to 800, seen from an age on."""
    chance = np.random.default_rng(seed)
    age, end = 500 * chance.weibull(shape, count), chance.uniform(200, 800, count)
    start = np.where(chance.random(count) < 0.3, entry, 0.0)
    kept = np.minimum(age, end) > start
    return compress(start[kept], np.minimum(age, end)[kept], np.where(age < end, age, np.inf)[kept])


@pytest.mark.parametrize(("count", "seed", "entry"), [(30, 1, 0.0), (200, 2, 80.0), (12, 3, 0.0)])
@pytest.mark.parametrize("level", [0.9, 0.95])
def test_where_the_limits_cross_a_share_lie_the_profile_limits_of_that_age(count: int, seed: int, entry: float, level: float):
    ages = drawn(count, 2.0, seed, entry)
    fit = fit_weibull(ages)
    limits = profile_limits(ages, fit, level)
    for quantity, share in (("b10", 0.9), ("median", 0.5), ("scale", np.exp(-1))):
        low, high = limits[quantity]
        assert low is not None
        assert high is not None
        line = fitted_line(ages, fit, [low, high], level)
        assert line["low"][0] == pytest.approx(share, abs=1e-3)
        assert line["high"][1] == pytest.approx(share, abs=1e-3)


def test_the_line_lies_within_its_limits_and_falls():
    ages = drawn(40, 1.4, 5)
    line = fitted_line(ages, fit_weibull(ages), np.linspace(0, 900, 50))
    assert (line["low"] <= line["surviving"]).all()
    assert (line["surviving"] <= line["high"]).all()
    assert line.row(0)[1:] == (1.0, 1.0, 1.0)
    assert all((line[name].diff().drop_nulls() <= 1e-12).all() for name in ("surviving", "low", "high"))


def test_a_line_of_those_that_reach_an_age_begins_there_at_one():
    ages = drawn(60, 2.0, 7)
    fit = fit_weibull(ages)
    line = fitted_line(ages, fit, [100.0, 300.0], from_age=100.0)
    assert line.row(0)[1:] == (1.0, 1.0, 1.0)
    assert line["surviving"][1] == pytest.approx(fit.surviving(300.0) / fit.surviving(100.0))


def test_two_failures_have_wide_limits_and_no_warning():
    ages = compress([0.0] * 20, [50.0, 300.0, *[400.0] * 18], [50.0, 300.0, *[np.inf] * 18])
    line = fitted_line(ages, fit_weibull(ages), np.linspace(0, 500, 20))
    assert line["low"][-1] < 0.8 < line["high"][-1] <= 1


def test_points_of_the_paper_stand_half_way_up_their_steps():
    # Meeker and Escobar (1998), section 6.4: with n complete lives the points are (i - 0.5) / n.
    lives = [10.0, 20.0, 30.0, 40.0, 50.0]
    points = paper_points(kaplan_meier(compress([0.0] * 5, lives, lives)).steps)
    assert points["age"].to_list() == lives
    assert points["failed"].to_list() == pytest.approx([0.1, 0.3, 0.5, 0.7, 0.9])


def test_points_of_a_curve_that_begins_late_are_brought_to_the_share_that_reaches_it():
    steps = pl.DataFrame({"age": [100.0, 200.0], "events": [0.0, 2.0], "surviving": [1.0, 0.8], "low": [1.0, 0.6], "high": [1.0, 0.9]})
    (failed,) = paper_points(steps, 0.5)["failed"]
    assert failed == pytest.approx(1 - 0.5 * 0.9)


def test_many_failures_are_thinned_to_points_that_can_be_drawn():
    assert paper_points(kaplan_meier(drawn(2000, 2.0, 3)).steps).height == MOST_POINTS


def test_the_hazard_of_many_lives_is_that_of_the_truth_within_its_band():
    ages = drawn(3000, 2.0, 11)
    line = hazard_line(posterior(ages, Prior(), Knowledge(), "hours"), "hours", 600.0).filter(pl.col("age").is_between(100, 500))
    truth = 2.0 / 500 * line["age"] / 500
    assert (line["hazard"] / truth - 1).abs().max() < 0.15  # pyright: ignore[reportOptionalOperand, reportOperatorIssue]
    assert ((line["low"] < truth) & (truth < line["high"])).sum() > 0.6 * line.height
    assert ((line["low"] <= line["hazard"]) & (line["hazard"] <= line["high"])).all()


def test_bands_hold_every_failure_and_expect_as_many_in_all():
    ages = drawn(150, 2.0, 4, 80.0)
    found = goodness_of(ages, fit_weibull(ages))
    assert found.bands["failed"].sum() == ages.failures
    assert found.bands["expected"].sum() == pytest.approx(ages.failures, rel=1e-3)


def test_a_true_weibull_is_seldom_found_fault_with_and_a_mixture_often():
    p_true = [goodness_of(ages, fit_weibull(ages)).p_value for ages in (drawn(120, 2.0, seed) for seed in range(120))]
    assert np.mean(np.array(p_true) < 0.05) < 0.08
    early = [_with_early_deaths(seed) for seed in range(20)]
    p_mixed = [goodness_of(ages, fit_weibull(ages)).p_value for ages in early]
    assert np.mean(np.array(p_mixed) < 0.05) > 0.7


def _with_early_deaths(seed: int) -> Ages:
    chance = np.random.default_rng(1000 + seed)
    age = np.where(chance.random(200) < 0.25, 30 * chance.weibull(1.0, 200), 500 * chance.weibull(4.0, 200))
    return compress(np.zeros(200), age, age)


def test_too_few_failures_are_not_judged():
    ages = drawn(15, 2.0, 1)
    with pytest.raises(NoFigure, match="15 would do"):
        goodness_of(ages, fit_weibull(ages))
