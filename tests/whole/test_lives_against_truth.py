"""Lives told from generated records, held against the lives that really were; fleets not looked at while the rules were made."""

import pytest

from tests.whole.lives_against_truth import marks_of


@pytest.mark.slow
def test_clean_records_give_back_the_true_lives():
    marks = marks_of(60, 6, 301, mess=False)
    assert marks.age_right > 0.95
    assert marks.failures_found > 0.99
    assert marks.failures_false < 0.005
    assert marks.match_precision > 0.99
    assert marks.match_recall > 0.98


@pytest.mark.slow
def test_messy_records_come_near():
    fleets = [marks_of(60, 6, seed, mess=True) for seed in (302, 303)]
    for marks in fleets:
        assert marks.age_right > 0.90
        assert marks.failures_found > 0.94
        assert marks.failures_false < 0.015
    # A fleet of 60 boats has some 200 pairs, of which two more or less are one in a hundred: the aims hold over both fleets.
    right = sum(marks.matches * marks.match_precision for marks in fleets)
    assert right / sum(marks.matches for marks in fleets) > 0.98
    assert right / sum(marks.matches * marks.match_precision / marks.match_recall for marks in fleets) > 0.97
