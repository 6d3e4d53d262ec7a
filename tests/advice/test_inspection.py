"""The delay-time model against brute force and against what can be reckoned by hand."""

import numpy as np
import pytest

from pipelines.advice.inspection import Watch, cost_and_end, sight_of
from tests.advice.made import case, lives

PLANNED, FAILURE, VISIT = 100.0, 600.0, 5.0


def one_life(life: float, every: float, rng: np.random.Generator, fraction: float, sight: float, latest: float) -> tuple[float, float]:
    """Walk through the looks of one part: what it cost, and its age at the end."""
    cost, age = 0.0, every
    while age < life and age <= latest:
        cost += VISIT
        if age >= fraction * life and rng.random() < sight:
            return cost + PLANNED, age
        age += every
    return (cost + FAILURE, life) if life <= latest else (cost + PLANNED, latest)


@pytest.mark.parametrize(
    ("every", "fraction", "sight", "latest"), [(60.0, 0.6, 0.5, 700.0), (45.0, 0.85, 0.8, np.inf), (90.0, 0.3, 0.2, 450.0)]
)
def test_looks_cost_what_a_part_by_part_simulation_costs(every, fraction, sight, latest):
    rng = np.random.default_rng(5)
    drawn = 500 * rng.weibull(2.5, 20_000)
    walked = np.array([one_life(life, every, rng, fraction, sight, latest) for life in drawn])
    cost, end = cost_and_end(drawn[:, None], Watch(np.array([every]), fraction, sight, VISIT), latest, PLANNED, FAILURE)
    assert cost.mean() == pytest.approx(walked[:, 0].mean(), rel=0.02)
    assert end.mean() == pytest.approx(walked[:, 1].mean(), rel=0.01)


def test_looks_that_see_all_end_every_life_at_the_first_look_within_its_delay_time():
    watch = Watch(np.array([100.0]), 0.8, 1.0, VISIT)
    cost, end = cost_and_end(np.array([[450.0], [390.0], [120.0]]), watch, np.inf, PLANNED, FAILURE)
    # Wear of 450 h shows from 360 h on: seen at 400 h, the fourth look. That of 390 h shows from 312 h on, and no look comes in time.
    assert end[:, 0] == pytest.approx([400.0, 390.0, 100.0])
    assert cost[:, 0] == pytest.approx([PLANNED + 4 * VISIT, FAILURE + 3 * VISIT, PLANNED + VISIT])


def test_looks_that_see_nothing_and_no_looks_at_all_leave_the_renewal_alone():
    life = np.array([[300.0], [800.0]])
    blind, none = Watch(np.array([100.0]), 0.8, 0.0, 0.0), Watch(np.array([np.inf]), 0.8, 1.0, VISIT)
    for watch in (blind, none):
        cost, end = cost_and_end(life, watch, 500.0, PLANNED, FAILURE)
        assert cost[:, 0] == pytest.approx([FAILURE, PLANNED])
        assert end[:, 0] == pytest.approx([300.0, 500.0])


def test_the_chance_to_see_wear_is_the_share_of_ends_that_were_caught():
    seen = lives("part", [300.0] * 39, [True] * 39).with_columns(ending=np.array(["condition"] * 9 + ["failed"] * 30, dtype=object))
    assert sight_of(case(lives=seen)) == pytest.approx(9.5 / 40)
