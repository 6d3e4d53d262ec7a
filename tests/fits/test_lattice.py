"""Lattices find the mass of a function wherever it lies, and integrate it."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import gammaln

from pipelines.fits.lattice import lattice, log_sum, settle


@settings(max_examples=80, deadline=None)
@given(st.floats(-9.0, 9.0), st.floats(1e-4, 30.0))
def test_a_normal_curve_is_found_and_integrated_wherever_it_is(centre, sd):
    def curve(points):
        return -0.5 * ((points - centre) / sd) ** 2

    low, high = settle(curve, np.array([-10.0]), np.array([10.0]))
    found = lattice(curve, low, high, 37)
    inside = 0.5 * (np.vectorize(_phi)((10 - centre) / sd) - np.vectorize(_phi)((-10 - centre) / sd))
    assert np.exp(found.log_total[0]) == pytest.approx(float(inside) * sd * np.sqrt(2 * np.pi), rel=1e-3)


def _phi(z: float) -> float:
    from math import erf, sqrt

    return erf(z / sqrt(2))


def test_the_step_is_no_wider_than_a_third_of_a_standard_deviation():
    for sd in (0.01, 0.1, 1.0):
        low, high = settle(lambda points, sd=sd: -0.5 * (points / sd) ** 2, np.array([-10.0]), np.array([10.0]))
        assert (high - low)[0] / 37 <= sd / 3


@pytest.mark.parametrize("failures", [1, 2, 5, 40, 400])
def test_a_lopsided_curve_is_integrated_too(failures):
    # ln scale of a constant hazard: the density d^... is a log-gamma, whose integral is the gamma function.
    def curve(points):
        return -failures * points - 30.0 * np.exp(-points)

    low, high = settle(curve, np.array([-8.0]), np.array([20.0]))
    assert lattice(curve, low, high, 37).log_total[0] == pytest.approx(gammaln(failures) - failures * np.log(30.0), abs=2e-4)


def test_rows_are_followed_apart_from_each_other():
    centres, sds = np.array([-3.0, 0.0, 5.0]), np.array([0.01, 3.0, 0.2])

    def curve(points):
        return -0.5 * ((points - centres[:, None]) / sds[:, None]) ** 2

    low, high = settle(curve, np.full(3, -20.0), np.full(3, 20.0))
    assert np.exp(lattice(curve, low, high, 37).log_total) == pytest.approx(sds * np.sqrt(2 * np.pi), rel=3e-4)


def test_a_flat_curve_is_kept_whole():
    low, high = settle(np.zeros_like, np.array([-2.0]), np.array([3.0]))
    assert (low[0], high[0]) == (-2.0, 3.0)
    assert np.exp(lattice(np.zeros_like, low, high, 9).log_total[0]) == pytest.approx(5.0)


def test_a_row_that_is_nowhere_possible_has_no_mass_and_does_no_harm():
    low, high = settle(lambda points: np.full(points.shape, -np.inf), np.array([0.0]), np.array([1.0]))
    assert np.isneginf(lattice(lambda points: np.full(points.shape, -np.inf), low, high, 9).log_total).all()


def test_sums_of_tiny_numbers_are_not_lost():
    assert log_sum(np.array([-1000.0, -1000.0])) == pytest.approx(-1000.0 + np.log(2))
    assert np.isneginf(log_sum(np.array([-np.inf, -np.inf])))
