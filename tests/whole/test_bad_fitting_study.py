"""The study of bad fitting at reduced size; whole by `python -m tests.whole.bad_fitting_study`."""

import numpy as np
import pytest

from tests.whole.bad_fitting_study import SCALE, Truth, study


@pytest.mark.slow
def test_advice_over_plannings_sees_wear_behind_bad_fittings():
    found = study(0.08, "whole tree", 8)
    regret = np.array([[one.regret for one in fleet] for fleet in found])
    assert regret[:, -1].mean() < 0.03
    assert regret.mean() < 0.08
    assert np.mean([fleet[-1].told for fleet in found]) > 0.8


@pytest.mark.slow
def test_wear_alone_is_hardly_ever_told_as_bad_fitting():
    assert not any(one.told for fleet in study(0.0, "whole tree", 8) for one in fleet)


def test_the_true_cost_of_never_renewing_is_a_failure_over_the_mean_life():
    exponential = Truth(1.0, 0.0, 5.0)
    assert exponential.costs()[-1] == pytest.approx(5.0 / SCALE, rel=1e-3)
    # A tenth of fittings dies at a mean age of 10 x 500 / 510 h, the rest at 500 h.
    badly = Truth(1.0, 0.1, 5.0)
    assert badly.costs()[-1] == pytest.approx(5.0 / (0.9 * SCALE + 0.1 * 10 * 500 / 510), rel=1e-3)
    assert badly.regret(None) == pytest.approx(0.0, abs=1e-3)
