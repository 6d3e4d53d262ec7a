"""Rates by group and month: what chance alone explains, what differs, and how often the limits hold."""

import numpy as np
import pytest

from pipelines.errors import NoFigure
from pipelines.fits.gamma_limits import gamma_limits, product_spread
from pipelines.fits.seasonal_rates import seasonal_rates

SEASON = np.array([0.2, 0.2, 0.4, 0.8, 1.2, 1.6, 2.0, 2.0, 1.4, 0.9, 0.5, 0.3])


def use_of(groups: int, hours: float = 400.0) -> np.ndarray:
    return np.outer(np.linspace(0.5, 1.5, groups), SEASON) * hours


def test_groups_and_months_that_chance_explains_have_one_rate():
    use = use_of(4)
    events = np.round(use * 0.01)
    told = seasonal_rates(events, use)
    assert told.rate == pytest.approx([(events.sum() + 0.5) / use.sum()] * 4, rel=0.01)
    assert told.month == pytest.approx([1.0] * 12)


def test_a_group_that_differs_has_a_rate_of_its_own():
    use = use_of(3, 4000.0)
    told = seasonal_rates(use * np.array([[0.005], [0.01], [0.03]]), use)
    assert told.rate == pytest.approx([0.005, 0.01, 0.03], rel=0.05)


def test_a_month_that_differs_has_a_factor_of_its_own_and_the_year_keeps_its_sum():
    use = use_of(2, 40_000.0)
    factor = np.where(np.arange(12) == 6, 2.0, 1.0)
    told = seasonal_rates(use * 0.01 * factor, use)
    assert told.month[6] / told.month[5] == pytest.approx(2.0, rel=0.05)
    assert (told.rate @ use) @ told.month == pytest.approx((use * 0.01 * factor).sum(), rel=0.01)


def test_a_group_that_was_not_watched_has_the_others_rate_with_more_doubt():
    use = use_of(4, 2000.0)
    use[3] = 0.0
    told = seasonal_rates(use * np.array([[0.005], [0.01], [0.03], [0.0]]), use)
    assert 0.005 < told.rate[3] < 0.03
    assert told.rate_spread[3] > told.rate_spread[:3].max()


def test_where_nothing_stopped_the_rate_is_low_and_in_doubt_not_nought():
    told = seasonal_rates(np.zeros((2, 12)), use_of(2))
    assert told.rate == pytest.approx([0.5 / use_of(2).sum()] * 2)
    assert told.rate_spread == pytest.approx([2.0, 2.0])


def test_what_was_never_watched_has_no_rate():
    with pytest.raises(NoFigure, match="Nothing was watched"):
        seasonal_rates(np.zeros((2, 12)), np.zeros((2, 12)))


@pytest.mark.slow
def test_limits_of_a_groups_rate_in_july_hold_about_as_often_as_they_say():
    # Five groups whose rates and months differ by gamma distributions; 200 fleets drawn, limits of 90 %.
    rng = np.random.default_rng(11)
    use, hits = use_of(5, 1500.0), []
    for _ in range(200):
        rate, month = 0.01 * rng.gamma(6, 1 / 6, 5), rng.gamma(20, 1 / 20, 12)
        told = seasonal_rates(rng.poisson(use * rate[:, None] * month).astype(float), use)
        low, high = gamma_limits(told.rate * told.month[6], product_spread(told.rate_spread, told.month_spread[6]), 0.90)
        hits.append((low <= rate * month[6]) & (rate * month[6] <= high))
    assert 0.82 < np.mean(hits) < 0.95
