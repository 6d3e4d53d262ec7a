from pathlib import Path

import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.advice.counts import NOTHING, Demand, added, gamma_poisson, mixed_sum, poisson
from tests.advice.made import unhurried

PUBLISHED = Path(__file__).parents[1] / "published"


# Logistics textbook exercise (second-hand), a nomograph: 30 units, mean time between failures 10,000 h, 2,160 h: 11 spares for 95 %.
def test_thirty_units_over_ninety_days_need_eleven_spares():
    demand = poisson(30 * 2160 / 10_000)
    assert demand.mean == pytest.approx(6.48)
    assert demand.quantile(0.95) == 11
    assert demand.chance_up_to(10) == pytest.approx(0.9342707502, abs=1e-9)
    assert demand.chance_up_to(11) == pytest.approx(0.9667750716, abs=1e-9)


# Blanchard, Logistics Engineering and Management, nomograph example (recalled): 20 parts, 0.1 per 1,000 h, 2,160 h: 8 spares for 95 %.
def test_twenty_parts_over_ninety_days_need_eight_spares():
    demand = poisson(20 * 0.1 * 2160 / 1000)
    assert demand.mean == pytest.approx(4.32)
    assert demand.quantile(0.95) == 8
    assert demand.chance_up_to(7) == pytest.approx(0.927495538, abs=1e-9)
    assert demand.chance_up_to(8) == pytest.approx(0.9675081856, abs=1e-9)


SPARES = pl.read_csv(PUBLISHED / "poisson_spares.csv").to_dicts()


# Computed alike by R qpois and by summation.
@pytest.mark.parametrize("row", SPARES, ids=lambda row: f"{row['mean_demand']}-{row['target_probability']}")
def test_least_stock_for_poisson_demand_agrees_with_the_table(row):
    demand = poisson(row["mean_demand"])
    assert demand.quantile(row["target_probability"]) == row["min_spares"]
    assert demand.chance_up_to(row["min_spares"]) == pytest.approx(row["achieved_probability"], abs=1e-9)


BASE_STOCK = pl.read_csv(PUBLISHED / "base_stock.csv").to_dicts()


# Standard formulas of base stock with Poisson demand over the lead time, computed three ways.
@pytest.mark.parametrize("row", BASE_STOCK, ids=lambda row: f"{row['mean_demand']}-{row['stock']}")
def test_base_stock_agrees_with_the_standard_formulas(row):
    demand = poisson(row["mean_demand"])
    assert demand.chance_up_to(row["stock"]) == pytest.approx(row["prob_no_stockout"], abs=2e-9)
    assert demand.fill_rate(row["stock"]) == pytest.approx(row["fill_rate"], abs=2e-9)
    assert demand.shortfall(row["stock"]) == pytest.approx(row["expected_backorders"], abs=1e-8)


@unhurried
@given(st.floats(0.01, 60), st.floats(0.5, 0.999))
def test_one_piece_fewer_breaks_the_level(mean, level):
    demand = poisson(mean)
    least = demand.quantile(level)
    assert demand.chance_up_to(least) >= level - 1e-9
    assert demand.chance_up_to(least - 1) < level


@unhurried
@given(st.floats(0.2, 50), st.floats(0.1, 20), st.floats(0.1, 20))
def test_doubt_about_a_rate_widens_the_demand_and_keeps_its_mean(events, exposure, ahead):
    doubtful = gamma_poisson(events, exposure, ahead)
    counts = np.arange(doubtful.probability.size)
    mean = events * ahead / exposure
    assert doubtful.mean == pytest.approx(mean, rel=1e-3)
    variance = doubtful.probability @ counts**2 - doubtful.mean**2
    assert variance == pytest.approx(mean * (1 + ahead / exposure), rel=2e-2)


def test_a_well_known_rate_gives_poisson_demand():
    assert gamma_poisson(2e7, 1e7, 1.5).probability[:12] == pytest.approx(poisson(3).probability[:12], abs=1e-6)


@unhurried
@given(st.lists(st.floats(0.0, 1.0), min_size=1, max_size=40))
def test_a_sum_over_positions_agrees_with_plain_convolution(chances):
    table = np.array([[[1 - p, 0.7 * p, 0.3 * p] for p in chances]])
    total = np.ones(1)
    for row in table[0]:
        total = np.convolve(total, row)
    summed = mixed_sum(table, np.ones(1)).probability
    assert summed == pytest.approx(total[: summed.size], abs=1e-12)
    assert total[summed.size :].sum() < 1e-9


def test_a_sum_over_many_positions_does_not_wrap_round():
    table = np.tile([0.5, 0.5], (1, 1000, 1))
    demand = mixed_sum(table, np.ones(1))
    assert demand.mean == pytest.approx(500)
    assert demand.quantile(0.5) == 500


def test_doubt_about_the_law_is_shared_by_all_positions():
    table = np.stack([np.tile([0.9, 0.1], (50, 1)), np.tile([0.5, 0.5], (50, 1))])
    demand = mixed_sum(table, np.array([0.5, 0.5]))
    assert demand.mean == pytest.approx(15)
    assert demand.quantile(0.95) - demand.quantile(0.05) > 20


def test_pieces_are_whole():
    assert Demand(np.array([0.5, 0.3, 0.2])).times(4).probability == pytest.approx([0.5, 0, 0, 0, 0.3, 0, 0, 0, 0.2])
    assert Demand(np.array([0.5, 0.3, 0.2])).times(2.5).probability == pytest.approx([0.5, 0, 0, 0.3, 0, 0.2])


def test_independent_demands_add():
    assert added([poisson(2), poisson(3)]).probability[:15] == pytest.approx(poisson(5).probability[:15])
    assert added([]).mean == NOTHING.mean == 0
    assert poisson(0).quantile(0.99) == 0
