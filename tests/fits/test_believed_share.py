"""Limits of a believed share."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.fits.believed_share import believed_limits


# Beta(1, 1) is flat, so its central 90 % lies from 0.05 to 0.95.
def test_a_share_of_half_worth_two_trials_is_flat():
    assert believed_limits(0.5, 2, 0.90) == pytest.approx((0.05, 0.95))


# Beta(a, 1) has the distribution function x^a, so its quantiles are p^(1/a).
def test_limits_match_the_power_distribution():
    assert believed_limits(3 / 4, 4, 0.90) == pytest.approx((0.05 ** (1 / 3), 0.95 ** (1 / 3)))


@pytest.mark.parametrize("share", [0.0, 1.0])
def test_a_certain_share_has_no_spread(share):
    assert believed_limits(share, 10) == (share, share)


@given(st.floats(0.2, 0.8), st.floats(20, 500))
def test_more_trials_draw_the_limits_in(share, trials):
    (low, high), (lower, higher) = believed_limits(share, trials), believed_limits(share, trials / 4)
    assert lower <= low <= share <= high <= higher
