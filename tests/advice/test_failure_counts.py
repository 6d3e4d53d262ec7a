"""Failures in a window: against a Poisson count, against plain simulation, and with renewals by plan."""

import numpy as np
import pytest
from scipy import stats

from pipelines.advice.failure_counts import MOST, counts_in_place, ending_masses, new_part_counts, thinned

STEPS = 24
EDGES = (np.arange(STEPS + 1) + 0.5) / (STEPS + 0.5)
NEVER = np.ones(STEPS + 1)


def counts(lasting: np.ndarray, kept: np.ndarray) -> np.ndarray:
    """Count the failures of one position with a new part under one law."""
    failing, renewed = ending_masses(lasting[None], kept[None])
    return counts_in_place(failing[:, None], renewed[:, None], new_part_counts(failing, renewed))[0, 0]


@pytest.mark.parametrize("mean", [0.1, 0.5, 1.5])
def test_random_failures_are_poisson(mean: float):
    found = counts(np.exp(-mean * EDGES), NEVER)
    assert found[:6] == pytest.approx(stats.poisson.pmf(np.arange(6), mean), abs=0.02 * mean)


def test_planned_renewal_does_not_change_random_failures():
    plain, renewed = (counts(np.exp(-0.7 * EDGES), kept) for kept in (NEVER, np.where(EDGES < 0.4, 1.0, 0.0)))
    assert renewed @ np.arange(MOST + 1) == pytest.approx(plain @ np.arange(MOST + 1), rel=0.02)


def test_parts_that_wear_out_and_are_renewed_in_time_fail_as_in_a_simulation():
    shape, scale, plan = 3.0, 0.6, 0.45
    found = counts(np.exp(-((EDGES / scale) ** shape)), np.where(plan > EDGES, 1.0, 0.0))
    draw = np.random.default_rng(5)
    failures = np.zeros(20_000, dtype=int)
    at = np.zeros(20_000)
    while (at < 1).any():
        life = scale * draw.weibull(shape, at.size)
        failures += (at + np.minimum(life, plan) < 1) & (life < plan)
        at += np.minimum(life, plan)
    assert found @ np.arange(MOST + 1) == pytest.approx(failures.mean(), rel=0.06)


def test_counts_add_to_one_and_thinning_takes_its_share():
    found = counts(np.exp(-((EDGES / 0.5) ** 2)), NEVER)
    assert found.sum() == pytest.approx(1)
    some = thinned(found, 0.3)
    assert some.sum() == pytest.approx(1)
    assert some @ np.arange(MOST + 1) == pytest.approx(0.3 * (found @ np.arange(MOST + 1)))
