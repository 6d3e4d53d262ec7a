"""Groups asked for and groups told apart: who borrows from whom, and which columns stand for election."""

from dataclasses import replace

import polars as pl

from pipelines.advice.verdict import interval_rows
from pipelines.fits.fitted_badly_block import FITTED_BADLY
from pipelines.fits.known_figures import KnownFigures
from pipelines.flow.grouping import NOT_KNOWN, Part, groups_asked_for, groups_told_apart, with_candidates
from pipelines.terms.settings import Settings
from tests.advice.made import drawn_lives, fleet, lives, positions, records

SETTINGS = Settings()


def part_of(salt_scale: float, count: int = 120) -> tuple[Part, pl.DataFrame]:
    """A part whose lives are shorter in salt water, with its positions."""
    halves = {"salt": drawn_lives(2.5, salt_scale, 700, count, 1), "fresh": drawn_lives(2.5, 600.0, 700, count, 2)}
    lives = pl.concat([rows.with_columns(pl.lit(water).alias("water")) for water, rows in halves.items()])
    places = pl.concat([positions("part", 20, water=water) for water in ("salt", "fresh")])
    return Part("part", lives, places, KnownFigures(), SETTINGS, "h"), places


def fleet_of(places: pl.DataFrame):
    return fleet(places, costs=records("costs", {"component": "part", "planned_cost": 100.0, "failure_cost": 700.0}))


def test_lives_that_differ_get_intervals_of_their_own():
    part, places = part_of(300.0)
    found = groups_told_apart(part, fleet_of(places), ["water"])
    rows = interval_rows(found, fleet_of(places), SETTINGS).to_dicts()
    assert [row["group"] for row in rows] == [{"water": "fresh"}, {"water": "salt"}]
    assert rows[1]["renew_h"] < 0.75 * rows[0]["renew_h"]
    assert all("told apart by water" in row["basis"] and "borrowed from 120 lives" in row["basis"] for row in rows)


def test_lives_that_do_not_differ_keep_one_row():
    part, places = part_of(600.0)
    assert [one.group for one in groups_told_apart(part, fleet_of(places), ["water"])] == [None]


def test_groups_that_save_next_to_nothing_keep_one_row():
    part, places = part_of(300.0)
    free = fleet(places, costs=records("costs", {"component": "part", "planned_cost": 100.0, "failure_cost": 100.0}))
    assert [one.group for one in groups_told_apart(part, free, ["water"])] == [None]


def test_groups_asked_for_all_have_rows_those_without_a_life_too():
    part, places = part_of(400.0, 30)
    more = pl.concat([places, positions("part", 5, water="brackish")])
    found = groups_asked_for(Part("part", part.lives, more, KnownFigures(), SETTINGS, "h"), ["water"])
    assert [one.group for one in found] == [{"water": "brackish"}, {"water": "fresh"}, {"water": "salt"}]
    assert found[0].posterior is not None


def test_a_single_group_is_the_whole():
    part, _ = part_of(400.0, 10)
    (found,) = groups_asked_for(part, ["component"])
    assert found.every_life is None
    assert found.lives.height == part.lives.height


def test_groups_of_a_part_fitted_badly_share_its_bad_fitting():
    held, _ = part_of(300.0)
    early = lives("part", [2.0, 3.0, 4.0, 5.0, 6.0, 7.0] * 2, [True] * 12, water="salt")
    part = replace(held, lives=pl.concat([held.lives, early], how="vertical_relaxed"))
    whole = part.estimate().posterior
    found = groups_asked_for(part, ["water"])
    assert whole is not None
    assert whole.weight_of(branch=FITTED_BADLY) > 0.9
    assert all(one.posterior is not None and one.posterior.weight_of(branch=FITTED_BADLY) > 0.5 for one in found)


def test_the_fleets_own_columns_stand_beside_ours():
    vessels = pl.DataFrame({"vessel_id": ["v0"], "bottom": ["silty"], "extra": ['{"mooring": "buoy"}']})
    engines = pl.DataFrame({"engine_id": ["e0"], "extra": [None]}, schema_overrides={"extra": pl.String})
    frame, names = with_candidates(positions("part", 2), vessels, engines)
    assert names[-1] == "mooring"
    assert frame["mooring"].to_list() == ["buoy", NOT_KNOWN]
    assert frame["bottom"].to_list() == ["silty", NOT_KNOWN]
