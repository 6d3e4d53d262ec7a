import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from pipelines.fits.poisson_regression import fit_poisson


def drawn(seed: int, rows: int = 40, columns: int = 3):
    draw = np.random.default_rng(seed)
    design = np.column_stack((np.ones(rows), np.linspace(-2, 2, rows), draw.normal(size=rows)))
    exposure = draw.uniform(50, 400, rows)
    expected = exposure[:, None] * np.exp(design @ draw.normal([[-3], [0.3], [0.2]], 0.3, (3, columns)))
    return design, draw.poisson(expected).astype(float), exposure


@pytest.mark.parametrize("seed", range(6))
def test_statsmodels_gives_the_same_fit_column_by_column(seed):
    design, counts, exposure = drawn(seed)
    ours = fit_poisson(design, counts, exposure)
    for at in range(counts.shape[1]):
        theirs = sm.GLM(counts[:, at], design, family=sm.families.Poisson(), exposure=exposure).fit(tol=1e-12)
        assert_allclose(ours.coefficients[at], theirs.params, rtol=1e-6, atol=1e-7)
        assert_allclose(ours.covariance[at], theirs.cov_params(), rtol=1e-5, atol=1e-9)
        assert ours.log_likelihood[at] == pytest.approx(theirs.llf, rel=1e-6)
        assert ours.dispersion[at] == pytest.approx(theirs.pearson_chi2 / theirs.df_resid, rel=1e-6)


@settings(deadline=None)
@given(st.integers(0, 10_000))
def test_at_the_fit_what_is_expected_adds_up_to_what_was_counted(seed):
    design, counts, exposure = drawn(seed, rows=15)
    counts[0] += 1
    ours = fit_poisson(design, counts, exposure)
    assert_allclose(design.T @ ours.expected, design.T @ counts, atol=1e-4)


def test_a_column_that_explains_none_at_all_ends_at_a_finite_value():
    step = np.repeat([0.0, 1.0], 10)
    ours = fit_poisson(np.column_stack((np.ones(20), step)), np.where(step == 1, 0.0, 5.0)[:, None], np.full(20, 100.0))
    assert -40 < ours.coefficients[0, 1] < -5
    assert ours.expected[step == 1].sum() < 0.01


def test_a_prior_holds_a_coefficient_back():
    design, counts, exposure = drawn(3)
    free, held = fit_poisson(design, counts, exposure), fit_poisson(design, counts, exposure, np.array([0.0, 1e4, 0.0]))
    assert (np.abs(held.coefficients[:, 1]) < np.abs(free.coefficients[:, 1])).all()
    assert (held.log_likelihood < free.log_likelihood).all()


def test_as_many_coefficients_as_rows_leave_nothing_to_judge_dispersion_by():
    assert fit_poisson(np.eye(3), np.array([[1.0], [2.0], [3.0]]), np.ones(3)).dispersion == [1.0]
