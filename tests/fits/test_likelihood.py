"""Log-likelihoods on grids against a plain second way of reckoning, life by life, with scipy's distributions."""

from typing import Any

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy import stats

from pipelines.fits.ages import Ages, compress
from pipelines.fits.likelihood import (
    EXPONENTIAL,
    FLOOR_WEIBULL,
    LOGNORMAL,
    WEIBULL,
    age_at_hazard,
    cumulative_hazard,
    evidence_of,
    log_likelihood,
    on_lattice,
    sketch_of,
)
from tests.fits.invented_lives import fleet

FAMILIES = (WEIBULL, LOGNORMAL, FLOOR_WEIBULL, EXPONENTIAL)
GAP = stats.norm.ppf(1 - np.exp(-1)) - stats.norm.ppf(0.1)


class Plain:
    """One law, written from its textbook form, with the age of 63.2 % failed at `scale` and B10 by `shape`."""

    law: Any

    def __init__(self, family: str, shape: float, scale: float, share: float = 0.0):
        self.share, self.scale, self.shape = share, scale, shape
        if family == LOGNORMAL:
            b10 = scale * np.exp(np.log(-np.log(0.9)) / shape)
            sigma = np.log(scale / b10) / GAP
            self.law = stats.lognorm(sigma, scale=scale * np.exp(-sigma * stats.norm.ppf(1 - np.exp(-1))))
        else:
            self.law = stats.weibull_min(1.0 if family == EXPONENTIAL else shape, scale=scale)

    def log_survival(self, age: float) -> float:
        return self.share * -age / self.scale + (1 - self.share) * self.law.logsf(age)

    def log_density(self, age: float) -> float:
        hazard = self.share / self.scale + (1 - self.share) * np.exp(self.law.logpdf(age) - self.law.logsf(age))
        return float(np.log(hazard)) + self.log_survival(age)

    def log_likelihood(self, ages: Ages) -> float:
        total = 0.0
        for entry, low, high, count in zip(ages.entry, ages.low, ages.high, ages.count, strict=True):
            if low == high:
                of_life = self.log_density(low)
            elif np.isinf(high):
                of_life = self.log_survival(low)
            else:
                # Not the difference of two survivals near 1, which would lose the digits that are compared.
                of_life = self.log_survival(low) + np.log(-np.expm1(self.log_survival(high) - self.log_survival(low)))
            total += count * (of_life - self.log_survival(entry))
        return total


@pytest.mark.parametrize("family", FAMILIES)
@settings(max_examples=20, deadline=None)
@example(seed=7889, shape=3.0, scale=408.0, share=0.5, late=False)
@example(seed=0, shape=3.0, scale=390.0, share=0.5, late=False)
@given(
    seed=st.integers(0, 2**32 - 1), shape=st.floats(0.5, 4.0), scale=st.floats(250.0, 900.0), share=st.floats(0.05, 0.9), late=st.booleans()
)
def test_every_family_adds_up_to_the_same_life_by_life(family, seed, shape, scale, share, late):
    ages = fleet(seed, lives=25, window=0.8, late=0.4 * late, between=0.4)
    part = np.array([share]) if family == FLOOR_WEIBULL else None
    ours = log_likelihood(family, evidence_of(ages), np.array([shape]), np.log([[scale]]), part)[0, 0]
    assert ours == pytest.approx(Plain(family, shape, scale, share if part is not None else 0.0).log_likelihood(ages), rel=1e-8, abs=1e-8)


@pytest.mark.parametrize("family", FAMILIES)
def test_a_grid_reads_the_same_as_its_points_one_by_one(family):
    evidence = evidence_of(fleet(3, lives=60, late=0.3, between=0.3))
    shapes, shares = np.array([0.8, 1.5, 3.0]), np.array([0.1, 0.4, 0.7])
    scales = np.log([[200.0, 300.0], [400.0, 500.0], [600.0, 700.0]])
    grid = log_likelihood(family, evidence, shapes, scales, shares if family == FLOOR_WEIBULL else None)
    for row in range(3):
        for column in range(2):
            share = shares[row : row + 1] if family == FLOOR_WEIBULL else None
            point = log_likelihood(family, evidence, shapes[row : row + 1], scales[row : row + 1, column : column + 1], share)
            assert grid[row, column] == pytest.approx(point[0, 0], rel=1e-12)


@pytest.mark.parametrize("family", FAMILIES)
def test_scale_and_shape_mean_the_same_ages_in_every_family(family):
    shape, scale, share = np.array([2.4]), np.array([700.0]), np.array([0.3]) if family == FLOOR_WEIBULL else None
    assert age_at_hazard(family, 1.0, np.ones(1) if family == EXPONENTIAL else shape, scale, share) == pytest.approx(700.0)
    if family in (WEIBULL, LOGNORMAL):
        assert age_at_hazard(family, -np.log(0.9), shape, scale) == pytest.approx(700.0 * (-np.log(0.9)) ** (1 / 2.4))


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(FAMILIES), st.floats(0.4, 8.0), st.floats(0.0, 1.0), st.floats(1e-4, 5.0))
def test_the_age_at_a_hazard_is_where_the_hazard_is_reached(family, shape, share, hazard):
    slope = np.ones(1) if family == EXPONENTIAL else np.array([shape])
    part = np.array([share]) if family == FLOOR_WEIBULL else None
    age = age_at_hazard(family, hazard, slope, np.array([50.0]), part)
    assert cumulative_hazard(family, np.log(age / 50.0), slope, part) == pytest.approx(hazard, rel=1e-7)


def test_impossible_lives_have_a_likelihood_of_nothing_and_no_warning():
    ages = compress(0.0, [1e-6, 1e6], [1e-6, 1e6])
    assert log_likelihood(WEIBULL, evidence_of(ages), np.array([50.0]), np.log([[1.0]]))[0, 0] < -1e200
    assert np.isneginf(log_likelihood(WEIBULL, evidence_of(ages), np.array([90.0]), np.log([[1.0]])))[0, 0]


def test_no_lives_leave_every_law_as_likely_as_before():
    nothing = evidence_of(compress(0.0, [], [], []))
    for family in FAMILIES:
        share = np.array([0.2, 0.4]) if family == FLOOR_WEIBULL else None
        assert (log_likelihood(family, nothing, np.array([1.0, 2.0]), np.zeros((2, 3)), share) == 0).all()


def test_thousands_of_ages_moved_onto_a_lattice_add_up_to_the_same():
    rng = np.random.default_rng(8)
    ages, count = np.log(rng.uniform(0.01, 1.0, 20_000)), rng.integers(-2, 9, 20_000).astype(float)
    few, weights = on_lattice(ages, count, 200, 0.03)
    assert few.size <= 401
    assert weights.sum() == pytest.approx(count.sum())
    for shape in (0.7, 2.0, 5.0):
        exact = count @ stats.norm.logsf(shape * ages + 1.0)
        assert weights @ stats.norm.logsf(shape * few + 1.0) == pytest.approx(exact, rel=1e-5)


def test_the_lognormal_of_many_lives_is_that_of_all_of_them():
    ages = fleet(5, lives=4000, window=0.6)
    ours = log_likelihood(LOGNORMAL, evidence_of(ages), np.array([2.0]), np.log([[400.0]]))[0, 0]
    law = Plain(LOGNORMAL, 2.0, 400.0).law
    failed = ages.is_failure
    exact = (ages.count[failed] * law.logpdf(ages.low[failed])).sum() + (ages.count[~failed] * law.logsf(ages.low[~failed])).sum()
    assert ours == pytest.approx(exact, abs=0.01)


def test_a_sketch_is_small_and_much_like_the_whole():
    whole = evidence_of(fleet(6, lives=3000, window=0.8, late=0.3, between=0.3))
    sketch = sketch_of(whole)
    assert max(sketch.survived.size, sketch.exact.size, sketch.low.size) <= 200
    at = np.log(np.linspace(380, 420, 9))[None, :]
    full, rough = (log_likelihood(WEIBULL, evidence, np.array([2.0]), at)[0] for evidence in (whole, sketch))
    assert rough - rough.max() == pytest.approx(full - full.max(), abs=1.5)


def test_a_sketch_of_lives_that_failed_before_the_first_look_gives_no_warning():
    chance = np.random.default_rng(1)
    low = np.where(chance.random(2_000) < 0.2, 0.0, chance.uniform(1, 300, 2_000))
    evidence = evidence_of(compress(np.zeros(2_000), low, low + chance.uniform(5, 200, 2_000)))
    sketch = sketch_of(evidence)
    assert sketch.low.size < evidence.low.size
    assert sketch.interval_count.sum() == 2_000
