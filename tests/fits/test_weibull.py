"""The most likely Weibull: as good as lifelines on any lives, the same however they are written, and a reason where there is none."""

import shutil
import subprocess

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from pipelines.errors import NoFigure
from pipelines.fits.ages import Ages, compress, together
from pipelines.fits.lifelines_fit import weibull_through_lifelines
from pipelines.fits.likelihood import WEIBULL, evidence_of, log_likelihood
from pipelines.fits.profile_limits import HAZARDS, profile_limits
from pipelines.fits.weibull import fit_weibull
from pipelines.fits.weibull_slopes import slopes
from tests.fits.invented_lives import fleet

seeds = st.integers(0, 2**32 - 1)
lives_of_any_kind = st.builds(
    fleet,
    seed=seeds,
    lives=st.integers(30, 300),
    shape=st.floats(0.7, 4.0),
    scale=st.floats(20.0, 5000.0),
    window=st.floats(0.3, 2.0),
    late=st.sampled_from([0.0, 0.3]),
    between=st.sampled_from([0.0, 0.4]),
)


def log_lik(ages: Ages, shape: float, scale: float) -> float:
    return float(log_likelihood(WEIBULL, evidence_of(ages), np.array([shape]), np.log([[scale]]))[0, 0])


@settings(max_examples=12, deadline=None)
@given(lives_of_any_kind)
def test_no_lives_are_explained_better_by_lifelines(ages):
    assume(ages.failures + ages.interval_censored >= 5)
    fit, (shape, scale, reached) = fit_weibull(ages), weibull_through_lifelines(ages)
    assert fit.log_likelihood >= reached - 1e-9 * abs(reached)
    assert (fit.shape, fit.scale) == (pytest.approx(shape, rel=2e-3), pytest.approx(scale, rel=2e-2))


@settings(max_examples=12, deadline=None)
@given(st.builds(fleet, seed=seeds, lives=st.just(300), shape=st.floats(1.0, 4.0), scale=st.floats(20.0, 5000.0), window=st.just(1.5)))
def test_on_well_watched_lives_the_parameters_are_those_of_lifelines_to_a_millionth(ages):
    fit, (shape, scale, reached) = fit_weibull(ages), weibull_through_lifelines(ages)
    assume(fit.log_likelihood - reached < 5e-12)  # lifelines has settled
    assert (fit.shape, fit.scale) == (pytest.approx(shape, rel=1e-6), pytest.approx(scale, rel=1e-6))


def test_lifelines_has_settled_on_nearly_all_well_watched_fleets_so_that_the_comparison_means_something():
    settled = 0
    for seed in range(10):
        ages = fleet(seed, lives=200, shape=2.0, scale=400.0, window=1.5, late=0.3, between=0.0)
        fit, (shape, scale, _) = fit_weibull(ages), weibull_through_lifelines(ages)
        settled += abs(fit.shape / shape - 1) < 1e-6 and abs(fit.scale / scale - 1) < 1e-6
    assert settled >= 9


@settings(max_examples=60, deadline=None)
@given(lives_of_any_kind, st.floats(1e-3, 1e3))
def test_in_other_units_the_shape_stays_and_the_scale_follows(ages, factor):
    assume(ages.failures + ages.interval_censored >= 5)
    fit = fit_weibull(ages)
    other = fit_weibull(compress(ages.entry * factor, ages.low * factor, ages.high * factor, ages.count))
    assert (other.shape, other.scale) == (pytest.approx(fit.shape, rel=1e-7), pytest.approx(fit.scale * factor, rel=1e-7))


@settings(max_examples=30, deadline=None)
@given(lives_of_any_kind)
def test_lives_written_one_by_one_or_counted_give_the_same(ages):
    assume(ages.failures + ages.interval_censored >= 5)
    cell = ages.low.max() / 40
    entry, low, high = (np.ceil(part / cell) * cell for part in (ages.entry, ages.low, ages.high))
    whole = compress(entry, low, high, ages.count)
    twice = together([whole, whole])
    one_by_one = Ages(np.tile(whole.entry, 2), np.tile(whole.low, 2), np.tile(whole.high, 2), np.tile(whole.count, 2))
    raw, counted = fit_weibull(one_by_one), fit_weibull(twice)
    assert (raw.shape, raw.scale) == (pytest.approx(counted.shape, rel=1e-9), pytest.approx(counted.scale, rel=1e-9))
    assert raw.log_likelihood == pytest.approx(counted.log_likelihood, rel=1e-12)


@settings(max_examples=60, deadline=None)
@given(lives_of_any_kind, st.floats(-1.0, 1.5), st.floats(-1.0, 1.0))
def test_written_out_derivatives_agree_with_small_steps(ages, log_shape, log_scale):
    evidence, at, step = evidence_of(ages), np.array([log_shape, log_scale]), 1e-5
    value, gradient, hessian = slopes(evidence, at)
    assert value == pytest.approx(log_lik(ages, np.exp(log_shape), np.exp(log_scale + evidence.log_unit)), rel=1e-9, abs=1e-9)
    for way in range(2):
        shift = np.eye(2)[way] * step
        above, below = slopes(evidence, at + shift), slopes(evidence, at - shift)
        size = 1 + abs(value)
        assert (above[0] - below[0]) / (2 * step) == pytest.approx(gradient[way], rel=1e-5, abs=1e-5 * size)
        assert (above[1] - below[1]) / (2 * step) == pytest.approx(hessian[way], rel=1e-5, abs=1e-5 * np.abs(hessian).max())


@settings(max_examples=8, deadline=None)
@given(lives_of_any_kind, st.sampled_from([0.90, 0.95]))
def test_at_a_profile_limit_the_best_likelihood_is_half_a_chi_square_below_the_peak(ages, level):
    assume(ages.failures + ages.interval_censored >= 5)
    fit = fit_weibull(ages)
    half_chi_square = {0.90: 1.352772, 0.95: 1.920729}[level]
    for name, ends in profile_limits(ages, fit, level).items():
        for end in ends:
            if end is not None:
                assert fit.log_likelihood - best_given(ages, name, end) == pytest.approx(half_chi_square, abs=2e-4), name


def best_given(ages: Ages, name: str, value: float) -> float:
    """Best log-likelihood with one quantity held, by a plain search over the other parameter."""
    shapes = np.exp(np.linspace(-4, 4, 20_001)) if name != "shape" else np.array([value])
    if name == "shape":
        scales = fit_weibull(ages).scale * np.exp(np.linspace(-9, 9, 40_001))[None, :]
    else:
        scales = (value / HAZARDS[name] ** (1 / shapes))[:, None]
    return float(log_likelihood(WEIBULL, evidence_of(ages), shapes, np.log(scales)).max())


def test_a_limit_that_the_likelihood_never_reaches_is_left_open():
    # Two failures soon and many lives running long: nothing holds the scale from above.
    ages = compress(0.0, [1.0, 90.0, 100.0], [1.0, 90.0, np.inf], [1, 1, 3])
    low, high = profile_limits(ages, fit_weibull(ages))["scale"]
    assert low is not None
    assert low > 0
    assert high is None or high > 1000


REFUSED = {
    "no lives": (compress(0.0, [], [], []), "no lives"),
    "no failure": (compress(0.0, [10.0, 20.0], np.inf), "No failure among 2 lives"),
    "one failure": (compress(0.0, [10.0, 20.0], [10.0, np.inf]), "Only one failure among 2 lives"),
    "all at one age": (compress(0.0, [30.0], [30.0], 7), "All 7 failures can have come at one age"),
    "all at one age and the rest younger": (compress(0.0, [30.0, 12.0], [30.0, np.inf], [5, 9]), "at one age"),
    "all found failed at one inspection": (compress(0.0, [0.0, 0.0], [50.0, 60.0], [3, 4]), "at one age"),
    "overlapping intervals": (compress(0.0, [10.0, 20.0], [40.0, 50.0]), "at one age"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_lives_without_a_most_likely_shape_are_refused_with_the_reason(case):
    ages, words = REFUSED[case]
    with pytest.raises(NoFigure, match=words):
        fit_weibull(ages)


def test_a_million_failures_at_two_ages_are_two_rows():
    ages = compress(0.0, np.repeat([100.0, 200.0], 500_000), np.repeat([100.0, 200.0], 500_000))
    few = compress(0.0, [100.0, 200.0], [100.0, 200.0], [5, 5])
    fit, same = fit_weibull(ages), fit_weibull(few)
    assert ages.low.size == 2
    assert (fit.shape, fit.scale) == (pytest.approx(same.shape, rel=1e-9), pytest.approx(same.scale, rel=1e-9))


def test_a_climb_that_does_not_settle_starts_again_from_lifelines(monkeypatch):
    ages = fleet(4, lives=120, shape=2.0, scale=400.0, window=1.5)
    usual = fit_weibull(ages)
    monkeypatch.setattr("pipelines.fits.weibull._constant_hazard_scale", lambda _: float("nan"))
    again = fit_weibull(ages)
    assert (again.shape, again.scale) == (pytest.approx(usual.shape, rel=1e-9), pytest.approx(usual.scale, rel=1e-9))


R_FIT = """
options(digits = 15)
library(survival)
lives <- read.csv(file("stdin"))
lives$high[is.na(lives$high)] <- Inf
survived <- function(at, t) pweibull(t, exp(at[1]), exp(at[2]), lower.tail = FALSE, log.p = TRUE)
loss <- function(at) {
  exact <- lives$low == lives$high
  late <- -survived(at, lives$entry)
  failed <- dweibull(lives$low, exp(at[1]), exp(at[2]), log = TRUE)
  above <- survived(at, lives$low); below <- survived(at, lives$high)
  between <- ifelse(is.infinite(lives$high), above, above + log1p(-exp(below - above)))
  -sum(late + ifelse(exact, failed, between))
}
start <- c(0, log(mean(lives$low[lives$low > 0])))
best <- optim(start, loss, control = list(reltol = 1e-15, maxit = 5000))
best <- optim(best$par, loss, method = "BFGS", control = list(reltol = 1e-15, maxit = 500))
cat(exp(best$par), -best$value, "\\n")
if (all(lives$entry == 0)) {
  low <- ifelse(lives$low == 0, NA, lives$low); high <- ifelse(is.infinite(lives$high), NA, lives$high)
  s <- survreg(Surv(low, high, type = "interval2") ~ 1, dist = "weibull", control = list(rel.tolerance = 1e-12, maxiter = 200))
  cat(1 / s$scale, exp(coef(s)), s$loglik[1], "\\n")
}
"""


@pytest.mark.r
@pytest.mark.skipif(shutil.which("Rscript") is None, reason="Rscript is not on this machine; Debian: r-base-core, r-cran-survival")
@pytest.mark.parametrize(("late", "between"), [(0.0, 0.0), (0.0, 0.5), (0.4, 0.0), (0.4, 0.5)])
def test_r_finds_the_same_fit_with_entry_ages_and_intervals(late, between):
    ages = fleet(11, lives=150, shape=2.2, scale=400.0, window=1.2, late=late, between=between)
    one_by_one = zip(*(np.repeat(part, ages.count.astype(int)) for part in (ages.entry, ages.low, ages.high)), strict=True)
    rows = "\n".join(f"{entry},{low},{'NA' if np.isinf(high) else high}" for entry, low, high in one_by_one)
    told = subprocess.run(["Rscript", "-e", R_FIT], input=f"entry,low,high\n{rows}\n", capture_output=True, text=True, check=True)
    answers = [[float(word) for word in line.split()] for line in told.stdout.splitlines()]
    assert len(answers) == (1 if late else 2)
    fit = fit_weibull(ages)
    for shape, scale, reached in answers:
        assert (fit.shape, fit.scale) == (pytest.approx(shape, rel=2e-5), pytest.approx(scale, rel=2e-5))
        assert fit.log_likelihood == pytest.approx(reached, abs=1e-6)
