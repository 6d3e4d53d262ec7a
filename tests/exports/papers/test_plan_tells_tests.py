"""The page to sign says how often to look and to test, not only how often to renew."""

from pipelines.exports.papers.plan import _advised


def test_a_test_and_a_look_stand_beside_the_interval():
    row = {"renew_h": None, "renew_months": 28.0, "inspect_h": 100.0, "inspect_months": None, "test_months": 2.0}
    assert _advised(row) == "28 months; look every 100 h; test every 2 months"
    assert _advised({"renew_h": 200.0, "renew_months": 12.0}) == "200 h or 12 months"
