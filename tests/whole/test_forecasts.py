"""Forecasts and alarms on made fleets and seasons, at a reduced size; the scripts print the whole."""

import pytest

from pipelines.advice.marks import coverage, log_score
from tests.whole.alarm_study import batches, changed, quiet
from tests.whole.forecast_study import run


@pytest.mark.slow
def test_ranges_hold_and_the_forecast_beats_a_plain_count():
    studied = run(40, 5, 1, [907])
    held, score = coverage(studied.marks), log_score(studied.marks)
    assert held["covered"] >= 0.88
    assert held["randomised"] == pytest.approx(0.9, abs=0.08)
    assert score["forecast"] > score["naive"]


@pytest.mark.slow
def test_quiet_seasons_are_quiet_and_a_cause_five_times_as_often_is_told():
    assert quiet(80, 30, 5) <= 0.12  # stated 0.05; 80 seasons wander by 0.024
    told = {(usual, times): share for usual, times, share, _ in changed(15, 10, 6)}
    assert told[(10.0, 5.0)] > 0.8
    assert told[(3.0, 5.0)] > told[(1.0, 1.5)]


@pytest.mark.slow
def test_a_bad_batch_is_told_and_good_ones_are_not():
    hit, other = batches(40, 0.7, 7)
    assert hit > 0.8
    assert other <= 0.15
