import numpy as np
import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lifelines import CoxPHFitter, LogNormalAFTFitter, WeibullAFTFitter
from scipy.stats import chi2
from statsmodels.duration.hazard_regression import PHReg
from statsmodels.duration.survfunc import survdiff

from pipelines.errors import NoFigure
from pipelines.fits.ages import compress
from pipelines.fits.group_tests import log_rank
from tests.fits.published_frames import lives_of, published_frame


def groups_of(dataset: str, column: str):
    data = published_frame(dataset)
    return {str(word): lives_of(data.filter(pl.col(column) == word), "weeks") for word in (0, 1)}


def test_the_log_rank_test_of_the_6mp_patients_is_the_textbooks():
    # Freireich et al. (1963); textbook 16.79 (recalled), full digits by R's survdiff.
    test = log_rank(groups_of("leukemia_6mp", "treated"))
    assert test.chi_square == pytest.approx(16.79294099, rel=1e-7)
    assert (test.observed["1"], test.expected["1"]) == pytest.approx((9, 19.25050095), rel=1e-7)
    assert test.degrees == 1


def test_the_log_rank_test_of_the_aml_patients_is_rs():
    # R's survival package, data set aml: survdiff; help page prints 3.4, p 0.07 (recalled).
    test = log_rank(groups_of("aml", "maintained"))
    assert (test.chi_square, test.p_value) == pytest.approx((3.396388699, 0.06533932204), rel=1e-6)


def drawn(seed: int, size: int = 90, ties: bool = False):
    draw = np.random.default_rng(seed)
    group = draw.integers(0, 3, size)
    age = draw.weibull(1.7, size) * (100 + 30 * group)
    entry = np.where(draw.random(size) < 0.4, age * draw.random(size), 0.0)
    failed = draw.random(size) < 0.7
    if ties:
        entry, age = np.floor(entry / 10), np.floor(age / 10) + 1
    return group, entry, age, failed


@pytest.mark.parametrize("seed", range(5))
def test_with_delayed_entry_it_is_the_score_of_proportional_hazards(seed):
    group, entry, age, failed = drawn(seed)
    test = log_rank(
        {str(one): compress(entry[group == one], age[group == one], np.where(failed, age, np.inf)[group == one]) for one in range(3)}
    )
    model = PHReg(age, np.stack([group == 1, group == 2], axis=1).astype(float), status=failed.astype(int), entry=entry)
    score, information = np.asarray(model.score(np.zeros(2)), float), -np.asarray(model.hessian(np.zeros(2)), float)
    assert test.chi_square == pytest.approx(float(score @ np.linalg.solve(information, score)), rel=1e-6)
    assert test.p_value == pytest.approx(chi2.sf(test.chi_square, 2))


def naive_log_rank(group, entry, age, failed) -> float:
    gap, spread = np.zeros(2), np.zeros((2, 2))
    for at in sorted(set(age[failed])):
        risk = (entry < at) & (age >= at)
        lost = failed & (age == at)
        share = np.array([(risk & (group == one)).sum() / risk.sum() for one in (1, 2)])
        gap += np.array([(lost & (group == one)).sum() for one in (1, 2)]) - share * lost.sum()
        if risk.sum() > 1:
            spread += (np.diag(share) - np.outer(share, share)) * lost.sum() * (risk.sum() - lost.sum()) / (risk.sum() - 1)
    return float(gap @ np.linalg.solve(spread, gap))


@pytest.mark.parametrize("seed", range(5))
def test_counting_age_by_age_gives_the_same_statistic_with_ties(seed):
    group, entry, age, failed = drawn(40 + seed, ties=True)
    parts = {str(one): compress(entry[group == one], age[group == one], np.where(failed, age, np.inf)[group == one]) for one in range(3)}
    assert log_rank(parts).chi_square == pytest.approx(naive_log_rank(group, entry, age, failed), rel=1e-9)


@pytest.mark.parametrize("seed", range(3))
def test_statsmodels_gives_the_same_statistic(seed):
    group, _, age, failed = drawn(70 + seed, ties=True)
    parts = {str(one): compress(0, age[group == one], np.where(failed, age, np.inf)[group == one]) for one in range(3)}
    test = log_rank(parts)
    statistic, p_value = survdiff(age, failed.astype(int), group)
    assert (test.chi_square, test.p_value) == pytest.approx((statistic, p_value), rel=1e-8)


def test_like_groups_are_called_different_about_as_often_as_the_level_says():
    draw = np.random.default_rng(5)
    p_values = []
    for _ in range(400):
        age, end = draw.weibull(2, (2, 40)) * 100, draw.uniform(20, 180, (2, 40))
        parts = {str(one): compress(0, np.minimum(age, end)[one], np.where(age <= end, age, np.inf)[one]) for one in range(2)}
        p_values.append(log_rank(parts).p_value)
    assert 0.02 < np.mean(np.array(p_values) < 0.05) < 0.085


@settings(max_examples=100, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 2), st.integers(0, 9), st.integers(1, 9), st.booleans()), min_size=1, max_size=30))
def test_observed_and_expected_add_to_the_same_or_there_is_a_reason(lives):
    group, entry, length, failed = (np.array(part) for part in zip(*lives, strict=True))
    end = entry + length
    parts = {str(one): compress(entry[group == one], end[group == one], np.where(failed, end, np.inf)[group == one]) for one in range(3)}
    try:
        test = log_rank(parts)
    except NoFigure:
        return
    assert sum(test.observed.values()) == pytest.approx(sum(test.expected.values()))
    assert 0 <= test.p_value <= 1


@pytest.mark.parametrize(
    ("parts", "told"),
    [
        ({"a": compress(0, 3, 3)}, "1 group with lives"),
        ({"a": compress(0, 3, 3), "b": compress([], [], [])}, "1 group with lives"),
        ({"a": compress(0, 3, np.inf), "b": compress(0, 4, np.inf)}, "None of 2 lives has failed"),
        ({"a": compress(0, 3, 3), "b": compress(5, 8, 8)}, "At no age of a failure was more than one group watched"),
    ],
)
def test_groups_that_cannot_be_compared_have_a_reason(parts, told):
    with pytest.raises(NoFigure, match=told):
        log_rank(parts)


def test_a_group_of_one_can_be_compared():
    assert log_rank({"a": compress(0, [3, 5, 9, 12], [3, 5, 9, np.inf]), "b": compress(0, 1, 1)}).degrees == 1


# The regressions below are not made here: they guard the library that other fits rest on.
# 6-MP: textbook figures (recalled), full digits by R's coxph and survreg.
def test_cox_and_weibull_regression_of_the_6mp_patients_are_rs():
    data = published_frame("leukemia_6mp").to_pandas()
    cox = CoxPHFitter().fit(data, "weeks", "event")
    assert cox.params_["treated"] == pytest.approx(-1.572125149, rel=3e-4)
    assert cox.standard_errors_["treated"] == pytest.approx(0.4123967177, rel=3e-4)
    assert cox.log_likelihood_ == pytest.approx(-85.00842458, abs=1e-5)
    breslow = PHReg(data["weeks"], data[["treated"]], status=data["event"], ties="breslow").fit()
    assert breslow.params[0] == pytest.approx(-1.509191413, rel=2e-4)
    aft = WeibullAFTFitter().fit(data, "weeks", "event")
    assert aft.params_["lambda_"]["Intercept"] == pytest.approx(2.248352359, rel=1e-4)
    assert aft.params_["lambda_"]["treated"] == pytest.approx(1.267334587, rel=1e-4)
    assert np.exp(-aft.params_["rho_"]["Intercept"]) == pytest.approx(0.7321944041, rel=1e-4)
    assert aft.log_likelihood_ == pytest.approx(-106.5794916, abs=1e-5)


# R's survival package, data set ovarian: help page of survreg, first example, and coxph(age + rx).
def test_the_first_example_of_survreg_is_met():
    data = published_frame("ovarian").to_pandas()
    aft = WeibullAFTFitter().fit(data[["futime", "fustat", "ecog.ps", "rx"]], "futime", "fustat")
    found = aft.params_["lambda_"]
    assert (found["Intercept"], found["ecog.ps"], found["rx"]) == pytest.approx((6.896693129, -0.3850425493, 0.5286454963), rel=2e-4)
    assert np.exp(-aft.params_["rho_"]["Intercept"]) == pytest.approx(0.8838730717, rel=2e-4)
    assert aft.log_likelihood_ == pytest.approx(-97.08449317, abs=1e-4)
    cox = CoxPHFitter().fit(data[["futime", "fustat", "age", "rx"]], "futime", "fustat")
    assert (cox.params_["age"], cox.params_["rx"]) == pytest.approx((0.1473265955, -0.8039730127), rel=3e-4)
    assert cox.concordance_index_ == pytest.approx(0.7981651376, abs=1e-6)


# Nelson & Hahn (1972), Technometrics 14; figures by R's survreg, x = 1000 / (273.2 + temperature).
@pytest.mark.parametrize(
    ("fitter", "intercept", "slope", "sigma", "log_likelihood"),
    [
        (WeibullAFTFitter, -13.35526725, 9.725980586, 0.3254448386, -146.2544028),
        (LogNormalAFTFitter, -13.8598345, 9.927013404, 0.5967902415, -148.5374303),
    ],
)
def test_the_motor_insulation_regressions_are_rs(fitter, intercept, slope, sigma, log_likelihood):
    data = published_frame("imotor").select("time", "status", x=1_000 / (273.2 + pl.col("temp"))).to_pandas()
    fit = fitter().fit(data, "time", "status")
    main, spread = ("lambda_", "rho_") if fitter is WeibullAFTFitter else ("mu_", "sigma_")
    assert (fit.params_[main]["Intercept"], fit.params_[main]["x"]) == pytest.approx((intercept, slope), rel=5e-4)
    assert np.exp(abs(fit.params_[spread]["Intercept"]) * -1) == pytest.approx(sigma, rel=5e-4)
    assert fit.log_likelihood_ == pytest.approx(log_likelihood, abs=1e-3)
