import pytest

from tests.whole.strata_study import coverage, regrets, uses

FLEETS = 20


@pytest.mark.slow
def test_models_that_borrow_strength_cost_less_than_models_fitted_alone():
    # In 20 fleets the ratio strays from 0.5 by more than a tenth; the study's own 40 fleets are taken.
    found = regrets(5, 2 * FLEETS)
    assert found["borrowing strength"] < 0.6 * found["each alone, maximum likelihood"]
    assert found["borrowing strength"] < found["all as one"] + 0.01


@pytest.mark.slow
def test_limits_of_a_model_hold_the_truth_nine_times_in_ten():
    # 120 models, not independent: three standard errors around 0.9.
    for share in coverage(5, FLEETS).values():
        assert 0.80 <= share <= 0.98


@pytest.mark.slow
def test_a_column_that_matters_is_used_and_one_that_does_not_is_not():
    right, wrong = uses(0.5, 100, FLEETS)
    assert right >= 0.8
    assert wrong <= 0.1
    assert uses(1.0, 50, FLEETS)[1] <= 0.1
