import polars as pl
import pytest

from tests.whole.suggestions_study import predictions, score


@pytest.mark.slow
def test_suggested_causes_of_calls_are_right_as_often_as_they_say():
    told = predictions(60, 4, 77).filter(pl.col("kind") == "rescue_calls", pl.col("column") == "cause")
    sure = told.filter(pl.col("confidence") >= 0.8)
    assert sure.filter(pl.col("given") == pl.col("code")).height > 0.8 * sure.height
    assert score(told)["uncoded"].item() < 0.9
