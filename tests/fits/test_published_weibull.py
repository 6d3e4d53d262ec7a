"""Weibull fits of published lives against published figures and against other libraries' figures at full precision."""

import numpy as np
import polars as pl
import pytest
from scipy.optimize import brentq, minimize
from scipy.special import gamma
from scipy.stats import chi2

from pipelines.fits.ages import Ages, compress
from pipelines.fits.fit_table import fit_table
from pipelines.fits.lifelines_fit import weibull_through_lifelines
from pipelines.fits.likelihood import EXPONENTIAL, LOGNORMAL, WEIBULL, evidence_of, log_likelihood
from pipelines.fits.profile_limits import profile_limits
from pipelines.fits.weibull import fit_weibull
from pipelines.fits.weibull_slopes import slopes
from tests.fits.published_frames import published_frame
from tests.fits.published_lives import expected, published

DATASETS = (
    "nist_weibull_20",
    "genfan",
    "bearing_cage",
    "lz_bearing",
    "multicensored_20",
    "small_7",
    "breast_rad",
    "breast_radchem",
    "turbine_interval",
    "channing_women",
    "channing_all",
    "fleet_left_trunc",
)


def standard_errors(ages: Ages) -> dict[str, float]:
    """Standard errors of ln shape, ln scale and ln B10 from the observed information."""
    fit, evidence = fit_weibull(ages), evidence_of(ages)
    _, _, hessian = slopes(evidence, np.array([np.log(fit.shape), np.log(fit.scale) - evidence.log_unit]))
    spread = np.linalg.inv(-hessian)
    lean = np.array([-np.log(-np.log(0.9)) / fit.shape, 1.0])
    variances = {"shape": spread[0, 0], "scale": spread[1, 1], "b10": lean @ spread @ lean}
    return {name: float(np.sqrt(variance)) for name, variance in variances.items()}


def figures(ages: Ages) -> dict[str, float | None]:
    fit, errors, profile = fit_weibull(ages), standard_errors(ages), profile_limits(ages, fit_weibull(ages))
    likely = {"shape": fit.shape, "scale": fit.scale, "b10": fit.b10, "loglik": fit.log_likelihood}
    known: dict[str, float | None] = dict(likely)
    for name, error in errors.items():
        known |= {f"se_log_{name}": error}
        known |= {f"{name}_{end}95_logwald": likely[name] * np.exp(sign * 1.959964 * error) for end, sign in (("lo", -1), ("hi", 1))}
        known |= dict(zip((f"{name}_lo95_profile", f"{name}_hi95_profile"), profile[name], strict=True))
    if not ages.interval_censored:
        known["exponential_rate"] = ages.failures / float(ages.count @ (ages.low - ages.entry))
    return known


@pytest.mark.parametrize("name", DATASETS)
def test_every_figure_agrees_with_other_libraries_at_full_precision(name):
    # tests/published/weibull_expected.csv: R survreg, flexsurv, optim, scipy, lifelines; sources of the lives in SOURCES.md.
    ours = figures(published(name))
    for row in expected(name).iter_rows(named=True):
        assert ours[row["quantity"]] == pytest.approx(row["value"], abs=row["abs_tol"], rel=row["rel_tol"]), row["quantity"]


def test_twenty_units_on_test_match_the_handbook():
    # NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.1.3: printed digits.
    ages = published("nist_weibull_20")
    fit = fit_weibull(ages)
    assert fit.shape == pytest.approx(1.7208, abs=5e-5)
    assert fit.scale == pytest.approx(606.5280, abs=1e-3)
    assert fit.log_likelihood == pytest.approx(-75.135, abs=6e-4)
    assert 4 - 2 * fit.log_likelihood == pytest.approx(154.27, abs=6e-3)
    mean = fit.scale * gamma(1 + 1 / fit.shape)
    assert mean == pytest.approx(540.737, abs=2e-3)
    assert np.sqrt(fit.scale**2 * gamma(1 + 2 / fit.shape) - mean**2) == pytest.approx(323.806, abs=2e-3)


def test_the_lognormal_rival_of_the_twenty_units_matches_the_handbook():
    # NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.1.3: AIC 154.39 for the lognormal.
    evidence = evidence_of(published("nist_weibull_20"))
    best = minimize(
        lambda at: -log_likelihood(LOGNORMAL, evidence, np.exp(at[:1]), at[1:, None])[0, 0],
        [0.5, 6.4],
        method="Nelder-Mead",
        options={"xatol": 1e-8, "fatol": 1e-10},
    )
    assert 4 + 2 * best.fun == pytest.approx(154.39, abs=6e-3)


def test_six_failures_among_1703_bearing_cages_match_the_book():
    # Abernethy et al., AFWAL-TR-83-2079 (1983); Meeker and Escobar (1998), chapter 8 (figures as quoted).
    fit = fit_weibull(published("bearing_cage"))
    assert fit.shape == pytest.approx(2.035, abs=6e-4)
    assert fit.scale == pytest.approx(11792, abs=0.6)
    assert fit.b10 == pytest.approx(3903, abs=0.6)


def test_ball_bearings_match_the_book():
    # Lieblein and Zelen (1956); Lawless (1982): ln scale 4.405, 1/shape 0.476 (figures as quoted).
    fit = fit_weibull(published("lz_bearing"))
    assert np.log(fit.scale) == pytest.approx(4.405, abs=6e-4)
    assert 1 / fit.shape == pytest.approx(0.476, abs=6e-4)


def test_mixed_suspensions_match_the_printed_fit_and_limits():
    # Journal of Quality Technology 29 (1997), DOI 10.1080/00224065.1997.11979730: limits from natural-scale standard errors.
    ages = published("multicensored_20")
    fit, errors = fit_weibull(ages), standard_errors(ages)
    assert (fit.shape, fit.scale) == (pytest.approx(2.7540, abs=6e-5), pytest.approx(67.9188, abs=6e-5))
    wide = 1.959964
    shape = [fit.shape * (1 + sign * wide * errors["shape"]) for sign in (-1, 1)]
    scale = [fit.scale * (1 + sign * wide * errors["scale"]) for sign in (-1, 1)]
    assert shape == pytest.approx([1.4977, 4.0102], abs=1e-4)
    assert scale == pytest.approx([53.8755, 81.9622], abs=2e-3)


def test_five_failures_and_two_suspensions_match_the_handbook():
    # Abernethy, The New Weibull Handbook, appendix C.5 (figures as quoted): 2.257 and 4900.1.
    fit = fit_weibull(published("small_7"))
    assert (fit.shape, fit.scale) == (pytest.approx(2.257, abs=6e-4), pytest.approx(4900.1, abs=0.06))


@pytest.mark.parametrize(("mode", "middle", "spread"), [(1, 6.11, 1.49), (2, 5.83, 0.23)])
def test_the_two_modes_of_device_g_have_the_printed_fits(mode, middle, spread):
    # Meeker and Escobar (1998), chapter 15: ln scale and 1 / shape of failures by surge and by wear, those of the other mode suspended.
    lives = published_frame("device_g")
    failed = (lives["mode"] == mode).to_numpy()
    fit = fit_weibull(compress(0.0, lives["kilocycles"], np.where(failed, lives["kilocycles"], np.inf)))
    assert (np.log(fit.scale), 1 / fit.shape) == (pytest.approx(middle, abs=5e-3), pytest.approx(spread, abs=5e-3))


def test_leaving_out_the_entry_ages_gives_another_and_wrong_answer():
    # fleet_left_trunc.csv: the truth is shape 2.5, scale 400; R optim without entry ages gives 2.766132 and 460.6675.
    ages = published("fleet_left_trunc")
    ignored = fit_weibull(compress(0.0, ages.low, ages.high, ages.count))
    assert (ignored.shape, ignored.scale) == (pytest.approx(2.766132, rel=1e-4), pytest.approx(460.6675, rel=1e-4))
    assert fit_weibull(ages).scale == pytest.approx(418.0159, rel=1e-4)


@pytest.mark.parametrize("name", DATASETS)
def test_lifelines_finds_the_same_and_no_better(name):
    ages = published(name)
    fit, (shape, scale, log_lik) = fit_weibull(ages), weibull_through_lifelines(published(name))
    assert fit.log_likelihood >= log_lik - 1e-9
    assert (fit.shape, fit.scale) == (pytest.approx(shape, rel=1e-6), pytest.approx(scale, rel=1e-6))


# Nelson, W. (1985), Journal of Quality Technology 17, 140-146: Weibull with an assumed shape of 2, few or no failures.
# 10 units ran 500 h and 5 ran 800 h without failure; then the same with failures at 300 and 420 h. Closed forms.
SURVIVORS = compress(0.0, [500.0, 800.0], np.inf, [10, 5])
WITH_TWO = compress(0.0, [500.0, 800.0, 300.0, 420.0], [np.inf, np.inf, 300.0, 420.0], [10, 5, 1, 1])


def at_shape_two(ages: Ages, scale: float) -> float:
    return float(log_likelihood(WEIBULL, evidence_of(ages), np.array([2.0]), np.log([[scale]]))[0, 0])


def test_with_no_failure_the_lower_limit_of_the_scale_is_exact():
    # With no failure the likelihood of a scale is the chance of no failure: it is 5 % at the lower 95 % limit.
    limit = brentq(lambda scale: at_shape_two(SURVIVORS, scale) - np.log(0.05), 100, 9000, xtol=1e-10)
    assert limit == pytest.approx(1379.386365, rel=1e-9)


def test_with_one_failure_assumed_the_scale_is_that_of_the_handbook():
    # Abernethy, The New Weibull Handbook: (sum t^2 / 1)^(1/2); S = exp(-1) of the whole sample there.
    scale = brentq(lambda scale: at_shape_two(SURVIVORS, scale) + 1, 100, 9000, xtol=1e-10)
    assert scale == pytest.approx(2387.467277, rel=1e-9)


def test_with_two_failures_and_a_known_shape_the_peak_and_the_exact_limit_are_those_of_the_formula():
    scales = np.linspace(1000, 3000, 200_001)
    values = log_likelihood(WEIBULL, evidence_of(WITH_TWO), np.array([2.0]), np.log(scales)[None, :])[0]
    assert scales[values.argmax()] == pytest.approx(1727.194257, abs=0.01)
    # (2 sum t^2 / chi-square(0.95, 6 degrees))^(1/2): a flat belief in 1/scale^2, weighed by the likelihood, leaves 5 % below it.
    rates = np.linspace(1e-9, 8e-6, 400_001)
    weights = np.exp(log_likelihood(WEIBULL, evidence_of(WITH_TWO), np.array([2.0]), -0.5 * np.log(rates)[None, :])[0])
    share = np.cumsum(weights) / weights.sum()
    assert rates[np.searchsorted(share, 0.95)] ** -0.5 == pytest.approx(973.4887598, rel=2e-5)
    assert (2 * 1727.194257**2 * 2 / chi2.ppf(0.95, 6)) ** 0.5 == pytest.approx(973.4887598, rel=1e-9)


def test_bearing_cages_with_a_known_shape_of_two():
    # (sum t^2 / 6)^(1/2) over all 1,703 cages.
    ages = published("bearing_cage")
    best = minimize(
        lambda at: -at_shape_two(ages, float(np.exp(at[0]))), [9.0], method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-12}
    )
    assert np.exp(best.x[0]) == pytest.approx(12320.33662, rel=1e-6)


def test_the_exponential_peak_is_failures_over_time_watched():
    # fleet_left_trunc.csv: 59 failures over 27,358.5 h.
    evidence = evidence_of(published("fleet_left_trunc"))
    scales = np.linspace(400, 530, 130_001)
    values = log_likelihood(EXPONENTIAL, evidence, np.ones(1), np.log(scales)[None, :])[0]
    assert 1 / scales[values.argmax()] == pytest.approx(59 / 27358.5, rel=1e-5)


@pytest.mark.slow
@pytest.mark.parametrize(("units", "printed"), [(10, 0.855), (20, 0.929)])
def test_the_most_likely_shape_is_as_biased_as_simulation_says(units, printed):
    # weibull_mle_bias.csv; compare Thoman, Bain and Antle (1969), Technometrics 11, 445-460 (0.859 and 0.931 as recalled).
    rng = np.random.default_rng(20)
    samples = rng.weibull(1.0, (6000, units))
    shapes = [fit_weibull(compress(0.0, sample, sample)).shape for sample in samples]
    chance = 3 * np.std(shapes) / np.sqrt(len(shapes)) * printed**2
    assert 1 / np.mean(shapes) == pytest.approx(printed, abs=0.003 + chance)


def test_the_table_of_fits_gives_the_same_figures():
    # As test_twenty_units_on_test_match_the_handbook, through the frame of lives.
    from pipelines.fits.known_figures import KnownFigures
    from pipelines.terms.settings import Settings

    ages = published("nist_weibull_20")
    rows = {"low_h": ages.low.repeat(ages.count.astype(int)), "high_h": ages.high.repeat(ages.count.astype(int))}
    lives = pl.DataFrame(rows).with_columns(
        pl.col("high_h").replace(np.inf, None),
        component=pl.lit("impeller"),
        entry_h=0.0,
        low_months=None,
        ending=pl.lit("failed"),
        **{"entry_months": pl.lit(None), "high_months": pl.lit(None)},
    )
    row = fit_table(lives, (), "hours", Settings(), KnownFigures()).row(0, named=True)
    assert (row["lives"], row["failures"], row["suspended"]) == (20, 10, 10)
    assert (row["shape"], row["scale"]) == (pytest.approx(1.7208, abs=5e-5), pytest.approx(606.528, abs=1e-3))
    assert (row["shape_low"], row["shape_high"]) == (pytest.approx(0.9056453587, rel=1e-3), pytest.approx(2.885737866, rel=1e-3))
