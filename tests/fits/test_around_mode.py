import numpy as np
import pytest

from pipelines.fits.around_mode import modes, points_around


@pytest.mark.parametrize("size", [3, 4])
def test_a_normal_density_is_integrated_and_its_moments_are_found(size):
    rng = np.random.default_rng(size)
    middles = rng.normal(size=(2, size))
    roots = np.array([np.diag(rng.uniform(0.3, 2, size)) + 0.1 * np.tril(rng.normal(size=(size, size)), -1) for _ in range(2)])
    inverse = np.linalg.inv(roots)

    def density(at, each):
        away = np.einsum("nij,nj->ni", inverse[each], at - middles[each])
        return -0.5 * (away**2).sum(axis=1)

    at, spread = modes(density, np.zeros((2, size)))
    assert at == pytest.approx(middles, abs=0.02)
    points, log_volume = points_around(at, spread, 2000)
    each = np.repeat([0, 1], 2000)
    mass = np.exp(density(points, each) + log_volume)
    for one in (0, 1):
        whole = mass[each == one].sum()
        assert whole == pytest.approx((2 * np.pi) ** (size / 2) * abs(np.linalg.det(roots[one])), rel=0.02)
        assert mass[each == one] @ points[each == one] / whole == pytest.approx(middles[one], abs=0.05)


def test_a_climb_ends_at_the_mode_of_a_skew_density():
    at, _ = modes(lambda at, _: (3 * at - np.exp(at)).sum(axis=1), np.full((1, 3), -2.0))
    assert at == pytest.approx(np.log(3) * np.ones((1, 3)), abs=0.05)
