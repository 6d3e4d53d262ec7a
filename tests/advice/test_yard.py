import numpy as np
import polars as pl
import pytest

from pipelines.advice.current_plan import with_interval
from pipelines.advice.habits import TO_THE_LETTER
from pipelines.advice.present import present_parts
from pipelines.advice.yard import Yard, as_kept_so_far, oldest_of, yard_habits
from tests.advice.made import TODAY, even_use, fleet, lives, positions, records

RNG = np.random.default_rng(5)
PLAN, NO_PLAN = records("plan", {"component": "part", "every_h": 100.0}), records("plan")


def planned(count, around=100.0, spread=3.0):
    return lives("part", list(RNG.normal(around, spread, count)), [False] * count, engine_id="e0", vessel_id="v0")


def here(plan=NO_PLAN):
    parts = present_parts(positions("part", 3), lives("part", [], []), even_use(3))
    return with_interval(parts, plan, records("limits"))


def test_with_few_renewals_seen_the_plan_is_kept_to_the_letter():
    made = fleet(positions("part"), plan=PLAN)
    assert yard_habits(planned(9), made)[""] is TO_THE_LETTER
    assert TO_THE_LETTER.middle == pytest.approx(1)
    assert TO_THE_LETTER.kept(np.array([0.5, 0.999, 1.001])).tolist() == [1.0, 1.0, 0.0]


@pytest.mark.parametrize("late", [0.85, 1.0, 1.2])
def test_a_yard_that_renews_late_or_early_is_read_so(late):
    made = fleet(positions("part"), plan=PLAN)
    assert yard_habits(planned(40, 100 * late), made)["part"].middle == pytest.approx(late, abs=0.03)


def test_where_no_interval_is_in_force_the_one_kept_so_far_counts():
    scattered = planned(20, 150.0).with_columns(low_months=pl.Series(RNG.uniform(2, 20, 20)))
    filled, kept = as_kept_so_far(here(), scattered)
    assert filled["every_h"].to_list() == pytest.approx([150.0] * 3, abs=3)
    assert filled["every_months"].to_list() == [None] * 3
    assert kept.endswith(" h")


def test_an_interval_in_force_or_a_plan_to_let_fail_stays():
    for plan in (PLAN, records("plan", {"component": "part"})):
        filled, kept = as_kept_so_far(here(plan), planned(20, 150.0))
        assert filled["every_h"].to_list() == here(plan)["every_h"].to_list()
        assert kept == ""


def test_few_renewals_do_not_make_an_interval():
    assert as_kept_so_far(here(), planned(9))[1] == ""


def test_a_part_is_no_older_than_its_engine():
    engines = pl.DataFrame(
        {"engine_id": ["e0", "e1"], "commissioned_on": [TODAY.replace(year=2024), None]}, schema_overrides={"commissioned_on": pl.Date}
    )
    oldest = oldest_of(here(), Yard(engines=engines), TODAY)
    assert oldest[0] == pytest.approx(24, abs=0.1)
    assert oldest[1:].to_list() == [None, None]
