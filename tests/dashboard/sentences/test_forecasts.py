"""What came of a forecast in words: the misses too, the plain count beside it, the caution about regression to the mean."""

import polars as pl

from dashboard.sentences import forecasts
from tests.dashboard.invented_forecasts import ROWS, extra

BESIDE = extra()


def test_a_season_is_told_with_its_misses():
    told = forecasts.how_right(ROWS, "2024", BESIDE["coverage"])
    assert "10 failures came, 4.8 were foretold" in told
    assert "2 of 3 ranges held" in told
    assert "83" in told


def test_a_forecast_that_is_no_better_is_called_so():
    assert "better than a plain count" in forecasts.score_words(BESIDE["log_score"])
    assert "no better than a plain count" in forecasts.score_words({"forecast": -2.0, "naive": -1.0})


def test_what_an_adoption_changed_has_limits_and_the_caution():
    told = forecasts.adoption_lines(BESIDE["adopted"], BESIDE["adopted_note"])
    assert "11 in 20 part-years before, 2 in 15 since" in told
    assert "0.24 times the rate (0.03 to 0.95), more than chance" in told
    assert "1 other interval without failures" in told
    assert "regression to the mean" in told


def test_without_an_adoption_or_costs_it_says_what_is_needed():
    assert "dated plan" in forecasts.adoption_lines(pl.DataFrame(), "")
    assert "costs" in forecasts.cost_words(pl.DataFrame(), "EUR", "")
    assert "300 EUR a year" in forecasts.cost_words(BESIDE["advice_cost"], "EUR", "n").replace("\u00a0", " ").replace("\u202f", " ")
