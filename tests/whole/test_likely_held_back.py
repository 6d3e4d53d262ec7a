"""The ranking of causes beats the fleet's plain shares on calls it has not seen."""

import pytest

from tests.whole.likely_held_back import run


@pytest.mark.slow
def test_held_back_calls_are_ranked_better_than_by_plain_shares():
    marked = run(60, 5, [31])
    assert marked.log_score > marked.plain_log_score
    assert marked.hits >= marked.plain_hits - 0.02
