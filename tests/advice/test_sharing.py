from dataclasses import replace

import polars as pl
import pytest

from pipelines.advice.sharing import sharing_rows
from pipelines.advice.stock import shelves
from pipelines.terms.settings import Settings
from tests.advice.made import positions, weibull
from tests.advice.test_stock import PART, asked

SETTINGS = Settings()
NORTH, SOUTH = {**PART, "base": "north"}, {**PART, "base": "south"}


def two_bases():
    engines = [f"e{n}" for n in range(5, 10)]
    south = positions("part", 5).with_columns(base=pl.lit("south"), engine_id=pl.Series(engines), hours_engine_id=pl.Series(engines))
    return pl.concat([positions("part", 5), south.with_columns(vessel_id=pl.Series([f"v{n}" for n in range(5, 10)]))])


def shared(*parts, settings=SETTINGS):
    question = asked(*parts, of=weibull(1, 100), here=two_bases(), settings=settings)
    held = shelves(question)
    return held, sharing_rows(question, held)


def test_one_shelf_for_two_bases_holds_fewer_pieces_for_the_same_promise():
    held, rows = shared(NORTH, SOUTH)
    row = rows.row(0, named=True)
    assert row["bases"] == 2
    assert row["pieces_apart"] == sum(one.order_up_to(0.95) for one in held)
    assert row["pieces_shared"] < row["pieces_apart"]
    assert row["holding_saved"] > 0


def test_pooled_demand_is_that_of_all_boats_together():
    (together,), _ = shared(PART)
    held, rows = shared(NORTH, SOUTH)
    assert rows["pieces_shared"][0] == together.order_up_to(0.95)
    assert sum(one.season.mean for one in held) == pytest.approx(together.season.mean)


@pytest.mark.parametrize(("a_day", "advice"), [(1000.0, "hold at each base"), (0.01, "share one shelf"), (0.0, None)])
def test_bringing_a_part_over_is_weighed_against_what_sharing_saves(a_day, advice):
    _, rows = shared(NORTH, SOUTH, settings=replace(Settings(), waiting_cost_per_day=a_day))
    assert rows["advice"][0] == advice
    assert "1.0 days" in rows["reason"][0]


def test_a_part_that_one_base_holds_is_not_compared():
    assert shared(NORTH)[1].is_empty()
    assert shared(NORTH, {**SOUTH, "part_id": "p2"})[1].is_empty()
