import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import minimize
from scipy.stats import gamma, nbinom, poisson

from pipelines.errors import NoFigure
from pipelines.fits.shrinkage import GammaPrior, fit_gamma_prior, log_marginal


def fleet(seed: int, spread: float, boats: int = 60) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    draw = np.random.default_rng(seed)
    hours = draw.uniform(0.05, 0.6, boats)
    rates = draw.gamma(1 / spread**2, 12 * spread**2, boats) if spread else np.full(boats, 12.0)
    return draw.poisson(rates * hours), hours, rates


def test_the_marginal_likelihood_is_the_negative_binomial_and_the_integral():
    counts, hours, _ = fleet(1, 0.5)
    prior = GammaPrior(11.0, 3.0)
    theirs = nbinom.logpmf(counts, prior.shape, prior.shape / (prior.shape + prior.mean * hours)).sum()
    assert log_marginal(prior, counts, hours) == pytest.approx(theirs, rel=1e-10)
    one = quad(lambda rate: poisson.pmf(4, rate * 0.3) * gamma.pdf(rate, 3, scale=11 / 3), 0, np.inf)[0]
    assert np.exp(log_marginal(prior, [4], [0.3])) == pytest.approx(one, rel=1e-7)


@pytest.mark.parametrize("seed", range(5))
def test_no_other_prior_explains_the_groups_better(seed):
    counts, hours, _ = fleet(seed, 0.6)
    prior = fit_gamma_prior(counts, hours)
    search = minimize(
        lambda at: -log_marginal(GammaPrior(*np.exp(at)), counts, hours), [2.0, 1.0], method="Nelder-Mead", options={"xatol": 1e-8}
    )
    assert log_marginal(prior, counts, hours) >= -search.fun - 1e-7
    assert (prior.mean, prior.shape) == pytest.approx(tuple(np.exp(search.x)), rel=1e-3)


def test_groups_that_differ_by_chance_alone_are_all_given_the_common_rate():
    counts, hours, _ = fleet(3, 0.0)
    prior = fit_gamma_prior(counts, hours)
    assert np.isinf(prior.shape)
    assert prior.shrunken(counts, hours) == pytest.approx(np.full(60, counts.sum() / hours.sum()))


@pytest.mark.parametrize("seed", range(10))
def test_shrunken_rates_lie_nearer_the_truth(seed):
    counts, hours, rates = fleet(50 + seed, 0.5, boats=200)
    shrunken = fit_gamma_prior(counts, hours).shrunken(counts, hours)
    assert np.mean((shrunken - rates) ** 2) < 0.8 * np.mean((counts / hours - rates) ** 2)


@settings(deadline=None)
@given(st.lists(st.tuples(st.integers(0, 40), st.floats(0.01, 10)), min_size=2, max_size=30))
def test_a_shrunken_rate_lies_between_the_raw_one_and_the_mean(groups):
    counts, hours = (np.array(part, dtype=float) for part in zip(*groups, strict=True))
    if not counts.sum():
        with pytest.raises(NoFigure, match="No group had an event"):
            fit_gamma_prior(counts, hours)
        return
    prior = fit_gamma_prior(counts, hours)
    shrunken, raw = prior.shrunken(counts, hours), counts / hours
    assert (shrunken >= np.minimum(raw, prior.mean) * (1 - 1e-9)).all()
    assert (shrunken <= np.maximum(raw, prior.mean) * (1 + 1e-9)).all()


def test_one_group_or_none_without_hours_is_refused():
    with pytest.raises(NoFigure, match="One group alone"):
        fit_gamma_prior([3], [1.0])
    with pytest.raises(NoFigure, match="without hours"):
        fit_gamma_prior([3, 1], [1.0, 0.0])
