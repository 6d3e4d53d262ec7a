from pathlib import Path

import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.advice.age_replacement import age_grid, best_weibull_age, cost_rates, running_time, weibull_running_time
from tests.advice.made import unhurried

PUBLISHED = Path(__file__).parents[1] / "published"


def weibull_costs(shape, planned, failure, ages):
    survival = np.exp(-(ages[None, :] ** np.atleast_1d(shape)[:, None]))
    return cost_rates(survival, running_time(survival, ages), planned, failure)


# Documentation of the Python library reliability, optimal_replacement_time: shape 2.5, scale 1000, costs 1 and 5. It prints 493.19 and
# 0.0035 from a search on a grid; the exact first-order condition gives 493.0469576 and 0.003462042739.
def test_the_documented_optimum_is_reproduced_and_bettered():
    best = best_weibull_age(2.5, 1000, 1, 5)
    assert best is not None
    assert best == pytest.approx(493.0469576, abs=1e-6)
    assert best == pytest.approx(493.19, abs=0.2)
    survival = np.exp(-((best / 1000) ** 2.5))
    rate = cost_rates(survival, 1000 * weibull_running_time(best / 1000, 2.5), 1, 5)
    assert float(rate) == pytest.approx(0.003462042739, rel=1e-9)
    assert float(rate) == pytest.approx(0.0035, abs=5e-5)


# Jardine & Tsang, Maintenance, Replacement, and Reliability, chapter 2, problem 2, worked solution: a life uniform on 0 to 40,000, planned
# 100, failure 200. Printed cost rates at 10,000, 20,000, 30,000 and 40,000; the exact optimum is 40,000 (sqrt 3 - 1).
PRINTED = {10_000: 0.0143, 20_000: 0.0100, 30_000: 0.0093, 40_000: 0.0100}


@pytest.mark.parametrize(("age", "printed"), list(PRINTED.items()))
def test_a_uniform_life_costs_what_the_textbook_prints(age, printed):
    ages = age_grid(1, age)
    survival = np.maximum(1 - ages / 40_000, 0)[None, :]
    assert cost_rates(survival, running_time(survival, ages), 100, 200)[0, -1] == pytest.approx(printed, abs=6e-5)


def test_a_uniform_life_is_best_renewed_where_the_textbook_says():
    ages = age_grid(1, 40_000, 0.0005)
    survival = np.maximum(1 - ages / 40_000, 0)[None, :]
    costs = cost_rates(survival, running_time(survival, ages), 100, 200)[0]
    assert ages[np.argmin(costs)] == pytest.approx(40_000 * (3**0.5 - 1), abs=15)


# Theory (Barlow & Proschan 1965): no age is better than the failure when the hazard does not rise, or when a planned renewal saves nothing.
@pytest.mark.parametrize(("shape", "planned", "failure"), [(1.0, 1, 50), (0.7, 1, 50), (3.0, 5, 5), (3.0, 6, 5)])
def test_there_is_no_best_age_without_wear_or_without_a_saving(shape, planned, failure):
    assert best_weibull_age(shape, 100, planned, failure) is None


# Computed by two methods (first-order condition and direct minimisation): the age tends to the scale as the life becomes certain, and to
# (1 / ((shape - 1)(ratio - 1))) ** (1 / shape) as failures become dear.
@pytest.mark.parametrize(("shape", "ratio", "age"), [(50, 5, 0.8998193), (200, 5, 0.9671536), (3, 10_000, 0.03684161984)])
def test_extreme_laws_have_their_known_best_age(shape, ratio, age):
    assert best_weibull_age(shape, 1, 1, ratio) == pytest.approx(age, abs=1e-6)


GRID = pl.read_csv(PUBLISHED / "age_replacement_grid.csv")


# Computed independently by incomplete gamma functions with root finding and by quadrature with minimisation, which agree to 1e-7.
@pytest.mark.parametrize("row", GRID.to_dicts(), ids=lambda row: f"{row['beta']}-{row['cost_ratio_unplanned_over_planned']}")
def test_best_age_and_its_cost_agree_with_the_computed_grid(row):
    shape, ratio = row["beta"], row["cost_ratio_unplanned_over_planned"]
    best = best_weibull_age(shape, 1, 1, ratio)
    assert best is not None
    assert best == pytest.approx(row["T_over_eta"], rel=1e-5)
    cost = float(cost_rates(np.exp(-(best**shape)), weibull_running_time(best, shape), 1, ratio))
    assert cost == pytest.approx(row["cost_rate_times_eta_over_planned"], rel=1e-6)
    assert cost * weibull_running_time(1e9, shape) / ratio == pytest.approx(row["cost_relative_to_run_to_failure"], rel=1e-6)


@unhurried
@given(st.floats(0.5, 8), st.floats(0.05, 3))
def test_running_time_on_a_grid_is_right_to_a_hundred_thousandth(shape, age):
    ages = age_grid(1e-6 ** (1 / min(shape, 1)), age)
    survival = np.exp(-(ages**shape))[None, :]
    assert running_time(survival, ages)[0, -1] == pytest.approx(weibull_running_time(age, shape), rel=1e-5)


def test_many_laws_are_costed_at_once():
    ages = age_grid(1e-6, 20)
    together = weibull_costs([1.5, 2.5, 4.0], 1, 5, ages)
    for row, shape in enumerate([1.5, 2.5, 4.0]):
        assert together[row] == pytest.approx(weibull_costs(shape, 1, 5, ages)[0])
        assert ages[np.argmin(together[row])] == pytest.approx(best_weibull_age(shape, 1, 1, 5), rel=0.04)
