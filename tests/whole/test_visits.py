"""Visits laid by the advice, run through years of failures, at reduced size."""

import pytest

from tests.whole.visits_study import study


@pytest.mark.slow
def test_shared_visits_truly_cost_less_than_each_job_on_its_day_and_than_one_service():
    told = study(boats=4, years=15, seed=17)
    alone, shared, service = (
        told[name][0] for name in ("each job on its own day", "jobs laid onto visits", "all due in 90 days at one service")
    )
    assert shared < 0.95 * alone
    assert shared < 1.02 * service
    assert told["jobs laid onto visits"][1] < told["each job on its own day"][1]
