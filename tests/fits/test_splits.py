"""Strata against a plain draw from their prior, against the whole and the lone stratum as limits; and that they always answer."""

from dataclasses import replace

import numpy as np
import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import logsumexp

from pipelines.fits.ages import ages_from_lives
from pipelines.fits.knowledge import Knowledge
from pipelines.fits.posterior import Posterior, posterior
from pipelines.fits.splits import log_factor_of, split_of
from pipelines.terms.settings import Prior
from tests.fits.stratified_lives import AGES, KNOWN, by, lives_of_strata, taken_as_one

PRIOR = Prior()
WEIBULL_ONLY = replace(
    PRIOR, wears_out=1.0, random=0.0, fails_young=0.0, family_weibull=1.0, family_lognormal=0.0, family_floor_weibull=0.0
)
RANDOM_ONLY = replace(PRIOR, wears_out=0.0, random=1.0, fails_young=0.0)
TAILS = [0.05, 0.5, 0.95]


def drawn(lives: pl.DataFrame, prior: Prior, count: int = 400_000) -> tuple[float, dict[str, np.ndarray]]:
    """Evidence, and quantiles of ln scale of each stratum, by drawing middles, spreads and strata from their priors: no grid at all."""
    rng = np.random.default_rng(5)
    middle_shape, middle_scale = rng.normal(np.log(2.3), 0.4, count), rng.normal(np.log(500.0), 0.5, count)
    spread_shape = np.abs(rng.normal(0, prior.strata_shape_spread, count))
    spread_scale = np.abs(rng.normal(0, prior.strata_scale_spread, count))
    total, scales = np.zeros(count), {}
    for word in lives["water"].unique().sort():
        rows = lives.filter(pl.col("water") == word)
        shape = np.exp(rng.normal(middle_shape, spread_shape))
        scales[word] = rng.normal(middle_scale, spread_scale)
        for age, failed in rows.select("low_h", pl.col("high_h").is_not_null()).iter_rows():
            relative = np.log(age) - scales[word]
            total += -np.exp(shape * relative) + (np.log(shape / age) + shape * relative if failed else 0.0)
    weight = np.exp(total - logsumexp(total))
    return float(logsumexp(total) - np.log(count)), {word: _quantiles(values, weight) for word, values in scales.items()}


def _quantiles(values: np.ndarray, weight: np.ndarray) -> np.ndarray:
    order = np.argsort(values)
    return np.interp(TAILS, np.cumsum(weight[order]), values[order])


@pytest.mark.parametrize("seed", [1, 2])
def test_strata_agree_with_a_plain_draw_from_their_prior(seed):
    lives = lives_of_strata(seed, {"fresh": 600.0, "salt": 350.0}, 12)
    whole = taken_as_one(lives, WEIBULL_ONLY)
    found = split_of(whole, by(lives))
    log_evidence, scales = drawn(lives, WEIBULL_ONLY)
    assert whole.posterior.log_evidence + found.log_factor == pytest.approx(log_evidence, abs=0.06)
    for word, expected in scales.items():
        assert np.log(found.posteriors[word,].quantiles("scale", TAILS)) == pytest.approx(expected, abs=0.03)


@pytest.mark.parametrize("prior", [WEIBULL_ONLY, RANDOM_ONLY, PRIOR])
def test_strata_without_spread_are_the_whole(prior):
    lives = lives_of_strata(3, {"fresh": 500.0, "salt": 420.0, "brackish": 500.0}, 25)
    whole = taken_as_one(lives, replace(prior, strata_shape_spread=0.0, strata_scale_spread=0.0))
    found = split_of(whole, by(lives))
    assert found.log_factor == pytest.approx(0.0, abs=0.1)
    for one in found.posteriors.values():
        assert np.log(one.quantiles("scale", TAILS)) == pytest.approx(np.log(whole.posterior.quantiles("scale", TAILS)), abs=0.02)


def test_strata_that_may_lie_anywhere_stand_alone():
    lives = lives_of_strata(4, {"fresh": 500.0, "salt": 200.0}, 150)
    whole = taken_as_one(lives, replace(WEIBULL_ONLY, strata_shape_spread=3.0, strata_scale_spread=5.0))
    found = split_of(whole, by(lives))
    flat = replace(WEIBULL_ONLY, wear_shape_sd=2.0)
    for word in ("fresh", "salt"):
        alone = posterior(ages_from_lives(lives.filter(pl.col("water") == word), "hours"), flat, Knowledge(), "hours")
        for quantity in ("shape", "scale"):
            ours, theirs = (np.log(one.quantiles(quantity, TAILS)) for one in (found.posteriors[word,], alone))
            assert ours == pytest.approx(theirs, abs=0.03), quantity


def test_a_stratum_without_lives_has_what_the_others_foretell():
    lives = lives_of_strata(5, {"fresh": 500.0, "salt": 450.0, "brackish": 520.0}, 80)
    strata = dict(by(lives)) | {("silt",): np.empty(0, dtype=np.intp)}
    found = split_of(taken_as_one(lives, PRIOR), strata).posteriors
    median, low, high = found["silt",].limits("scale", 0.9)
    assert 430 < median < 560
    assert np.log(high / low) > 1.2 * max(width_of(found[word,]) for word in ("fresh", "salt"))


def width_of(believed: Posterior) -> float:
    """Width of the 90 % limits of ln scale."""
    _, low, high = believed.limits("scale", 0.9)
    return float(np.log(high / low))


def test_a_thin_stratum_borrows_strength():
    lives = pl.concat([lives_of_strata(6, {"fresh": 500.0, "brackish": 500.0}, 100), lives_of_strata(7, {"salt": 500.0}, 8)])
    borrowed = split_of(taken_as_one(lives, PRIOR), by(lives)).posteriors["salt",].limits("scale", 0.9)
    alone = posterior(ages_from_lives(lives.filter(pl.col("water") == "salt"), "hours"), PRIOR, KNOWN, "hours").limits("scale", 0.9)
    assert np.log(borrowed[2] / borrowed[1]) < 0.8 * np.log(alone[2] / alone[1])


def test_spread_that_is_integrated_over_gives_wider_limits_than_its_likeliest_value():
    # Two strata say next to nothing of their spread: taken as known to be small, the limits would be too narrow.
    lives = lives_of_strata(8, {"fresh": 500.0, "salt": 480.0}, 60)
    integrated = split_of(taken_as_one(lives, PRIOR), by(lives)).posteriors["salt",].limits("scale", 0.9)
    pooled = taken_as_one(lives, PRIOR).posterior.limits("scale", 0.9)
    assert np.log(integrated[2] / integrated[1]) > 1.1 * np.log(pooled[2] / pooled[1])


def test_all_strata_share_branch_family_and_clock():
    lives = lives_of_strata(9, {"fresh": 500.0, "salt": 300.0}, 30)
    found = split_of(taken_as_one(lives, PRIOR), by(lives)).posteriors
    first, second = found.values()
    for branch in ("wears out", "random", "fails young"):
        assert first.weight_of(branch=branch) == pytest.approx(second.weight_of(branch=branch), abs=1e-4)


def test_the_quick_factor_is_close_to_that_of_the_whole_tree():
    for seed, salt in ((10, 500.0), (11, 350.0), (12, 250.0)):
        lives = lives_of_strata(seed, {"fresh": 500.0, "salt": salt}, 40)
        whole = taken_as_one(lives, PRIOR)
        assert log_factor_of(whole, by(lives)) == pytest.approx(split_of(whole, by(lives)).log_factor, abs=0.8)


def test_the_order_of_the_strata_does_not_matter():
    lives = lives_of_strata(13, {"fresh": 500.0, "salt": 350.0, "brackish": 420.0}, 30)
    whole, strata = taken_as_one(lives, PRIOR), by(lives)
    there, back = split_of(whole, strata), split_of(whole, dict(list(strata.items())[::-1]))
    assert there.log_factor == pytest.approx(back.log_factor, abs=1e-6)
    for stratum in strata:
        assert there.posteriors[stratum].limits("b10", 0.9) == pytest.approx(back.posteriors[stratum].limits("b10", 0.9), rel=1e-6)


ages = st.floats(0.5, 5_000, allow_nan=False)
rows = st.tuples(ages, st.sampled_from(["failed", "running", "between", "late"]), st.sampled_from(["a", "b", "c"]))


@settings(deadline=None, derandomize=True, max_examples=6)
@given(st.lists(rows, max_size=12))
def test_any_lives_get_an_answer(drawn_rows):
    ends = {"failed": lambda age: (0.0, age, age), "running": lambda age: (0.0, age, None)}
    ends |= {"between": lambda age: (0.0, age / 2, age), "late": lambda age: (age / 2, age, None)}
    held = [(*ends[kind](age), None, None, None, word) for age, kind, word in drawn_rows]
    lives = pl.DataFrame(held, schema=AGES | {"water": pl.String}, orient="row")
    strata = dict(by(lives)) | {("d",): np.empty(0, dtype=np.intp)}
    found = split_of(taken_as_one(lives, PRIOR), strata)
    assert np.isfinite(found.log_factor)
    for one in found.posteriors.values():
        median, low, high = one.limits("scale", 0.9)
        assert 0 < low <= median <= high < np.inf
        assert sum(block.weight.sum() for block in one.blocks) == pytest.approx(1.0)
