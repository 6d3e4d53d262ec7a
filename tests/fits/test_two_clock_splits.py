"""Strata of parts that wear on both clocks: a factor on both is found, and none is not made up."""

import numpy as np
import polars as pl

from pipelines.fits.clocks import posterior_of
from pipelines.fits.knowledge import Knowledge
from pipelines.fits.known_figures import KnownFigures
from pipelines.fits.splits import Whole, log_factor_of, split_of
from pipelines.fits.two_clock_block import BOTH
from pipelines.terms.settings import Prior
from tests.fits.stratified_lives import AGES, by

PRIOR = Prior()


def lives_on_both(seed: int, factors: dict[str, float], count: int = 150) -> pl.DataFrame:
    """Lives of hazard (hours / 600)^2.5 + (months / 40)^3, both scales times a factor; boats differ eightfold in use."""
    rng = np.random.default_rng(seed)
    rows = []
    for word, factor in factors.items():
        for use in np.exp(rng.uniform(np.log(5), np.log(40), count)):
            months = np.linspace(0.05, 200, 8000)
            hazard = (months * use / (600 * factor)) ** 2.5 + (months / (40 * factor)) ** 3
            life, stop = float(np.interp(rng.exponential(), hazard, months)), rng.uniform(0, 60)
            age = min(life, stop)
            high = age if life <= stop else None
            rows.append((0.0, age * use, None if high is None else high * use, 0.0, age, high, word))
    return pl.DataFrame(rows, schema=AGES | {"water": pl.String}, orient="row")


def whole_of(lives: pl.DataFrame) -> Whole:
    found = posterior_of(lives, "spark plugs", None, KnownFigures(), PRIOR)
    return Whole(found, lives, {"hours": Knowledge(), "months": Knowledge()}, PRIOR)


def test_a_factor_on_both_clocks_is_found():
    lives = lives_on_both(1, {"fresh": 1.0, "salt": 0.65})
    whole = whole_of(lives)
    assert whole.posterior.weight_of(clock=BOTH) > 0.9
    found = split_of(whole, by(lives))
    assert found.log_factor > 5
    fresh, salt = (found.posteriors[word,].limits("scale", 0.9)[0] for word in ("fresh", "salt"))
    assert 0.55 < salt / fresh < 0.75


def test_no_factor_is_made_up():
    lives = lives_on_both(2, {"fresh": 1.0, "salt": 1.0})
    assert log_factor_of(whole_of(lives), by(lives)) < 0.5
