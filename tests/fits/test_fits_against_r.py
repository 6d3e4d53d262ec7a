"""Weibull fits against R's survival package on seeded lives: intervals with survreg, delayed entry with a likelihood that R maximises."""

import numpy as np
import polars as pl
import pytest

from pipelines.fits.ages import compress
from pipelines.fits.weibull import fit_weibull
from tests.support.r_survival import ask_r

pytestmark = pytest.mark.r

# survreg tells log scale and 1 / shape, and calls a life that failed before an age left-censored: a missing lower end of interval2.
SURVREG = """
fit <- survreg(Surv(low, high, type = "interval2") ~ 1, data = given, dist = "weibull", control = list(rel.tolerance = 1e-12))
answer <- data.frame(shape = 1 / fit$scale, scale = exp(fit$coefficients[[1]]), log_likelihood = fit$loglik[[1]])
"""

# survreg takes no delayed entry, so R's own optimiser finds the maximum of the likelihood with dweibull and pweibull.
DELAYED = """
minus <- function(p) with(given, -sum(ifelse(failed == 1, dweibull(end, exp(p[1]), exp(p[2]), log = TRUE),
  pweibull(end, exp(p[1]), exp(p[2]), lower.tail = FALSE, log.p = TRUE)) -
  pweibull(entry, exp(p[1]), exp(p[2]), lower.tail = FALSE, log.p = TRUE)))
fit <- optim(c(0, log(mean(given$end))), minus, control = list(reltol = 1e-15, maxit = 5000))
fit <- optim(fit$par, minus, method = "BFGS", control = list(reltol = 1e-15, maxit = 500))
answer <- data.frame(shape = exp(fit$par[1]), scale = exp(fit$par[2]), log_likelihood = -fit$value)
"""


def inspected(seed: int, size: int = 240) -> tuple[np.ndarray, np.ndarray]:
    """Lives of which a third is known exactly, a third between two looks, and the rest only as lasting."""
    draw = np.random.default_rng(seed)
    age = draw.weibull(draw.uniform(0.8, 3.0), size) * 400
    sort, step = draw.integers(0, 3, size), 90.0
    low = np.where(sort == 0, age, np.where(sort == 1, np.floor(age / step) * step, np.minimum(age, draw.uniform(50, 500, size))))
    high = np.where(sort == 0, age, np.where(sort == 1, (np.floor(age / step) + 1) * step, np.where(low < age, np.inf, age)))
    return low, high


@pytest.mark.parametrize("seed", [11, 12, 13])
def test_exact_interval_left_and_right_censored_lives_are_fitted_as_by_survreg(tmp_path, seed):
    low, high = inspected(seed)
    given = pl.DataFrame({"low": [one or None for one in low.tolist()], "high": [None if np.isinf(one) else one for one in high.tolist()]})
    theirs = ask_r(tmp_path, given, SURVREG).row(0, named=True)
    ours = fit_weibull(compress(0, low, high))
    assert (ours.shape, ours.scale) == pytest.approx((theirs["shape"], theirs["scale"]), rel=1e-6)
    assert ours.log_likelihood == pytest.approx(theirs["log_likelihood"], rel=1e-9)


@pytest.mark.parametrize("seed", [21, 22, 23])
def test_lives_with_delayed_entry_are_fitted_as_by_rs_optimiser(tmp_path, seed):
    draw = np.random.default_rng(seed)
    age, until = draw.weibull(2.1, 300) * 300, draw.uniform(40, 500, 300)
    entry = np.where(draw.random(300) < 0.4, draw.uniform(0, 200, 300), 0.0)
    seen = entry < np.minimum(age, until)
    age, until, entry = age[seen], until[seen], entry[seen]
    failed = age <= until
    end = np.minimum(age, until)
    theirs = ask_r(tmp_path, pl.DataFrame({"entry": entry, "end": end, "failed": failed.astype(int)}), DELAYED).row(0, named=True)
    ours = fit_weibull(compress(entry, end, np.where(failed, end, np.inf)))
    assert (ours.shape, ours.scale) == pytest.approx((theirs["shape"], theirs["scale"]), rel=1e-5)
    assert ours.log_likelihood >= theirs["log_likelihood"] - 1e-8
