from datetime import date

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.advice.current_plan import with_interval
from tests.advice.made import positions, records, unhurried

HERE = pl.concat([positions("impeller", 1), positions("impeller", 1, engine_model="M60"), positions("impeller", 1, base="south")])


def interval(plan=(), limits=(), task="renew"):
    known = with_interval(HERE, records("plan", *plan), records("limits", *limits), task)
    return known.select("every_h", "every_months").rows()


def plan(every_h, model=None, base=None, on=None, months=None, task=None):
    return {
        "component": "impeller",
        "engine_model": model,
        "base": base,
        "every_h": every_h,
        "every_months": months,
        "adopted_on": on,
        "task": task,
    }


def limit(max_h, model=None, months=None, **more):
    return {"component": "impeller", "task": "renew", "engine_model": model, "max_h": max_h, "max_months": months, **more}


def test_a_rule_for_model_and_base_outranks_one_for_the_model_the_base_and_all():
    rules = [plan(1), plan(2, base="south"), plan(3, model="M60"), plan(4, model="M40", base="north")]
    assert interval(rules) == [(4, None), (3, None), (2, None)]


def test_the_latest_adopted_of_like_rules_is_in_force():
    rules = [plan(2, on=date(2025, 3, 1)), plan(3, on=date(2026, 3, 1)), plan(1, on=None)]
    assert interval(rules) == [(3, None)] * 3


def test_a_finer_rule_stays_though_a_general_one_came_later():
    rules = [plan(2, model="M60", on=date(2024, 1, 1)), plan(9, on=date(2026, 1, 1))]
    assert interval(rules) == [(9, None), (2, None), (9, None)]


def test_without_a_plan_the_makers_limit_is_todays_interval():
    known = with_interval(HERE, records("plan"), records("limits", limit(200, months=24)))
    assert known.select("every_h", "every_months", "interval_from").rows() == [(200, 24, "limit")] * 3


def test_a_plan_to_wait_for_the_failure_is_a_plan():
    known = with_interval(HERE, records("plan", plan(None)), records("limits"))
    assert known.select("every_h", "every_months", "interval_from").rows() == [(None, None, "plan")] * 3


def test_nothing_known_is_told_from_a_plan_to_wait():
    assert with_interval(HERE, records("plan"), records("limits"))["interval_from"].to_list() == [None] * 3


def test_a_limit_that_must_be_kept_caps_the_plan():
    assert interval([plan(500)], [limit(200)]) == [(200, None)] * 3
    assert interval([plan(None)], [limit(200)]) == [(200, None)] * 3


@pytest.mark.parametrize(("note", "passed"), [(None, False), ("  ", False), ("approved by the maker in writing", True)])
def test_a_limit_that_is_not_binding_is_passed_only_with_approval(note, passed):
    assert interval([plan(500)], [limit(200, binding=False, approval_note=note)])[0][0] == (500 if passed else 200)


def test_a_limit_of_the_model_outranks_the_general_limit():
    assert interval((), [limit(200), limit(150, model="M60")]) == [(200, None), (150, None), (200, None)]


def test_other_tasks_are_other_plans():
    rules = [plan(50, task="inspect"), plan(300)]
    assert interval(rules, task="inspect") == [(50, None)] * 3
    assert interval(rules) == [(300, None)] * 3
    assert interval(rules, task="test") == [(None, None)] * 3


def test_an_empty_word_is_no_condition():
    assert interval([plan(100, model="", base=" ")]) == [(100, None)] * 3


ages = st.one_of(st.none(), st.floats(1, 1000))


@unhurried
@given(
    st.lists(st.builds(plan, ages, st.sampled_from([None, "M40", "M60"]), st.sampled_from([None, "north"])), max_size=5), st.floats(1, 1000)
)
def test_no_plan_passes_a_binding_limit(rules, ceiling):
    assert all(every_h is not None and every_h <= ceiling for every_h, _ in interval(rules, [limit(ceiling)]))
