"""Visits laid by the advice, run through years of failures, at reduced size."""

import pytest

from tests.whole.visits_study import study


@pytest.mark.slow
def test_shared_visits_truly_cost_less_than_each_job_on_its_day():
    told = study(boats=4, years=15, seed=17)
    alone, shared = told["each job on its own day"], told["jobs laid onto visits"]
    assert alone[0] - shared[0] > 2 * alone[2]
    assert shared[1] < 0.6 * alone[1]


@pytest.mark.slow
def test_shared_visits_cost_no_more_than_one_service_beyond_what_chance_makes():
    told = study(boats=4, years=15, seed=17)
    service, shared = told["all due in 90 days at one service"], told["jobs laid onto visits"]
    assert shared[0] - service[0] < 2 * service[2]
