"""A group is named in a plan by models and bases, and new rows are outranked by no older ones."""

import polars as pl
import pytest

from pipelines.errors import WrongInput
from pipelines.flow.conditions import conditions_of, outranked, spelt_out


def places(*rows: tuple[str | None, str | None, str]) -> pl.DataFrame:
    """Positions: engine model, base, water."""
    return pl.DataFrame(rows, schema={"engine_model": pl.String, "base": pl.String, "water": pl.String}, orient="row")


HERE = places(("M40", "north", "salt"), ("M60", "north", "salt"), ("M40", "lake", "fresh"), ("M60", "lake", "fresh"))


def test_the_whole_fleet_names_neither():
    assert conditions_of("impeller", HERE, None) == [{}]


def test_a_group_by_model_or_base_is_named_as_it_is():
    assert conditions_of("impeller", HERE, {"engine_model": "M40", "water": None}) == [{"engine_model": "M40"}]
    assert conditions_of("impeller", HERE, {"engine_model": "M40", "base": "lake"}) == [{"engine_model": "M40", "base": "lake"}]


def test_a_group_that_is_not_known_has_no_row_of_its_own():
    assert conditions_of("impeller", HERE, {"engine_model": "not known"}) == []


def test_a_group_by_water_is_named_by_the_bases_of_that_water():
    assert conditions_of("elbow", HERE, {"water": "salt"}) == [{"base": "north"}]


def test_where_a_base_has_both_the_models_are_named():
    mixed = places(("M40", "north", "salt"), ("M60", "north", "fresh"), ("M40", "lake", "salt"))
    assert conditions_of("elbow", mixed, {"water": "salt"}) == [{"engine_model": "M40"}]
    crossed = places(("M40", "north", "salt"), ("M60", "north", "fresh"), ("M40", "lake", "fresh"), ("M60", "lake", "salt"))
    assert conditions_of("elbow", crossed, {"water": "salt"}) == [
        {"engine_model": "M40", "base": "north"},
        {"engine_model": "M60", "base": "lake"},
    ]


def test_where_neither_will_do_the_way_out_is_told():
    with pytest.raises(WrongInput, match=r"differs by water.*--every-h"):
        conditions_of("elbow", places(("M40", "north", "salt"), ("M40", "north", "fresh")), {"water": "salt"})


def plan(*rows: tuple[str | None, str | None]) -> pl.DataFrame:
    return pl.DataFrame(rows, schema={"engine_model": pl.String, "base": pl.String}, orient="row")


def test_older_rows_for_other_models_or_bases_could_outrank():
    assert outranked(HERE, plan(("M40", None)), [{}])
    assert outranked(HERE, plan(("M40", "lake")), [{"base": "north"}, {"base": "lake"}])


def test_a_general_row_or_one_of_the_same_names_does_not():
    assert not outranked(HERE, plan((None, None), ("", "")), [{"base": "lake"}])
    assert not outranked(HERE, plan(("M40", None)), [{"engine_model": "M40"}])
    assert not outranked(HERE, plan(("M99", None)), [{}])


def test_every_model_at_every_base_is_spelt_out():
    assert spelt_out(HERE, {"base": "lake"}) == [{"engine_model": "M40", "base": "lake"}, {"engine_model": "M60", "base": "lake"}]
    assert spelt_out(places(("not known", "lake", "fresh")), {}) == [{"engine_model": None, "base": "lake"}]
