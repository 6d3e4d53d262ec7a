"""Groups get intervals of their own only where those differ and save enough."""

from dataclasses import replace

from pipelines.advice.case import Estimate
from pipelines.advice.telling_apart import worth_telling_apart
from pipelines.fits.blocks import Block
from pipelines.fits.posterior import Posterior
from pipelines.terms.settings import Settings
from tests.advice.made import believed, fleet, lives, positions, records, weibull

LIVES = lives("part", [400.0 + n for n in range(30)], [True] * 30)
HERE = fleet(
    positions("part", 10, water="salt").vstack(positions("part", 10, water="fresh")),
    costs=records("costs", {"component": "part", "planned_cost": 100.0, "failure_cost": 800.0}),
)


def mixed(*scales: float) -> Posterior:
    blocks: list[Block] = [
        replace(weibull(2.5, scale).blocks[0], weight=weibull(2.5, scale).blocks[0].weight / len(scales)) for scale in scales
    ]
    return Posterior(tuple(blocks), {"hours": max(scales)}, 0.0, "")


def groups(salt: float, fresh: float) -> list[Estimate]:
    return [
        Estimate("part", {"water": water}, weibull(2.5, scale), LIVES, every_life=LIVES)
        for water, scale in (("salt", salt), ("fresh", fresh))
    ]


def whole(*scales: float) -> Estimate:
    return Estimate("part", None, mixed(*scales), LIVES)


def test_groups_whose_lives_differ_twofold_are_worth_it():
    assert worth_telling_apart(whole(300.0, 600.0), groups(300.0, 600.0), HERE, Settings())


def test_groups_with_the_same_interval_are_not():
    assert not worth_telling_apart(whole(500.0, 500.0), groups(500.0, 500.0), HERE, Settings())


def test_groups_that_hardly_differ_are_not():
    assert not worth_telling_apart(whole(490.0, 510.0), groups(490.0, 510.0), HERE, Settings())


def test_without_costs_nothing_is_told_apart():
    assert not worth_telling_apart(whole(300.0, 600.0), groups(300.0, 600.0), replace(HERE, costs=records("costs")), Settings())


def test_a_part_fitted_badly_is_not_told_apart():
    early = lives("part", [2.0, 3.0, 4.0, 5.0, 6.0, *([400.0] * 30)], [True] * 35)
    badly = replace(whole(300.0, 600.0), posterior=believed(early), lives=early)
    assert not worth_telling_apart(badly, groups(300.0, 600.0), HERE, Settings())
