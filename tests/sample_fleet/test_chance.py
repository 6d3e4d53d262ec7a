"""Draws come out the same each time and have the distribution they say."""

import numpy as np
import pytest

from sample_fleet.chance import Chance


def test_the_same_seed_and_stage_draw_the_same():
    assert Chance(3, "fleet").uniform(5).tolist() == Chance(3, "fleet").uniform(5).tolist()


def test_another_stage_or_seed_draws_otherwise():
    first = Chance(3, "fleet").uniform(5).tolist()
    assert Chance(3, "calls").uniform(5).tolist() != first
    assert Chance(4, "fleet").uniform(5).tolist() != first


def test_the_first_draws_are_these_on_every_system():
    assert Chance(1, "fleet").uniform(3) == pytest.approx([0.1659299, 0.5417102, 0.2619692], abs=1e-7)


def test_exponential_draws_have_mean_and_spread_one():
    draws = Chance(1, "test").exponential(200_000)
    assert (draws.mean(), draws.std()) == pytest.approx((1, 1), abs=0.01)


def test_normal_draws_have_mean_nought_and_spread_one():
    draws = Chance(1, "test").normal(200_000)
    assert (draws.mean(), draws.std()) == pytest.approx((0, 1), abs=0.01)


@pytest.mark.parametrize("mean", [0.02, 0.5, 2.0])
def test_counts_have_the_mean_and_spread_of_a_poisson_number(mean):
    counts = Chance(1, "test").counts(np.full(100_000, mean))
    assert (counts.mean(), counts.var()) == pytest.approx((mean, mean), rel=0.05)


def test_picks_follow_their_weights():
    picks = Chance(1, "test").pick(100_000, (1, 0, 3))
    assert np.bincount(picks) / 100_000 == pytest.approx([0.25, 0, 0.75], abs=0.01)


def test_whole_numbers_reach_both_ends():
    assert set(Chance(1, "test").whole(1000, 2, 4).tolist()) == {2, 3, 4}
