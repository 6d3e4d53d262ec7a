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
@pytest.mark.parametrize("seed", [302, 303])
def test_messy_records_come_near(seed: int):
    marks = marks_of(60, 6, seed, mess=True)
    assert marks.age_right > 0.90
    assert marks.failures_found > 0.94
    assert marks.failures_false < 0.015
    assert marks.match_precision > 0.98
    assert marks.match_recall > 0.95
