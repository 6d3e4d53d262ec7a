import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.advice.age_replacement import best_weibull_age, weibull_running_time
from pipelines.advice.laws import Tabulated, representative, tabulate
from pipelines.fits.posterior import Posterior
from tests.advice.made import believed, drawn_lives, unhurried, weibull


def only_table(posterior: Posterior) -> Tabulated:
    """The one table of a posterior whose laws live on one clock."""
    (table,) = tabulate(posterior)
    assert isinstance(table, Tabulated)
    return table


@unhurried
@given(st.floats(0.7, 6), st.floats(5, 5000), st.floats(1.5, 20))
def test_a_table_gives_the_cost_of_one_law(shape, scale, ratio):
    table = only_table(weibull(shape, scale))
    for age in (0.2, 0.7, 1.5):
        survival = math.exp(-(age**shape))
        exact = (survival + ratio * (1 - survival)) / (scale * weibull_running_time(age, shape))
        assert table.costs(age * scale, 1, ratio)[0] == pytest.approx(exact, rel=1e-3)
    mean_life = scale * math.gamma(1 + 1 / shape)
    assert table.costs(np.inf, 1, ratio)[0] == pytest.approx(ratio / mean_life, rel=1e-4)


@pytest.mark.parametrize("shape", [1.5, 2.5, 4.0])
def test_the_table_is_cheapest_at_the_exact_best_age(shape):
    table = only_table(weibull(shape, 300))
    costs = table.expected_costs(1, 5)
    assert table.ages[np.argmin(costs)] == pytest.approx(best_weibull_age(shape, 300, 1, 5), rel=0.03)


def test_weights_of_all_clocks_add_to_one():
    on_hours, on_months = weibull(2, 300), weibull(3, 20, "months")
    blocks = tuple(type(block)(**{**block.__dict__, "weight": 0.5 * block.weight}) for one in (on_hours, on_months) for block in one.blocks)
    tables = tabulate(Posterior(blocks, {}, 0.0, ""))
    assert [table.clock for table in tables] == ["hours", "months"]
    assert [table.weight.sum() for table in tables] == pytest.approx([0.5, 0.5])


def test_laws_passed_over_hardly_move_the_expected_cost():
    belief = believed(drawn_lives(2.5, 400, 300, 80))
    table = only_table(belief)
    blocks = belief.blocks
    whole = sum(block.weight @ (1 - block.survival([200.0])[:, 0]) for block in blocks)
    assert 1 - np.interp(200, table.ages, table.mean_surviving) == pytest.approx(float(whole), rel=0.002)
    assert table.weight.size < belief.points


def test_a_few_laws_stand_for_all():
    belief = believed(drawn_lives(2.5, 400, 300, 80))
    few = representative(belief, 120)
    assert sum(block.weight.sum() for block in few) == pytest.approx(1)
    for age in (50.0, 150.0, 300.0, 500.0):
        thinned = sum(block.weight @ block.survival([age])[:, 0] for block in few)
        assert float(thinned) == pytest.approx(belief.expected_survival("hours", [age])[0], abs=0.015)
