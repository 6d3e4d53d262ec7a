"""Spare boats weighed by fleets whose truth is known, at reduced size."""

import pytest

from tests.whole.spare_boats_study import study


@pytest.mark.slow
def test_spare_boats_are_enough_as_often_as_told_and_limits_hold():
    told = study(fleets=40, seed=67)
    assert 0.85 < told["held"] < 0.95
    assert told["pool_held"] > 0.88
    assert told["true"] >= 0.95
    assert told["true"] == pytest.approx(told["told"], abs=0.01)
    assert told["pool_true"] == pytest.approx(told["pool_told"], abs=0.02)
