"""Wear on both clocks at once: the likelihood is that of the textbook, the integrals those of a plain grid, the laws those of the lives."""

import numpy as np
import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate

from pipelines.fits import two_clocks
from pipelines.fits.ages import ages_from_lives
from pipelines.fits.knowledge import Knowledge
from pipelines.fits.likelihood import WEIBULL, evidence_of
from pipelines.fits.likelihood import log_likelihood as on_one_clock
from pipelines.fits.two_clock_block import BOTH, TwoClocks
from pipelines.fits.two_clock_likelihood import log_likelihood, pairs_of, sketch_of
from pipelines.fits.two_clocks import log_evidence, two_clock_laws
from pipelines.terms.settings import Prior

PRIOR = Prior()
COLUMNS = ["entry_h", "low_h", "high_h", "entry_months", "low_months", "high_months"]


def drawn(seed: int, count: int = 60, late: float = 0.3, between: float = 0.3) -> pl.DataFrame:
    """Lives that wear on both clocks, exact, between two looks and suspended, some already old when watching begins."""
    chance = np.random.default_rng(seed)
    rows = []
    for _ in range(count):
        rate = chance.lognormal(np.log(15), 0.5)
        start = chance.uniform(0, 20) if chance.random() < late else 0.0
        fails = min(
            500 / rate * ((start * rate / 500) ** 2.5 + chance.exponential()) ** 0.4,
            40 * ((start / 40) ** 3 + chance.exponential()) ** (1 / 3),
        )
        stop = start + chance.uniform(1, 60)
        low, high = (fails, fails) if fails <= stop else (stop, None)
        if high is not None and chance.random() < between:
            low, high = max(start, fails - chance.uniform(0, 5)), fails + chance.uniform(0.1, 5)
        rows.append((start * rate, low * rate, None if high is None else high * rate, start, low, high))
    return pl.DataFrame(rows, schema=dict.fromkeys(COLUMNS, pl.Float64), orient="row")


def plainly(lives: pl.DataFrame, use: float, shapes: tuple[float, float], share: float, age: float) -> float:
    """The likelihood written out life by life, on the measure of months."""

    def hazard(hours: float, months: float) -> float:
        return share * (hours / (use * age)) ** shapes[0] + (1 - share) * (months / age) ** shapes[1]

    total = 0.0
    for entry_h, low_h, high_h, entry_m, low_m, high_m in lives.select(COLUMNS).iter_rows():
        total += hazard(entry_h, entry_m) - hazard(low_h, low_m)
        if high_m is not None and high_m == low_m:
            parts = share * shapes[0] * (low_h / (use * age)) ** shapes[0], (1 - share) * shapes[1] * (low_m / age) ** shapes[1]
            total += np.log(sum(parts) / low_m)
        elif high_m is not None:
            total += np.log(-np.expm1(hazard(low_h, low_m) - hazard(high_h, high_m)))
    return total


@settings(max_examples=40, deadline=None, derandomize=True)
@given(st.integers(0, 1000), st.floats(0.6, 5), st.floats(0.6, 5), st.floats(0.02, 0.98), st.floats(10, 90))
def test_the_likelihood_is_the_one_written_out_life_by_life(seed, shape_h, shape_m, share, age):
    lives = drawn(seed, 40)
    found = log_likelihood(pairs_of(lives, 14.0), np.array([[shape_h, shape_m]]), np.array([share]), np.log([age]))[0]
    assert found == pytest.approx(plainly(lives, 14.0, (shape_h, shape_m), share, age), rel=1e-9, abs=1e-7)


@pytest.mark.parametrize(("share", "clock"), [(1.0, "hours"), (0.0, "months")])
def test_where_one_clock_has_all_of_the_hazard_it_is_the_likelihood_of_that_clock(share, clock):
    lives, use, age = drawn(3), 14.0, 35.0
    both = log_likelihood(pairs_of(lives, use), np.array([[2.2, 2.2]]), np.array([share]), np.log([age]))[0]
    scale = use * age if clock == "hours" else age
    one = on_one_clock(WEIBULL, evidence_of(ages_from_lives(lives, clock)), np.array([2.2]), np.log([[scale]]))[0, 0]
    failed = lives.filter(pl.col("low_h") == pl.col("high_h"))
    measure = (failed["low_h"] / failed["low_months"]).log().sum() if clock == "hours" else 0.0
    assert both == pytest.approx(one + measure, rel=1e-9)


def test_many_lives_are_put_together_with_hardly_any_change():
    lives = drawn(5, 6000)
    pairs, other = pairs_of(lives, 14.0), two_clocks.pairs_of(lives.head(40), 14.0)
    assert len(pairs.exact) <= 2500 < pairs.exact_count.sum()
    assert len(other.exact) == other.exact_count.sum()
    chance = np.random.default_rng(6)
    shapes, share, age = chance.uniform(1.5, 4, (8, 2)), chance.uniform(0.2, 0.8, 8), chance.uniform(25, 50, 8)
    found = log_likelihood(pairs, shapes, share, np.log(age))
    plain = np.array([plainly(lives, 14.0, (a, b), c, d) for (a, b), c, d in zip(shapes, share, age, strict=True)])
    assert found - plain == pytest.approx(np.zeros(8), abs=0.7)
    assert np.ptp(log_likelihood(sketch_of(pairs), shapes, share, np.log(age)) - plain) < 0.03 * np.ptp(plain)


@pytest.mark.parametrize("count", [2, 8, 60, 400])
def test_the_integral_hardly_changes_with_fifty_times_the_points(monkeypatch, count):
    lives = drawn(11, count)
    scale = Knowledge(expected_life=30.0).scale_prior(PRIOR, ages_from_lives(lives, "months"))
    quick = log_evidence(two_clock_laws(lives, 14.0, PRIOR, scale))
    monkeypatch.setattr(two_clocks, "_SHARES", 50)
    monkeypatch.setattr(two_clocks, "_POINTS", 1500)
    assert quick == pytest.approx(log_evidence(two_clock_laws(lives, 14.0, PRIOR, scale)), abs=0.05)


def test_the_integral_is_that_of_scipy():
    lives = drawn(2, 6, between=0.0)
    scale = Knowledge(expected_life=30.0).scale_prior(PRIOR, ages_from_lives(lives, "months"))
    pairs, sd, middle = pairs_of(lives, 14.0), PRIOR.wear_shape_sd, np.log(PRIOR.wear_shape_median)
    nodes, weights = np.polynomial.legendre.leggauss(24)

    def reach(centre: float, wide: float) -> np.ndarray:
        return centre + wide * nodes

    a, b, t, s = np.meshgrid(reach(middle, 4 * sd), reach(middle, 4 * sd), reach(np.log(30.0), 2.5), 0.5 + nodes / 2, indexing="ij")
    size = np.einsum("i,j,k,l->ijkl", weights * 4 * sd, weights * 4 * sd, weights * 2.5, weights / 2)
    prior = (a - middle) ** 2 + (b - middle) ** 2
    log_prior = -0.5 * prior / sd**2 - 2 * np.log(sd * np.sqrt(2 * np.pi)) + scale.log_density(t)
    known = log_likelihood(pairs, np.exp(np.stack([a.ravel(), b.ravel()], axis=1)), s.ravel(), t.ravel())
    total = float((np.exp(known + log_prior.ravel()) * size.ravel()).sum())
    assert log_evidence(two_clock_laws(lives, 14.0, PRIOR, scale)) == pytest.approx(np.log(total), abs=0.05)


def test_the_laws_surround_the_truth():
    lives = drawn(21, 1500, between=0.1)
    scale = Knowledge().scale_prior(PRIOR, ages_from_lives(lives, "months"))
    laws = two_clock_laws(lives, 14.0, PRIOR, scale)
    weight = np.exp(laws.weight - log_evidence(laws))
    for values, truth in ((laws.shape, 2.5), (laws.scale, 500), (laws.months_shape, 3.0), (laws.months_scale, 40)):
        middle = float(weight @ np.log(values))
        sd = float(np.sqrt(weight @ (np.log(values) - middle) ** 2))
        assert abs(middle - np.log(truth)) < 3 * sd
        assert sd < 0.2


def test_the_same_lives_give_the_same_laws():
    lives = drawn(4)
    scale = Knowledge().scale_prior(PRIOR, ages_from_lives(lives, "months"))
    first, second = (two_clock_laws(lives, 14.0, PRIOR, scale) for _ in range(2))
    assert np.array_equal(first.weight, second.weight)


LAWS = TwoClocks(
    "wears out",
    WEIBULL,
    BOTH,
    np.array([2.0, 3.0]),
    np.array([400.0, 600.0]),
    np.array([0.5, 0.5]),
    months_shape=np.array([3.0, 1.5]),
    months_scale=np.array([30.0, 50.0]),
    hours_a_month=20.0,
)


def test_an_age_in_months_is_a_pair_of_ages_at_the_use_of_the_boats():
    assert LAWS.survival([10.0]) == pytest.approx(LAWS.survival_of({"hours": [200.0], "months": [10.0]}))
    assert LAWS.at_use(5.0).survival([10.0]) == pytest.approx(LAWS.survival_of({"hours": [50.0], "months": [10.0]}))
    assert LAWS.survival([10.0])[:, 0] == pytest.approx(np.exp([-(0.5**2) - (1 / 3) ** 3, -((1 / 3) ** 3) - 0.2**1.5]))
    assert LAWS.survival([0.0]) == pytest.approx(np.ones((2, 1)))


@pytest.mark.parametrize("failed", [1e-6, 0.1, 0.632, 1 - 1e-6])
def test_the_age_by_which_a_share_has_failed_is_the_one_at_which_survival_says_so(failed):
    ages = LAWS.age_at(failed)
    assert np.diag(1 - LAWS.survival(ages)) == pytest.approx([failed, failed], rel=1e-6)


def test_where_an_age_is_not_known_nothing_is_said():
    assert np.isnan(LAWS.survival_of({"hours": [np.nan], "months": [10.0]})).all()


def test_points_are_kept_with_all_that_belongs_to_them():
    second = LAWS.only(np.array([False, True]))
    assert (second.scale[0], second.months_scale[0], second.hours_a_month) == (600.0, 50.0, 20.0)
    assert second.value("scale")[0] == pytest.approx(LAWS.value("scale")[1])


def test_mean_life_of_the_laws_is_the_integral_of_their_survival():
    mean, _ = integrate.quad(lambda age: LAWS.survival([age])[0, 0], 0, 300)
    assert LAWS.value("b10")[0] < mean < LAWS.value("scale")[0] * 1.1
