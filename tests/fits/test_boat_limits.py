import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import poisson

from pipelines.errors import NoFigure
from pipelines.fits.boat_limits import funnel, funnel_limits

LEVELS = st.sampled_from([0.8, 0.95, 0.998])


@given(st.floats(0.01, 500), st.integers(0, 700), LEVELS)
def test_a_count_is_beyond_a_limit_just_when_its_tail_is_small(expected, events, level):
    low, high = funnel_limits(expected, level)
    cut = (1 - level) / 2
    if abs(poisson.sf(events - 1, expected) - cut) > 1e-9:
        assert (events > high) == (poisson.sf(events - 1, expected) < cut)
    if abs(poisson.cdf(events, expected) - cut) > 1e-9:
        assert (events < low) == (poisson.cdf(events, expected) < cut)


def test_limits_rise_smoothly_with_what_is_expected():
    low, high = funnel_limits(np.linspace(0.5, 60, 5_000), 0.95)
    assert (np.diff(high) > 0).all()
    assert np.diff(high).max() < 0.1
    assert (np.diff(low) >= 0).all()


def test_of_like_boats_about_one_in_twenty_is_worth_a_look_and_hardly_one_stands_out():
    draw = np.random.default_rng(11)
    hours = draw.uniform(100, 500, 4_000)
    boats = pl.DataFrame({"name": [f"B{at}" for at in range(4_000)], "events": draw.poisson(0.02 * hours), "exposure_h": hours})
    counts = dict(funnel(boats)["standing"].value_counts().iter_rows())
    assert 0.02 < 1 - counts["as the fleet"] / 4_000 < 0.05
    assert sum(number for standing, number in counts.items() if standing.startswith("stands out")) <= 10


def test_a_boat_with_far_more_calls_than_its_hours_explain_stands_out():
    boats = pl.DataFrame({"name": ["Plover", *"abcdefgh"], "events": [24] + [5] * 8, "exposure_h": [200.0] * 9})
    table = funnel(boats)
    assert table.select("name", "standing").row(0) == ("Plover", "stands out high")
    assert table["rate"][0] == pytest.approx(120)
    assert table["fleet_rate"][0] == pytest.approx(64 / 1_800 * 1_000)


def test_few_hours_excuse_one_call():
    boats = pl.DataFrame({"name": ["Knot", *"abcdefgh"], "events": [1] + [5] * 8, "exposure_h": [20.0] + [200.0] * 8})
    assert funnel(boats).filter(pl.col("name") == "Knot")["standing"][0] == "as the fleet"


def test_boats_without_hours_are_left_out_and_none_left_is_a_reason():
    boats = pl.DataFrame({"name": ["a", "b", "c"], "events": [1, 2, 3], "exposure_h": [100.0, None, 0.0]})
    assert funnel(boats)["name"].to_list() == ["a"]
    for nothing in (boats.clear(), boats.with_columns(events=pl.lit(0)), boats.filter(pl.col("name") != "a")):
        with pytest.raises(NoFigure, match="No boat has both engine hours and an event"):
            funnel(nothing)
