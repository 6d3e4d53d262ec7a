"""The boundary of the sequential test: what it spends, that it only rises, and that it is negative binomial at one look."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pipelines.errors import NoFigure
from pipelines.fits.running_above import FEWEST, Known, boundary, known_surely

LOOKS = np.array([1.0, 2.0, 3.0, 2.0])
SPENDING = 0.05 * np.cumsum(LOOKS) / LOOKS.sum()


def test_one_look_at_a_sure_rate_is_the_plain_poisson_test():
    # With one look the boundary is the smallest count whose Poisson tail is within the chance that may be spent.
    for mean in (0.5, 2.0, 7.3, 40.0):
        found = boundary(known_surely(mean), np.array([1.0]), np.array([0.05]))
        plain = next(count for count in range(FEWEST, 200) if stats.poisson.sf(count - 1, mean) <= 0.05)
        assert found.alarm_at[0] == plain
        assert found.spent[0] == pytest.approx(stats.poisson.sf(plain - 1, mean), abs=1e-6)


def test_the_chance_of_a_count_is_scipy_s_negative_binomial():
    known = Known(3.5, 20.0)
    for count in range(8):
        assert known.chance_of(count, 6.0) == pytest.approx(stats.nbinom.sf(count - 1, 3.5, 20 / 26), rel=1e-12)


def test_the_boundary_is_reached_as_often_as_it_says():
    draw = np.random.default_rng(3)
    known = Known(6.0, 8.0)
    found = boundary(known, LOOKS, SPENDING)
    rates = draw.gamma(6.0, 1 / 8.0, 200_000)
    counts = np.cumsum(draw.poisson(rates[:, None] * LOOKS), axis=1)
    reached = (counts >= found.alarm_at).any(axis=1).mean()
    assert reached == pytest.approx(found.spent[-1], abs=4 * np.sqrt(0.05 / 200_000))


@given(
    st.floats(0.5, 200),
    st.floats(0.5, 50),
    st.lists(st.floats(0, 20), min_size=1, max_size=12),
    st.floats(0.0005, 0.2),
)
def test_no_more_is_spent_than_may_be_and_the_boundary_never_falls(events: float, exposure: float, looks: list[float], spend: float):
    allowed = spend * np.arange(1, len(looks) + 1) / len(looks)
    try:
        found = boundary(Known(events, exposure), np.array(looks), allowed)
    except NoFigure:
        assert Known(events, exposure).chance_of(5_000, sum(looks)) > 0
        return
    assert (found.spent <= allowed + 1e-9).all()
    assert (np.diff(found.alarm_at) >= 0).all()
    assert found.alarm_at[0] >= FEWEST


def test_a_count_beyond_all_sense_is_refused_with_the_way_out():
    with pytest.raises(NoFigure, match="compare their rate with the one before instead"):
        boundary(Known(113.0, 0.5), np.array([20.0]), np.array([0.125]))


def test_doubt_keeps_the_mean_and_raises_the_boundary():
    sure = Known(400.0, 40.0)
    doubted = sure.doubted(0.3)
    assert doubted.expected(5.0) == pytest.approx(sure.expected(5.0))
    assert boundary(doubted, LOOKS, SPENDING).alarm_at[-1] > boundary(sure, LOOKS, SPENDING).alarm_at[-1]
