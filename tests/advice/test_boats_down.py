"""Boats out of use at once: exact Poisson figures, a printed table, and fleets watched in simulation."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom, nbinom, poisson

from pipelines.advice.boats_down import BoatsDown
from tests.advice.made import unhurried

MANY = 10_000


@unhurried
@given(st.floats(0.01, 30), st.floats(0.5, 0.999))
def test_spare_boats_for_a_sure_rate_are_poisson_quantiles(mean, chance):
    # An exact tie between the chance and a sum of probabilities may fall either way.
    assert BoatsDown(mean, 0.0, MANY).spares_for(chance) in {int(poisson.ppf(chance + nudge, mean)) for nudge in (-1e-9, 0.0, 1e-9)}


@unhurried
@given(st.floats(0.01, 20), st.floats(0.001, 1), st.integers(0, 40))
def test_a_rate_in_doubt_makes_the_number_negative_binomial(mean, spread, spares):
    held = BoatsDown(mean, spread, MANY)
    exact = nbinom(1 / spread, 1 / (1 + spread * mean))
    assert held.chance_enough(spares) == pytest.approx(exact.cdf(spares), abs=1e-5)
    beyond = mean - sum(exact.sf(n) for n in range(spares))
    assert held.short(spares) == pytest.approx(beyond, abs=1e-3 * max(1, mean))


@unhurried
@given(st.floats(0.05, 10), st.floats(0.01, 2))
def test_doubt_about_the_rate_leaves_no_fewer_boats_unreplaced(mean, spread):
    sure, doubtful = BoatsDown(mean, 0.0, MANY), BoatsDown(mean, spread, MANY)
    assert doubtful.short(2) >= sure.short(2) - 1e-9


def test_the_numbers_agree_with_a_printed_erlang_loss_figure():
    # Calculator manual at erlang.com, "How much traffic can a trunk group handle?" (read as an extract): 15 lines offered 8.108 erlang lose
    # 1 call in 100. The loss of n lines is P(N = n) / P(N <= n) of a Poisson number with the traffic as its mean (Erlang 1917).
    held = BoatsDown(8.108, 0.0, MANY)
    loss = float(held.number.probability[15]) / held.chance_enough(15)
    assert loss == pytest.approx(0.01, rel=1e-3)


def test_nothing_down_takes_no_spare_boat():
    held = BoatsDown(0.0, 0.4, 12)
    assert (held.spares_for(0.99), held.chance_enough(0), held.short(0)) == (0, 1.0, 0.0)


def test_no_more_spare_boats_are_asked_for_than_there_are_boats():
    held = BoatsDown(4.0, 1.0, 2)
    assert (held.spares_for(0.99), held.chance_enough(2), held.short(2)) == (2, 1.0, 0.0)


@unhurried
@given(st.floats(0.05, 8), st.floats(0, 1), st.floats(0.6, 0.99))
def test_one_spare_boat_fewer_is_not_enough(mean, spread, chance):
    held = BoatsDown(mean, spread, MANY)
    spares = held.spares_for(chance)
    assert held.chance_enough(spares) >= chance - 1e-9
    assert spares == 0 or held.chance_enough(spares - 1) < chance


def down_at_once(boats: int, rate: float, downtimes, days: float, seed: int) -> np.ndarray:
    """Numbers down at noon of every fifth day in a fleet where a boat that is down cannot stop again; each boat is followed alone."""
    rng = np.random.default_rng(seed)
    looks = np.arange(60.0, days, 5.0)
    total = np.zeros(looks.size, dtype=int)
    for _ in range(boats):
        count = int(days * rate * 2 + 50)
        up, down = rng.exponential(1 / rate, count), downtimes(rng, count)
        ends = np.cumsum(up + down)
        turn = np.searchsorted(ends, looks, side="right")
        total += looks >= (ends - down)[turn]
    return total


def lognormal(rng, count):
    return 1.5 * rng.lognormal(-0.5, 1.0, count)


def even(_rng, count):
    return np.full(count, 1.5)


def two_sorts(rng, count):
    """Mostly back within hours, one in ten out for a fortnight: mean 1.5 days."""
    return np.where(rng.random(count) < 0.1, 13.2, 0.2)


@pytest.mark.parametrize("downtimes", [lognormal, even, two_sorts])
def test_the_number_down_is_poisson_whatever_the_downtimes_are(downtimes):
    # Palm's theorem, with 200 boats that stop every 60 days for 1.5 days in the mean: 5 down at once.
    seen = down_at_once(200, 1 / 60, downtimes, 6000.0, seed=4)
    told = BoatsDown(200 / 60 * 1.5, 0.0, 200)
    assert seen.mean() == pytest.approx(told.mean, rel=0.04)
    for spares in (3, 5, 7, 9):
        assert (seen <= spares).mean() == pytest.approx(told.chance_enough(spares), abs=0.04)


@pytest.mark.parametrize("boats", [4, 10, 40])
def test_that_a_boat_down_cannot_fail_again_hardly_matters(boats):
    # A boat alone is down with probability r / (1 + r), r its rate times its downtime, so the number is binomial. Here each stops every 40
    # days for a day: what Poisson asks for is never less, and at most one spare boat more.
    share = (1 / 40) / (1 + 1 / 40)
    for chance in (0.8, 0.9, 0.95, 0.99):
        exact = int(binom.ppf(chance, boats, share))
        assert exact <= BoatsDown(boats / 40, 0.0, boats).spares_for(chance) <= exact + 1


@pytest.mark.parametrize("boats", [6, 30])
def test_a_small_fleet_watched_in_simulation_has_enough_spare_boats_as_often_as_told(boats):
    seen = down_at_once(boats, 1 / 40, two_sorts, 40_000.0, seed=9)
    held = BoatsDown(boats / 40 * 1.5, 0.0, boats)
    spares = held.spares_for(0.95)
    assert (seen <= spares).mean() >= held.chance_enough(spares) - 0.01
