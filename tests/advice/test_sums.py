import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.advice.counts import poisson
from pipelines.advice.sums import summed
from tests.advice.made import unhurried


def convolved(tables, times):
    """Add up one by one: a plain second way."""
    whole = np.ones(1)
    for table, number in zip(tables, times, strict=True):
        for _ in range(number):
            whole = np.convolve(whole, table)
    return whole


@unhurried
@given(st.integers(1, 9), st.integers(1, 4), st.integers(0, 10_000))
def test_sums_agree_with_adding_one_by_one(positions, counts, seed):
    rng = np.random.default_rng(seed)
    tables = rng.dirichlet(np.ones(counts + 1), (3, positions))
    times = rng.integers(1, 6, positions)
    told = summed(tables, times)
    for law in range(3):
        exact = convolved(tables[law], times)
        size = min(exact.size, told.shape[1])
        assert told[law, :size] == pytest.approx(exact[:size], abs=1e-12)


def test_thousands_of_positions_keep_their_tails():
    chance, positions = 0.3, 4000
    told = summed(np.array([[[1 - chance, chance]]]), np.array([positions]))[0]
    mean, spread = positions * chance, np.sqrt(positions * chance * (1 - chance))
    assert told.sum() == pytest.approx(1)
    assert told @ np.arange(told.size) == pytest.approx(mean)
    assert told[: int(mean - 3 * spread)].sum() == pytest.approx(0.00127, abs=2e-4)  # exact binomial, computed with scipy


def test_laws_far_apart_each_have_their_own_window():
    told = summed(np.array([[[0.99, 0.01]], [[0.01, 0.99]]]), np.array([3000]))
    assert told[0] @ np.arange(told.shape[1]) == pytest.approx(30)
    assert told[1] @ np.arange(told.shape[1]) == pytest.approx(2970)


def test_many_poisson_positions_are_one_poisson_of_their_sum():
    means = np.array([0.4, 1.3, 0.05])
    most = 30
    tables = np.stack([np.pad(poisson(mean).probability, (0, 60))[:most] for mean in means])[None]
    exact = poisson(float(means @ [2, 1, 7])).probability
    assert summed(tables, np.array([2, 1, 7]))[0, :25] == pytest.approx(exact[:25], abs=1e-12)
