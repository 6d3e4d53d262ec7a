from dataclasses import replace

import numpy as np
import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import logit

from pipelines.fits.ages import Ages, compress
from pipelines.fits.fitted_badly import fitted_badly_laws, log_likelihood, may_be_fitted_badly
from pipelines.fits.fitted_badly_block import FITTED_BADLY, FittedBadly
from pipelines.fits.knowledge import Knowledge
from pipelines.fits.lattice import log_sum
from pipelines.fits.likelihood import WEIBULL, evidence_of
from pipelines.fits.likelihood import log_likelihood as of_wear
from pipelines.fits.posterior import posterior
from pipelines.terms.settings import Prior

PRIOR = Prior()


def drawn(count: int, bad: float, seed: int, interval: float = 300.0) -> Ages:
    """Lives of shape 3 and scale 500 h, a share of them fitted badly, renewed at an interval."""
    rng = np.random.default_rng(seed)
    life = 500 * rng.weibull(3, count)
    life = np.where(rng.random(count) < bad, np.minimum(life, rng.exponential(8, count)), life)
    end = np.minimum(life, interval)
    return compress(np.zeros(count), end, np.where(life <= interval, end, np.inf), np.ones(count))


def law(share: float = 0.1) -> FittedBadly:
    one = np.ones(1)
    return FittedBadly(FITTED_BADLY, WEIBULL, "hours", 3 * one, 500 * one, one, early_share=share * one, early_age=8 * one)


def test_survival_is_that_of_a_mixture_of_good_and_bad_fittings():
    ages = np.array([0.0, 4.0, 100.0, 600.0])
    wear = np.exp(-((ages / 500) ** 3))
    assert law().survival(ages)[0] == pytest.approx(0.9 * wear + 0.1 * wear * np.exp(-ages / 8))


@pytest.mark.parametrize("failed", [0.02, 0.1, 0.5, 1 - np.exp(-1), 0.999])
def test_the_age_by_which_a_share_has_failed_is_found(failed):
    assert 1 - law().survival(law().age_at(failed))[0, 0] == pytest.approx(failed, rel=1e-9)


def test_without_bad_fittings_the_law_is_plain_wear():
    assert law(0.0).age_at(0.1) == pytest.approx(law().wear.age_at(0.1))
    assert law(0.0).value("shape") == pytest.approx([3.0])


def test_likelihood_without_bad_fittings_is_that_of_wear():
    evidence = evidence_of(drawn(80, 0.1, 1))
    ours = log_likelihood(evidence, np.array([[np.log(2.5), np.log(450.0), -40.0, np.log(0.02)]]))
    assert ours[0] == pytest.approx(of_wear(WEIBULL, evidence, np.array([2.5]), np.log([[450.0]]))[0, 0], rel=1e-9)


def test_likelihood_of_each_sort_of_life_is_its_probability():
    entry, low, high = np.array([[0.0, 0.0, 2.0, 30.0], [5.0, 60.0, 20.0, 200.0], [5.0, np.inf, 90.0, 200.0]])
    ages = Ages(entry, low, high, np.ones(4))
    block, at = law(0.2), np.array([[np.log(3.0), np.log(500.0), logit(0.2), np.log(8 / 500)]])
    surviving = lambda age: float(block.survival([age])[0, 0])  # noqa: E731
    density = lambda age: (surviving(age * (1 - 1e-6)) - surviving(age * (1 + 1e-6))) / (2e-6 * age)  # noqa: E731
    by_hand = [density(5.0), surviving(60.0), (surviving(20.0) - surviving(90.0)) / surviving(2.0), density(200.0) / surviving(30.0)]
    assert log_likelihood(evidence_of(ages), at)[0] == pytest.approx(np.log(by_hand).sum(), rel=1e-6)


def test_the_density_of_a_law_adds_to_one():
    at = np.array([[np.log(3.0), np.log(500.0), logit(0.2), np.log(8 / 500)]])

    def density(age: float) -> float:
        life = Ages(np.zeros(1), np.full(1, age), np.full(1, age), np.ones(1))
        return float(np.exp(log_likelihood(evidence_of(life), at)[0]))

    assert quad(density, 1e-6, 60, limit=200)[0] + quad(density, 60, 2000, limit=200)[0] == pytest.approx(1.0, abs=1e-4)


def test_the_evidence_is_that_of_a_plain_sum_over_the_prior():
    ages = drawn(40, 0.15, 5)
    evidence, scale = evidence_of(ages), Knowledge(expected_life=480.0).scale_prior(PRIOR, ages)
    found = float(log_sum(fitted_badly_laws(evidence, scale, PRIOR, "hours").weight))
    rng = np.random.default_rng(1)
    centre, spread = np.log(480.0), PRIOR.scale_sd_expected_life
    middles = np.array([np.log(PRIOR.wear_shape_median), centre, logit(PRIOR.early_share), np.log(PRIOR.early_age)])
    spreads = np.array([PRIOR.wear_shape_sd, spread, PRIOR.early_share_sd, PRIOR.early_age_sd])
    values = log_likelihood(evidence, middles + spreads * rng.standard_normal((200_000, 4)))
    assert found == pytest.approx(float(log_sum(values)) - np.log(200_000), abs=0.05)


def test_bad_fitting_is_believed_where_a_tenth_dies_early_and_wear_is_seen_behind_it():
    found = posterior(drawn(240, 0.1, 2), PRIOR, Knowledge())
    assert found.weight_of(branch=FITTED_BADLY) > 0.95
    block = next(block for block in found.blocks if isinstance(block, FittedBadly))
    weight = block.weight / block.weight.sum()
    assert weight @ block.early_share == pytest.approx(0.1, abs=0.04)
    assert weight @ block.shape > 2


@pytest.mark.parametrize("seed", range(4))
def test_bad_fitting_is_not_believed_where_there_is_none(seed):
    assert posterior(drawn(240, 0.0, seed), PRIOR, Knowledge()).weight_of(branch=FITTED_BADLY) < 0.2


def test_it_is_thought_of_where_a_failure_came_soon_after_fitting():
    def ages(failed: float) -> Ages:
        return compress(np.zeros(41), np.array([failed, *[300.0] * 40]), np.array([failed, *[np.inf] * 40]), np.ones(41))

    assert may_be_fitted_badly(evidence_of(ages(40.0)), 300.0)
    assert not may_be_fitted_badly(evidence_of(ages(50.0)), 300.0)
    assert not may_be_fitted_badly(evidence_of(ages(40.0)), 0.0)


def test_a_prior_without_bad_fitting_has_no_such_law():
    ages = drawn(240, 0.1, 2)
    assert posterior(ages, replace(PRIOR, fitted_badly=0.0), Knowledge()).weight_of(branch=FITTED_BADLY) == 0


@settings(deadline=None, derandomize=True, max_examples=15)
@given(st.integers(1, 10**6), st.floats(0.0, 0.3), st.integers(8, 60))
def test_weights_add_to_one_and_survival_falls(seed, bad, count):
    found = posterior(drawn(count, bad, seed), PRIOR, Knowledge())
    assert found.weight_of() == pytest.approx(1.0)
    surviving = found.expected_survival("hours", np.array([0.0, 1.0, 10.0, 100.0, 400.0]))
    assert (np.diff(surviving) <= 1e-12).all()
    assert pl.Series(surviving).is_finite().all()
