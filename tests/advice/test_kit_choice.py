"""The exact choice against trying every set, and what must hold for any choice."""

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.advice.kit_choice import NOTHING, Choice, Thing, best_choices
from tests.advice.made import unhurried

MONEY = st.integers(0, 4_000).map(lambda cents: cents / 100)
KILOGRAMS = st.integers(0, 300).map(lambda part: part / 100)
TOOLS = st.dictionaries(st.sampled_from("abc"), st.tuples(MONEY, KILOGRAMS), max_size=3)
THING = st.builds(Thing, st.floats(0, 1), MONEY, KILOGRAMS, st.frozensets(st.sampled_from("abcd"), max_size=2))
THINGS = st.lists(THING, max_size=8)
LIMIT = st.one_of(st.just(math.inf), st.integers(0, 90).map(float))


def tried_all(things: list[Thing], tools: dict[str, tuple[float, float]], budget: float, most_weight: float) -> float:
    """The most that any set within the limits stops: every set is tried."""
    best = 0.0
    for places in itertools.product((False, True), repeat=len(things)):
        chosen = [thing for thing, is_in in zip(things, places, strict=True) if is_in]
        bought = [tools[tool] for tool in {tool for thing in chosen for tool in thing.tools} & tools.keys()]
        price = sum(thing.price for thing in chosen) + sum(one[0] for one in bought)
        weight = sum(thing.weight for thing in chosen) + sum(one[1] for one in bought)
        if price <= budget + 1e-6 and weight <= most_weight + 1e-6:
            best = max(best, sum(thing.gain for thing in chosen))
    return best


@given(THINGS, TOOLS, LIMIT, LIMIT)
@unhurried
def test_no_set_within_the_limits_stops_more_than_the_choice(things, tools, budget, most_weight):
    chosen = best_choices(things, tools, budget, most_weight)[-1]
    assert chosen.gain == pytest.approx(tried_all(things, tools, budget, most_weight))
    assert chosen.price <= budget + 1e-6
    assert chosen.weight <= most_weight + 1e-6


@given(THINGS, TOOLS, LIMIT)
@unhurried
def test_every_step_of_the_curve_is_the_best_for_its_money_and_each_stops_more(things, tools, most_weight):
    curve = best_choices(things, tools, math.inf, most_weight)
    assert [one.price for one in curve] == sorted({one.price for one in curve})
    assert all(later.gain > earlier.gain for earlier, later in itertools.pairwise(curve))
    for one in curve:
        assert one.gain == pytest.approx(tried_all(things, tools, one.price, most_weight))


def test_a_small_case_by_hand():
    """Budget 10: the pair of 6 and 4 stops 0.7; the single best buy per money (0.5 for 5) leaves 5 that buys nothing."""
    things = [Thing(0.5, 5.0), Thing(0.45, 6.0), Thing(0.25, 4.0)]
    assert best_choices(things, {}, 10.0)[-1] == Choice(9.0, 0.0, 0.75, (0, 2))
    assert best_choices([Thing(0.5, 7.0), Thing(0.35, 5.0), Thing(0.35, 5.0)], {}, 10.0)[-1].things == (1, 2)


def test_a_tool_is_bought_once_for_all_that_take_it():
    things = [Thing(0.1, 1.0, tools=frozenset({"spanner"})), Thing(0.1, 1.0, tools=frozenset({"spanner"}))]
    assert best_choices(things, {"spanner": (5.0, 0.4)})[-1] == Choice(7.0, 0.4, 0.2, (0, 1))
    assert best_choices(things, {"spanner": (5.0, 0.4)}, 5.9) == [NOTHING]
    assert best_choices(things, {})[-1].price == 2.0


def test_with_nothing_to_carry_nothing_is_chosen():
    assert best_choices([], {}) == [NOTHING]
