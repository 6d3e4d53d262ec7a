"""Second opinions from R's survival package on seeded lives with delayed entry, ties and intervals."""

import numpy as np
import polars as pl
import pytest
from numpy.testing import assert_allclose

from pipelines.fits.ages import Ages, compress
from pipelines.fits.competing_causes import NOT_FAILED, cumulative_incidence
from pipelines.fits.group_tests import log_rank
from pipelines.fits.inspection_curve import inspection_curve
from pipelines.fits.kaplan_meier import kaplan_meier
from pipelines.fits.rates import rate_ratio, rate_with_limits
from pipelines.fits.recurrence import histories, mean_cumulative
from tests.support.r_survival import ask_r

pytestmark = pytest.mark.r

SURVFIT = """
fit <- survfit(Surv(entry, end, failed) ~ 1, data = given, conf.type = "{scale}")
s <- summary(fit, censored = FALSE)
answer <- data.frame(age = s$time, at_risk = s$n.risk, events = s$n.event, surviving = s$surv, se = s$std.err,
                     low = s$lower, high = s$upper, hazard = s$cumhaz, median = summary(fit)$table[["median"]])
"""


def drawn(seed: int, size: int = 200, tied: bool = True) -> pl.DataFrame:
    draw = np.random.default_rng(seed)
    age, end = draw.weibull(1.9, size) * 120, draw.uniform(10, 220, size)
    entry = np.where(draw.random(size) < 0.4, draw.uniform(0, 90, size), 0.0)
    last = np.minimum(age, end)
    frame = pl.DataFrame({"entry": entry, "end": last, "failed": (age <= end).astype(int), "group": draw.integers(0, 3, size)})
    frame = frame.with_columns(cause=pl.Series(np.where(age <= end, draw.integers(1, 4, size), 0)))
    if tied:
        frame = frame.with_columns((pl.col("entry") / 4).floor() * 4, (pl.col("end") / 4).ceil() * 4)
    return frame.filter(pl.col("entry") < pl.col("end"))


def lives(frame: pl.DataFrame) -> Ages:
    high = frame.select(pl.when(pl.col("failed") == 1).then("end").otherwise(np.inf)).to_series()
    return compress(frame["entry"], frame["end"], high)


@pytest.mark.parametrize("scale", ["plain", "log", "log-log"])
@pytest.mark.parametrize("seed", [1, 2])
def test_survival_curves_with_delayed_entry_and_ties(tmp_path, seed, scale):
    frame = drawn(seed)
    theirs = ask_r(tmp_path, frame, SURVFIT.format(scale=scale))
    curve = kaplan_meier(lives(frame), limits=scale, from_age=0.0)
    ours = curve.steps.filter(pl.col("events") > 0)
    for column in ("age", "at_risk", "events", "surviving"):
        assert_allclose(ours[column], theirs[column], atol=1e-10)
    assert_allclose(ours["cumulative_hazard"], theirs["hazard"], atol=1e-10)
    left = theirs["surviving"].to_numpy() > 1e-12
    for column in ("se", "low", "high"):
        assert_allclose(ours[column].to_numpy()[left], theirs[column].cast(pl.Float64).to_numpy()[left], atol=1e-9)
    assert curve.median == pytest.approx(theirs["median"][0])


MULTI_STATE = """
given$event <- factor(given$cause, 0:3, c("none", "a", "b", "c"))
given$id <- seq_len(nrow(given))
s <- summary(survfit(Surv(entry, end, event) ~ 1, data = given, id = id), censored = FALSE)
answer <- data.frame(age = s$time, none = s$pstate[, 1], a = s$pstate[, 2], b = s$pstate[, 3], c = s$pstate[, 4])
"""


def test_incidences_by_cause_with_delayed_entry_and_ties(tmp_path):
    # All lives whose record begins at 0 keep R's starting state whole; it wants everyone at risk from its first event on.
    frame = drawn(3)
    theirs = ask_r(tmp_path, frame, MULTI_STATE).cast(pl.Float64)
    parts = {name: lives(frame.filter(pl.col("cause") == at)) for at, name in ((1, "a"), (2, "b"), (3, "c"))}
    ours = cumulative_incidence(parts | {NOT_FAILED: lives(frame.filter(pl.col("cause") == 0))})
    for name in parts:
        both = ours.filter(pl.col("cause") == name).join(theirs, on="age")
        assert both.height > 20
        assert_allclose(both["incidence"], both[name], atol=1e-10)
        assert_allclose(both["surviving"], both["none"], atol=1e-10)


COX = """
fit <- coxph(Surv(entry, end, failed) ~ factor(group), data = given, ties = "breslow")
answer <- data.frame(chi = fit$score, p = summary(fit)$sctest[["pvalue"]])
"""


@pytest.mark.parametrize("seed", [4, 5])
def test_the_log_rank_test_with_delayed_entry_is_the_score_of_cox(tmp_path, seed):
    frame = drawn(seed, tied=False)
    theirs = ask_r(tmp_path, frame, COX)
    ours = log_rank({str(group): lives(frame.filter(pl.col("group") == group)) for group in range(3)})
    assert (ours.chi_square, ours.p_value) == pytest.approx((theirs["chi"][0], theirs["p"][0]), rel=1e-6)


SURVDIFF = """
fit <- survdiff(Surv(end, failed) ~ group, data = given)
answer <- data.frame(chi = fit$chisq, observed = fit$obs, expected = fit$exp)
"""


def test_the_log_rank_test_with_ties_is_survdiff(tmp_path):
    frame = drawn(6).with_columns(entry=pl.lit(0.0))
    theirs = ask_r(tmp_path, frame, SURVDIFF)
    ours = log_rank({str(group): lives(frame.filter(pl.col("group") == group)) for group in range(3)})
    assert ours.chi_square == pytest.approx(theirs["chi"][0], rel=1e-9)
    assert list(ours.expected.values()) == pytest.approx(theirs["expected"].to_list(), rel=1e-9)


TURNBULL = """
fit <- survfit(Surv(low, high, type = "interval2") ~ 1, data = given)
answer <- data.frame(age = fit$time, surviving = fit$surv)
"""


def test_a_curve_of_inspections_some_of_them_missed_is_turnbulls(tmp_path):
    # survfit reads an interval as closed on the left, so its low is moved a hair; it puts a step in the middle of its interval.
    draw = np.random.default_rng(7)
    age, visits = draw.weibull(2, 300) * 100, np.arange(0.0, 241, 20)
    kept = draw.random((300, visits.size)) < 0.6
    low = np.where(kept & (visits < age[:, None]), visits, 0.0).max(1)
    high = np.where(kept & (visits >= age[:, None]), visits, np.inf).min(1)
    ages = compress(0, low, high)
    given = pl.DataFrame({"low": np.where(low == 0, -1.0, low + 1e-4), "high": [None if np.isinf(one) else one for one in high]})
    theirs = ask_r(tmp_path, given, TURNBULL)
    ours = inspection_curve(ages).steps.filter(pl.col("events") > 0)
    for left, right, surviving in ours.select("left", "age", "surviving").iter_rows():
        after = theirs.filter(pl.col("age") < right + 1)["surviving"][-1]
        assert after == pytest.approx(surviving, abs=1e-3), (left, right)


RECURRENT = """
fit <- survfit(Surv(start, stop, happened) ~ 1, data = given, id = boat)
s <- summary(fit, censored = FALSE)
answer <- data.frame(age = s$time, mean = s$cumhaz, se = s$std.chaz)
"""


def test_the_mean_number_of_events_with_late_watches(tmp_path):
    draw = np.random.default_rng(8)
    rows, events, watched = [], [], []
    for boat in range(25):
        start, end = int(draw.integers(0, 30)), int(draw.integers(40, 90))
        ages = np.unique(draw.integers(start + 1, end, draw.poisson(3)))
        stops = [*ages.tolist(), end]
        rows += [(boat, a, b, int(b != end)) for a, b in zip([start, *stops[:-1]], stops, strict=True)]
        events += [(boat, age) for age in ages]
        watched.append((boat, start, end))
    theirs = ask_r(tmp_path, pl.DataFrame(rows, schema=["boat", "start", "stop", "happened"], orient="row"), RECURRENT)
    frames = (
        pl.DataFrame(events, schema=["boat", "age"], orient="row"),
        pl.DataFrame(watched, schema=["boat", "start", "end"], orient="row"),
    )
    ours = mean_cumulative(histories(*frames))
    for column in ("age", "mean", "se"):
        assert_allclose(ours[column], theirs[column].cast(pl.Float64), rtol=1e-9)


POISSON = """
one <- mapply(function(n, t) poisson.test(n, t)$conf.int, given$n, given$t)
two <- mapply(function(n, t, m, u) { f <- poisson.test(c(n, m), c(t, u)); c(f$p.value, f$conf.int) }, given$n, given$t, given$m, given$u)
answer <- data.frame(low = one[1, ], high = one[2, ], p = two[1, ], ratio_low = two[2, ], ratio_high = two[3, ])
"""


def test_rates_and_their_ratios(tmp_path):
    draw = np.random.default_rng(10)
    given = pl.DataFrame(
        {"n": draw.integers(0, 30, 40), "m": draw.integers(1, 30, 40), "t": draw.uniform(1, 9, 40), "u": draw.uniform(1, 9, 40)}
    )
    theirs = ask_r(tmp_path, given, POISSON)
    for row, other in zip(given.iter_rows(named=True), theirs.iter_rows(named=True), strict=True):
        rate, ratio = rate_with_limits(row["n"], row["t"] * 1_000), rate_ratio(row["n"], row["t"], row["m"], row["u"])
        assert (rate.low, rate.high) == pytest.approx((other["low"], other["high"]), rel=1e-8)
        assert (ratio.p_value, ratio.low, ratio.high) == pytest.approx((other["p"], other["ratio_low"], other["ratio_high"]), rel=1e-6)
