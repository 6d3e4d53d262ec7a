"""A power cut at any moment: a real process is killed, and the ledger is as it was before or after, never between."""

import pytest

from tests.support.killing import CHANGES
from tests.whole.kills import kills

pytestmark = pytest.mark.slow

KILLS = 48


def test_a_kill_at_any_moment_leaves_the_ledger_before_or_after(tmp_path, capsys):
    found = dict(kills(KILLS, 20_261_125, tmp_path))
    with capsys.disabled():
        print(f"\n{sum(one['kills'] for one in found.values())} kills: " + "; ".join(f"{name} {dict(one)}" for name, one in found.items()))
    assert found.keys() == CHANGES.keys()
    assert sum(one["kills"] for one in found.values()) == KILLS
    assert sum(one["cut off"] for one in found.values()) > KILLS / 2
