"""Which of a few things to carry within money and weight so that they stop most tows: exact, by keeping what nothing else beats.

In: things with price, weight and gain, and the tools they take. Out: the best set for every sum of money.
Elsewhere: what a thing gains (`kit_tows`), which things there are (`kit`).

References
----------
Nemhauser, G. L. and Ullmann, Z. (1969). Discrete dynamic programming and capital allocation. Management Science 15(9), 494-505.
"""

import math
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

PLACES = 6
NEARLY = 1e-6


@dataclass(frozen=True)
class Thing:
    """Something to carry: tows it stops, money, kilograms (0: not known or none), and the tools it takes."""

    gain: float
    price: float
    weight: float = 0.0
    tools: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Choice:
    """A set of things: what it costs and weighs with its tools, the tows it stops, and the places of its things, rising."""

    price: float
    weight: float
    gain: float
    things: tuple[int, ...]


NOTHING = Choice(0.0, 0.0, 0.0, ())
_Held = dict[frozenset[str], list[Choice]]


def best_choices(
    things: Sequence[Thing],
    tools: Mapping[str, tuple[float, float]],
    budget: float = math.inf,
    most_weight: float = math.inf,
) -> list[Choice]:
    """Return the best choices, each dearer than the one before and stopping more tows; the first is nothing.

    Parameters
    ----------
    things
        What there is, each once; gains 0 or more.
    tools
        (Price, weight) of tools that have to be bought; a tool serves all things that take it. One that is not here is aboard already.
    budget, most_weight
        Limits in money and kilograms.

    Notes
    -----
    Choices with the same tools are compared in price, weight and gain; one that another equals or beats in all three is dropped, for
    whatever is added to it could be added to the other [1]_. So no limit and no price has to be a whole number.

    References
    ----------
    .. [1] Nemhauser, G. L. and Ullmann, Z. (1969). Discrete dynamic programming and capital allocation. Management Science 15(9), 494-505.
    """
    held: _Held = {frozenset(): [NOTHING]}
    weighed = math.isfinite(most_weight)
    for place, thing in enumerate(things):
        needed = frozenset(tool for tool in thing.tools if tool in tools)
        added: _Held = {}
        for owned, choices in held.items():
            bought = [tools[tool] for tool in needed - owned]
            grown = (_grown(choice, place, thing, bought) for choice in choices)
            fitting = [one for one in grown if one.price <= budget + NEARLY and one.weight <= most_weight + NEARLY]
            added.setdefault(owned | needed, []).extend(fitting)
        for owned in added:
            held[owned] = _unbeaten([*held.get(owned, []), *added[owned]], weighed)
    return _unbeaten([choice for choices in held.values() for choice in choices], weighed=False)


def _grown(choice: Choice, place: int, thing: Thing, bought: Sequence[tuple[float, float]]) -> Choice:
    # Rounded far below a cent and a gram, so that the same things cost the same in whatever order they were added up.
    price = round(choice.price + thing.price + sum(one[0] for one in bought), PLACES)
    weight = round(choice.weight + thing.weight + sum(one[1] for one in bought), PLACES)
    return Choice(price, weight, choice.gain + thing.gain, (*choice.things, place))


def _unbeaten(choices: list[Choice], weighed: bool) -> list[Choice]:
    """Drop every choice that another equals or beats in price, gain and (if it is `weighed`) weight; those left stand by price.

    Gone through by rising price, only the lightest for each gain so far has to be remembered.
    """
    weights: list[float] = []
    gains: list[float] = []
    kept = []
    for choice in sorted(choices, key=lambda one: (one.price, one.weight if weighed else 0.0, -one.gain, one.weight)):
        weight = choice.weight if weighed else 0.0
        place = bisect_right(weights, weight)
        if place and gains[place - 1] >= choice.gain:
            continue
        beaten = bisect_right(gains, choice.gain, lo=place)
        start = place - 1 if place and weights[place - 1] == weight else place
        weights[start:beaten], gains[start:beaten] = [weight], [choice.gain]
        kept.append(choice)
    return kept
