import pytest

from tests.whole.masking_study import invented, rates, score


@pytest.mark.slow
def test_masking_finds_most_of_what_tells_somebody_and_masks_little_else():
    counts = score(invented(2000, seed=41))
    precision, recall = rates(counts)
    assert precision > 0.98
    assert recall > 0.92
    assert counts.filter(counts["sort"] != "name").select("there", "found").row(0)[0] > 0
