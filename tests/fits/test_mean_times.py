"""Mean times of groups: drawn together where chance explains them, apart where it does not."""

import numpy as np
import pytest

from pipelines.errors import NoFigure
from pipelines.fits.gamma_limits import gamma_limits
from pipelines.fits.mean_times import mean_times


def drawn(means, counts, seed=1):
    rng = np.random.default_rng(seed)
    times = np.concatenate([rng.exponential(mean, count) for mean, count in zip(means, counts, strict=True)])
    return times, np.repeat(np.arange(len(means)), counts)


def test_groups_that_chance_explains_have_the_mean_of_all():
    times = np.array([2.0, 4.0, 6.0, 8.0] * 10)
    told = mean_times(times, np.arange(40) % 2 * 0 + np.repeat([0, 1], 20), 2)
    assert told.mean == pytest.approx([5.0, 5.0])
    assert told.spread == pytest.approx([times.var(ddof=2) / 40 / 25] * 2)


def test_groups_that_differ_have_means_of_their_own():
    times, group = drawn([10.0, 40.0], [300, 300])
    told = mean_times(times, group, 2)
    assert told.mean == pytest.approx([times[:300].mean(), times[300:].mean()], rel=0.02)


def test_a_group_of_few_is_drawn_further_towards_the_others():
    times, group = drawn([10.0, 40.0, 40.0], [200, 200, 4])
    told = mean_times(times, group, 3)
    own, overall = times[group == 2].mean(), times.mean()
    assert min(own, overall) < told.mean[2] < max(own, overall)
    assert told.spread[2] > told.spread[1]


def test_a_group_without_a_time_has_the_mean_of_all():
    times, group = drawn([10.0, 30.0], [50, 50])
    assert mean_times(times, group, 3).mean[2] == pytest.approx(times.mean())


def test_few_times_are_no_surer_than_exponential_ones():
    told = mean_times(np.full(10, 5.0), np.zeros(10, dtype=int), 1)
    assert told.spread[0] == pytest.approx(1 / 10)


def test_too_few_times_or_none_above_nought_have_no_mean():
    with pytest.raises(NoFigure, match="at least 5"):
        mean_times(np.ones(4), np.zeros(4, dtype=int), 1)
    with pytest.raises(NoFigure, match="above nought"):
        mean_times(np.zeros(9), np.zeros(9, dtype=int), 1)


def test_limits_of_a_groups_mean_hold_about_as_often_as_they_say():
    rng = np.random.default_rng(5)
    hits = []
    for _ in range(300):
        truth = 15 * rng.gamma(8, 1 / 8, 6)
        group = np.repeat(np.arange(6), 40)
        told = mean_times(rng.exponential(truth[group]), group, 6)
        low, high = gamma_limits(told.mean, told.spread, 0.90)
        hits.append((low <= truth) & (truth <= high))
    assert 0.84 < np.mean(hits) < 0.95
