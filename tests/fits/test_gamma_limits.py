"""A figure believed as a gamma distribution, against scipy."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import gamma

from pipelines.fits.gamma_limits import gamma_limits, product_spread

spreads = st.floats(0.001, 4)


@given(st.floats(0.01, 50), spreads, st.floats(0.5, 0.99))
def test_limits_are_those_of_the_gamma_distribution(mean, spread, level):
    low, high = gamma_limits(mean, spread, level)
    held = gamma(1 / spread, scale=mean * spread)
    assert (low, high) == pytest.approx((held.ppf((1 - level) / 2), held.ppf((1 + level) / 2)), rel=1e-6, abs=1e-12)


def test_a_sure_figure_has_limits_next_to_itself():
    assert gamma_limits(3.0, 0.0) == pytest.approx((3.0, 3.0), rel=1e-3)


def test_nothing_has_limits_of_nothing():
    assert gamma_limits(0.0, 0.3) == (0.0, 0.0)


def test_the_spread_of_a_product_is_that_of_figures_drawn_apart():
    rng = np.random.default_rng(3)
    one, other = rng.gamma(1 / 0.2, 0.2, 400_000), rng.gamma(1 / 0.5, 0.5, 400_000)
    drawn = (one * other).var() / (one * other).mean() ** 2
    assert float(product_spread(0.2, 0.5)) == pytest.approx(drawn, rel=0.02)
    assert float(product_spread(0.2, 0.0)) == pytest.approx(0.2)
