"""The posterior against whole-grid integration, conjugate forms and its own refinement; and that it always answers."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from pipelines.fits import leaves
from pipelines.fits.ages import Ages, compress
from pipelines.fits.blocks import Block
from pipelines.fits.knowledge import Knowledge
from pipelines.fits.lattice import log_sum
from pipelines.fits.likelihood import FLOOR_WEIBULL, LOGNORMAL, WEIBULL, age_at_hazard, evidence_of, log_likelihood
from pipelines.fits.posterior import FAILS_YOUNG, RANDOM, WEARS_OUT, posterior, supported_age
from pipelines.terms.settings import Prior
from tests.fits.invented_lives import fleet

PRIOR = Prior()
RANDOM_ONLY = replace(PRIOR, wears_out=0.0, random=1.0, fails_young=0.0)
NO_LIVES = compress(0.0, [], [], [])
EXPECTED_500 = Knowledge(expected_life=500.0)
TAILS = np.array([0.05, 0.25, 0.5, 0.75, 0.95])


def only(family: str) -> Prior:
    """Prior with the wear-out branch and one family alone."""
    chosen = {f"family_{name}": float(name == family) for name in ("weibull", "lognormal", "floor_weibull")}
    return replace(PRIOR, wears_out=1.0, random=0.0, fails_young=0.0, fitted_badly=0.0, **chosen)


def whole_grid(family: str, ages: Ages, knowledge: Knowledge, hazard: float) -> tuple[np.ndarray, np.ndarray, float]:
    """Log age of a given cumulative hazard, its distribution function, and ln of the integral.

    A plain rectangular grid over that age, ln shape and the share of constant hazard, in two passes: wide, then fine.
    """
    log_shape = np.log(2.3) + 0.4 * np.linspace(-4.9, 4.9, 99)
    shares = np.linspace(0.0125, 0.9875, 40) if family == FLOOR_WEIBULL else np.array([0.0])
    shape, share = (column.ravel() for column in np.meshgrid(np.exp(log_shape), shares, indexing="ij"))
    part = share if family == FLOOR_WEIBULL else None
    prior = knowledge.scale_prior(PRIOR, ages)
    lean = np.log(age_at_hazard(family, hazard, shape, np.ones(shape.size), part))[:, None]
    belief = stats.norm.logpdf(np.log(shape), np.log(2.3), 0.4) + (0.0 if part is None else stats.beta.logpdf(share, 1, 3))
    cell = (log_shape[1] - log_shape[0]) * (shares[1] - shares[0] if shares.size > 1 else 1.0)

    def of(log_age: np.ndarray) -> np.ndarray:
        points = log_age[None, :] - lean
        value = log_likelihood(family, evidence_of(ages), shape, points, part) + prior.log_density(points) + belief[:, None]
        return log_sum(value.T)

    wide = np.linspace(prior.low + lean.min(), prior.high + lean.max(), 121)
    near = np.flatnonzero(of(wide) > of(wide).max() - 25)
    fine = np.linspace(wide[max(near[0] - 1, 0)], wide[min(near[-1] + 1, wide.size - 1)], 161)
    density = of(fine)
    step = fine[1] - fine[0]
    mass = np.exp(density - density.max())
    return fine + step / 2, np.cumsum(mass) / mass.sum(), float(density.max() + np.log(mass.sum() * step * cell))


CASES = {
    "no lives": NO_LIVES,
    "no failure": compress(0.0, [100.0, 300.0, 250.0], np.inf, [4, 2, 1]),
    "one failure": compress(0.0, [100.0, 300.0], [100.0, np.inf], [1, 20]),
    "found failed only": compress(0.0, [0.0, 200.0], [150.0, 500.0], [3, 4]),
    "already old": fleet(2, lives=60, shape=2.5, scale=400.0, window=0.4, late=0.4, between=0.3),
    "many failures": fleet(7, lives=250, shape=3.0, scale=600.0, window=1.0),
}


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize("family", [WEIBULL, LOGNORMAL, FLOOR_WEIBULL])
def test_every_family_agrees_with_a_plain_fine_grid(family, case):
    found = posterior(CASES[case], only(family), EXPECTED_500)
    allowed = 0.015 if family == FLOOR_WEIBULL else 0.006
    for quantity, hazard in (("scale", 1.0), ("b10", -np.log(0.9))):
        log_age, reached, total = whole_grid(family, CASES[case], EXPECTED_500, hazard)
        assert found.log_evidence == pytest.approx(total, abs=0.03)
        assert np.interp(np.log(found.quantiles(quantity, TAILS)), log_age, reached) == pytest.approx(TAILS, abs=allowed), quantity


@pytest.mark.parametrize(("failures", "lives"), [(1, 50), (4, 50), (60, 60), (3, 4000)])
def test_a_random_part_with_a_flat_prior_has_a_gamma_rate(failures, lives):
    # With constant hazard and a flat ln scale the rate is Gamma(failures, 1 / hours watched): conjugate, closed form.
    ages = compress(0.0, [100.0, 100.0], [100.0, np.inf], [failures, lives - failures])
    found = posterior(ages, RANDOM_ONLY, Knowledge())
    rate = stats.gamma(failures, scale=1 / (100.0 * lives))
    beyond = rate.cdf(np.exp(-Knowledge().scale_prior(PRIOR, ages).high))
    assert beyond < 0.025
    assert (rate.sf(1 / found.quantiles("scale", TAILS))) / (1 - beyond) == pytest.approx(TAILS, abs=0.003)


def test_many_lives_without_a_failure_do_not_prove_wear():
    # A flat prior that ended near the ages seen would leave only laws that fail late and all at once.
    ages = compress(0.0, [100.0], np.inf, 4000)
    assert posterior(ages, PRIOR, Knowledge()).weight_of(branch=RANDOM) > 0.05


def test_with_no_lives_the_posterior_is_the_prior():
    found = posterior(NO_LIVES, PRIOR, EXPECTED_500)
    assert stats.norm.cdf(np.log(found.quantiles("scale", TAILS) / 500.0) / 0.5) == pytest.approx(TAILS, abs=0.003)
    assert found.weight_of(branch=WEARS_OUT) == pytest.approx(0.75, abs=0.001)
    assert found.weight_of(branch=RANDOM) == pytest.approx(0.20, abs=0.001)
    assert found.weight_of(branch=FAILS_YOUNG) == pytest.approx(0.05, abs=0.001)
    assert found.weight_of(family=LOGNORMAL) == pytest.approx(0.15, abs=0.001)
    assert found.log_evidence == pytest.approx(0.0, abs=0.005)
    assert found.supported == {"hours": 0.0}


@pytest.mark.parametrize("case", CASES)
def test_a_lattice_twice_as_fine_leaves_the_limits_where_they_are(case, monkeypatch):
    ages = CASES[case]
    usual = posterior(ages, PRIOR, EXPECTED_500)
    monkeypatch.setattr(leaves, "_FINE", 2 * leaves._FINE)
    monkeypatch.setattr(leaves, "_FLOOR", 2 * leaves._FLOOR)
    monkeypatch.setattr(leaves, "_SHARES", 2 * leaves._SHARES)
    finer = posterior(ages, PRIOR, EXPECTED_500)
    spread = np.log(finer.quantiles("scale", 0.95) / finer.quantiles("scale", 0.05))
    for quantity in ("scale", "b10", "shape"):
        moved = np.log(usual.quantiles(quantity, [0.05, 0.5, 0.95]) / finer.quantiles(quantity, [0.05, 0.5, 0.95]))
        assert np.abs(moved).max() < 0.04 * max(spread, 0.3), quantity
    assert usual.log_evidence == pytest.approx(finer.log_evidence, abs=0.01)


@pytest.mark.parametrize("case", CASES)
def test_weights_add_to_one_and_points_stay_few(case):
    found = posterior(CASES[case], PRIOR, Knowledge())
    assert sum(float(block.weight.sum()) for block in found.blocks) == pytest.approx(1.0)
    assert all((block.weight > 0).all() for block in found.blocks)
    assert found.points < 8500


AWKWARD = {
    "one life of one hour": compress(0.0, [1.0], [1.0]),
    "all at one age": compress(0.0, [250.0], [250.0], 9),
    "a million at one age": compress(0.0, [250.0], [250.0], 1_000_000),
    "two failures a hundred thousand times apart": compress(0.0, [0.01, 1000.0], [0.01, 1000.0]),
    "failed before the first look": compress(0.0, [0.0], [10.0], 5),
    "old at entry and gone at once": compress([900.0], [901.0], [901.0], 3),
    "ages in seconds": compress(0.0, [1e9, 2e9], [1e9, np.inf]),
}


@pytest.mark.parametrize("case", AWKWARD)
@pytest.mark.parametrize("knowledge", [Knowledge(), EXPECTED_500], ids=["nothing known", "expected life"])
def test_awkward_lives_get_an_answer_without_a_warning(case, knowledge):
    found = posterior(AWKWARD[case], PRIOR, knowledge)
    for quantity in ("shape", "scale", "b10"):
        median, low, high = found.limits(quantity, 0.9)
        assert 0 < low <= median <= high < np.inf
    assert 0 <= found.wears_out_probability <= 1 + 1e-9
    assert np.isfinite(found.log_evidence)


def test_lives_that_wear_out_are_told_from_lives_that_do_not():
    wearing = fleet(1, lives=200, shape=3.0, scale=400.0)
    rushed = fleet(1, lives=200, shape=0.6, scale=400.0)
    steady = fleet(1, lives=400, shape=1.0, scale=400.0)
    assert posterior(wearing, PRIOR, Knowledge()).wears_out_probability > 0.999
    assert posterior(rushed, PRIOR, Knowledge()).wears_out_probability < 0.001
    assert posterior(steady, PRIOR, Knowledge()).wears_out_probability < 0.5
    assert posterior(rushed, PRIOR, Knowledge()).weight_of(branch=FAILS_YOUNG) > 0.9


def test_the_family_is_found_where_there_are_lives_enough():
    rng = np.random.default_rng(3)
    long_tailed = rng.lognormal(np.log(300.0), 0.5, 800)
    assert posterior(compress(0.0, long_tailed, long_tailed), PRIOR, Knowledge()).best_family == LOGNORMAL
    struck = np.minimum(400 * rng.weibull(5.0, 1500), rng.exponential(900.0, 1500))
    assert posterior(compress(0.0, struck, struck), PRIOR, Knowledge()).best_family == FLOOR_WEIBULL


def test_a_law_that_only_rises_and_then_falls_counts_by_the_ages_seen():
    # A lognormal hazard rises, then falls: over young ages it wears out, over all ages it does not.
    block = Block(WEARS_OUT, LOGNORMAL, "hours", np.array([1.0]), np.array([100.0]), np.array([1.0]))
    half, whole = block.cumulative_hazard([2.0, 4.0])[0]
    assert whole > 2 * half
    half, whole = block.cumulative_hazard([5000.0, 10000.0])[0]
    assert whole < 2 * half


def test_the_age_that_ten_lives_reached():
    ages = compress(0.0, [100.0, 200.0, 300.0], [100.0, np.inf, np.inf], [50, 8, 4])
    assert supported_age(ages) == 200.0
    assert supported_age(ages, lives=4) == 300.0
    assert supported_age(compress(0.0, [50.0, 70.0], np.inf)) == 50.0
    assert supported_age(NO_LIVES) == 0.0


def test_expected_survival_is_the_weighted_mean_and_falls_from_one():
    found = posterior(CASES["already old"], PRIOR, Knowledge())
    ages = np.linspace(0.0, 2000.0, 50)
    expected = found.expected_survival("hours", ages)
    assert expected[0] == pytest.approx(1.0)
    assert (np.diff(expected) < 0).all()
    assert expected == pytest.approx(sum(block.weight @ block.survival(ages) for block in found.blocks))


@settings(max_examples=10, deadline=None)
@given(st.integers(0, 2**32 - 1), st.floats(1e-2, 1e2))
def test_in_other_units_the_posterior_is_the_same_stretched(seed, factor):
    ages = fleet(seed, lives=40, shape=2.0, scale=300.0, late=0.3, between=0.2)
    stretched = compress(ages.entry * factor, ages.low * factor, ages.high * factor, ages.count)
    one, other = posterior(ages, PRIOR, EXPECTED_500), posterior(stretched, PRIOR, Knowledge(expected_life=500.0 * factor))
    assert other.quantiles("b10", TAILS) == pytest.approx(one.quantiles("b10", TAILS) * factor, rel=1e-6)
    assert other.wears_out_probability == pytest.approx(one.wears_out_probability, abs=1e-9)
