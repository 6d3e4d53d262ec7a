"""Lives end as their truth says: the planted curves can be got back from them."""

from dataclasses import replace

import numpy as np
import polars as pl
import pytest

from sample_fleet.lives import positions_of
from sample_fleet.planted import PARTS
from sample_fleet.truths import Curve, PartTruth, Pattern
from tests.sample_fleet.made import hours_lived, lives_of, made

PLAIN = PartTruth("drive belt", Pattern.WEARS_OUT, "belt broken", 70, 560, hours=Curve(2.5, 700))


def named(component: str) -> PartTruth:
    return next(part for part in PARTS if part.component == component)


def weibull(hours: np.ndarray, failed: np.ndarray) -> tuple[float, float]:
    """Shape and scale by maximum likelihood, right-censored, by halving the score of the shape."""
    hours = np.maximum(hours, 1e-3)

    def scored(shape: float) -> float:
        weights = hours**shape
        return 1 / shape + np.log(hours[failed]).mean() - (weights * np.log(hours)).sum() / weights.sum()

    low, high = 0.1, 10.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if scored(middle) > 0 else (low, middle)
    return low, float(((hours**low).sum() / failed.sum()) ** (1 / low))


def test_a_part_on_hours_gives_its_shape_and_scale_back():
    lives = lives_of(PLAIN)
    shape, scale = weibull(hours_lived(lives).to_numpy(), lives["failed"].is_not_null().to_numpy())
    assert shape == pytest.approx(2.5, rel=0.06)
    assert scale == pytest.approx(700, rel=0.04)


def test_a_part_on_months_gives_its_shape_and_scale_back():
    lives = lives_of(replace(PLAIN, hours=None, months=Curve(3.0, 40)))
    months = ((lives["failed"].fill_null(lives["ended"]) - lives["began"]) / (365.25 / 12)).to_numpy()
    shape, scale = weibull(months, lives["failed"].is_not_null().to_numpy())
    assert shape == pytest.approx(3.0, rel=0.06)
    assert scale == pytest.approx(40, rel=0.04)


def test_a_random_part_fails_at_a_constant_rate():
    lives = lives_of(replace(PLAIN, hours=Curve(1.0, 900)))
    rate = lives["failed"].is_not_null().sum() / hours_lived(lives).to_numpy().sum()
    assert 1 / rate == pytest.approx(900, rel=0.1)


def test_a_planned_part_is_renewed_by_its_plan_and_seldom_late():
    lives = lives_of(replace(PLAIN, plan_h=200.0))
    hours = hours_lived(lives).filter(lives["ending"] == "planned").to_numpy()
    assert hours.min() > 180
    assert np.median(hours) < 300


def test_a_plan_in_months_holds_for_boats_that_hardly_run():
    lives = lives_of(replace(PLAIN, hours=Curve(2.5, 5000), plan_h=400.0, plan_months=12.0)).filter(pl.col("ending") == "planned")
    assert ((lives["ended"] - lives["began"]) / 30.44).to_numpy().max() < 27


def test_a_renewal_on_condition_comes_in_the_last_part_of_the_life_and_before_failure():
    lives = lives_of(replace(PLAIN, condition_chance=0.5)).filter(pl.col("ending") == "condition")
    assert len(lives) > 50
    assert (lives["ended"] >= lives["worn_from"]).all()
    assert lives["failed"].is_null().all()


def test_no_position_lives_twice_at_once():
    lives = made().lives.sort("component", "carrier", "position", "began")
    one = (pl.col("component", "carrier", "position") == pl.col("component", "carrier", "position").shift(-1)).name.suffix(".same")
    pairs = lives.with_columns(one, following=pl.col("began").shift(-1)).filter(
        pl.col("component.same") & pl.col("carrier.same") & pl.col("position.same")
    )
    assert (pairs["following"] == pairs["next_began"]).all()
    assert (pairs["next_began"] >= pairs["ended"]).all()


def test_every_life_began_before_it_ended_within_its_boat_s_stay():
    lives, fleet = made().lives, made().fleet
    assert (lives["ended"] >= lives["began"]).all()
    assert lives["ended"].to_numpy().max() <= fleet.last


def test_a_hidden_failure_is_found_at_a_visit_or_when_it_was_needed():
    lives = lives_of(named("bilge pump"))
    assert set(lives.drop_nulls("failed")["ending"]) <= {"found failed", "called", "running", "withdrawn"}
    found = lives.filter(pl.col("ending") == "found failed")
    assert (found["ended"] >= found["failed"]).all()
    assert len(found) > 5 * lives.filter(pl.col("ending") == "called").height


def test_nothing_is_called_in_while_boats_are_laid_up():
    lives = lives_of(replace(PLAIN, hours=None, months=Curve(3.0, 40))).filter(pl.col("ending").is_in(["called", "reported"]))
    months = lives.select((pl.col("ended") * 86_400_000_000).cast(pl.Datetime("us")).dt.month().alias("month"))["month"]
    assert set(months) <= {4, 5, 6, 7, 8, 9, 10}


def test_the_planted_share_of_bad_fittings_dies_early():
    lives = lives_of(replace(PLAIN, hours=Curve(3.0, 5000), early_share=0.12, early_mean_h=20, plan_h=300.0))
    seen = lives.filter(pl.col("ending") != "running")
    assert seen["bad_fit"].mean() == pytest.approx(0.12, abs=0.02)
    assert hours_lived(lives).filter(lives["bad_fit"]).mean() == pytest.approx(20, rel=0.15)


def test_outside_damage_is_no_failure_of_the_part():
    lives = lives_of(replace(PLAIN, outside_mean_h=600.0)).filter(pl.col("ending") == "outside damage")
    assert len(lives) > 100
    assert lives["failed"].is_null().all()


def test_where_water_is_salt_the_elbow_lives_shorter():
    elbow, fleet = named("exhaust elbow"), made().fleet
    positions = positions_of(elbow, fleet)
    salt = [fleet.boats[made().where.boat_of(np.array([at]), np.array([20400.0]))[0]].water == "salt" for at in positions.carrier]
    assert positions.factor == pytest.approx(np.where(salt, 0.66, 1.0))


def test_a_part_sits_only_where_its_drive_and_fuel_are():
    fleet = made().fleet
    models = {fleet.engines[at].model for at in positions_of(named("injectors"), fleet).carrier}
    assert models <= {"Dorrat 3D", "Dorrat 4D", "Ulbry 6D"}


def test_a_cabin_cruiser_has_two_bilge_pumps():
    fleet, positions = made().fleet, positions_of(named("bilge pump"), made().fleet)
    cruisers = [at for at, boat in enumerate(fleet.boats) if boat.vessel_class == "cabin cruiser"]
    assert sorted(name for at, name in zip(positions.carrier, positions.name, strict=True) if at == cruisers[0]) == ["aft", "fore"]
