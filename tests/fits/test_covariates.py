"""The column that matters is found, the one that does not is left alone, and trying more asks for more."""

import numpy as np
import polars as pl
import pytest

from pipelines.fits.covariates import MOST_STRATA, distinct_columns, strata_of, tell_apart
from pipelines.fits.screening import expected_and_failed, rough_log_factor
from pipelines.fits.splits import log_factor_of
from pipelines.terms.settings import Prior
from tests.fits.stratified_lives import by, lives_of_strata, taken_as_one

PRIOR = Prior()
SURE = 0.7


def with_colours(lives: pl.DataFrame, *names: str, seed: int = 1) -> pl.DataFrame:
    """Columns of words drawn without any regard to the lives."""
    rng = np.random.default_rng(seed)
    return lives.with_columns(pl.Series(name, rng.choice(["red", "blue", "white"], lives.height)) for name in names)


def test_the_column_that_matters_is_chosen():
    lives = with_colours(lives_of_strata(1, {"fresh": 520.0, "salt": 300.0}, 60), "hull_colour")
    found = tell_apart(taken_as_one(lives, PRIOR), lives, ["hull_colour", "water"], SURE)
    assert found.columns == ("water",)
    assert found.probability > 0.95
    assert set(found.posteriors) == {("fresh",), ("salt",)}
    fresh, salt = (found.posteriors[word,].limits("scale", 0.9) for word in ("fresh", "salt"))
    assert salt[0] < salt[2] < fresh[1] < fresh[0]


def test_groups_so_far_apart_that_the_whole_looks_like_another_family_are_told_apart():
    lives = lives_of_strata(30, {"fresh": 500.0, "salt": 200.0}, 220, shape=3.0)
    whole = taken_as_one(lives, PRIOR)
    assert whole.posterior.weight_of(branch="wears out", family="weibull") < 0.02
    found = tell_apart(whole, lives, ["water"], SURE)
    assert found.columns == ("water",)
    assert found.posteriors["salt",].best_family == "weibull"


@pytest.mark.parametrize("seed", range(6))
def test_a_column_without_effect_is_not_used(seed):
    lives = with_colours(lives_of_strata(20 + seed, {"fresh": 500.0}, 120), "hull_colour", "bench", seed=seed)
    found = tell_apart(taken_as_one(lives, PRIOR), lives, ["hull_colour", "bench"], SURE)
    assert found.columns == ()
    assert found.posteriors == {}


def test_the_more_columns_are_tried_the_more_each_has_to_show():
    lives = with_colours(lives_of_strata(1, {"fresh": 500.0, "salt": 330.0}, 40), *(f"colour {n}" for n in range(12)))
    whole = taken_as_one(lives, PRIOR)
    alone = tell_apart(whole, lives, ["water"], SURE)
    among_many = tell_apart(whole, lives, ["water", *(f"colour {n}" for n in range(12))], SURE)
    assert among_many.log_factors["water",] == pytest.approx(alone.log_factors["water",])
    assert among_many.probability < alone.probability


def test_two_columns_are_taken_together_only_where_both_matter():
    halves = [lives_of_strata(4 + n, {"fresh": 620.0 * by, "salt": 380.0 * by}, 90) for n, by in enumerate((1.0, 0.55))]
    lives = pl.concat([half.with_columns(pl.lit(fuel).alias("fuel")) for half, fuel in zip(halves, ("petrol", "diesel"), strict=True)])
    assert set(tell_apart(taken_as_one(lives, PRIOR), lives, ["water", "fuel"], SURE).columns) == {"water", "fuel"}
    one = with_colours(lives_of_strata(6, {"fresh": 600.0, "salt": 350.0}, 90), "fuel")
    assert tell_apart(taken_as_one(one, PRIOR), one, ["water", "fuel"], SURE).columns == ("water",)


def test_what_is_believed_of_a_group_lies_between_its_own_and_the_whole():
    lives = lives_of_strata(7, {"fresh": 500.0, "salt": 330.0}, 40)
    whole = taken_as_one(lives, PRIOR)
    found = tell_apart(whole, lives, ["water"], 0.0)
    assert 0 < found.probability < 1
    median = found.posteriors["salt",].limits("scale", 0.9)[0]
    assert median < whole.posterior.limits("scale", 0.9)[0]


def test_columns_that_make_the_same_groups_count_once():
    lives = lives_of_strata(8, {"fresh": 500.0, "salt": 400.0}, 10).with_columns(
        base=pl.when(pl.col("water") == "salt").then(pl.lit("sea")).otherwise(pl.lit("lake")), class_=pl.lit("one")
    )
    lives = lives.with_columns(pl.Series("number", [str(n) for n in range(lives.height)]))
    assert lives.height > MOST_STRATA
    assert distinct_columns(lives, lives, ["base", "water", "class_", "number"]) == ["base"]


def test_places_without_a_life_are_strata_too():
    lives = lives_of_strata(9, {"fresh": 500.0}, 5)
    places = pl.DataFrame({"water": ["salt", None, "fresh"]})
    assert {stratum: rows.size for stratum, rows in strata_of(lives, places, ["water"]).items()} == {("",): 0, ("fresh",): 5, ("salt",): 0}


@pytest.mark.parametrize(("seed", "salt"), [(10, 500.0), (11, 400.0), (12, 300.0), (13, 200.0)])
def test_the_quick_look_tells_much_as_the_long_way(seed, salt):
    lives = lives_of_strata(seed, {"fresh": 500.0, "salt": salt}, 50)
    whole = taken_as_one(lives, PRIOR)
    expected, failed = expected_and_failed(whole)
    assert expected.sum() == pytest.approx(failed.sum(), rel=0.15)
    rough, long = rough_log_factor(expected, failed, by(lives).values(), PRIOR.strata_scale_spread), log_factor_of(whole, by(lives))
    assert rough == pytest.approx(long, abs=1.5 + 0.3 * abs(long))
