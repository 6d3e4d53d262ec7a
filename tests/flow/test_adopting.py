"""What is adopted is what was advised: then every position has the interval of its own row, whatever stood in the plan before."""

from datetime import date

import polars as pl
import pytest

from pipelines.advice.case import Fleet
from pipelines.advice.current_plan import with_interval
from pipelines.errors import WrongInput
from pipelines.flow.adopting import Adoption, plan_rows
from pipelines.terms.scope import Scope
from tests.advice.made import fleet, positions, records

ADVISED = Adoption(("part",), None, None, "office", "trial")
BY_MODEL = [
    {"component": "part", "group": {"engine_model": "M40", "water": None}, "renew_h": 300.0, "renew_months": None},
    {"component": "part", "group": {"engine_model": "M60", "water": None}, "renew_h": 500.0, "renew_months": None},
]
BY_WATER = [
    {"component": "part", "group": {"water": "salt"}, "renew_h": None, "renew_months": 24.0},
    {"component": "part", "group": {"water": "fresh"}, "renew_h": None, "renew_months": 60.0},
]
PLACES = pl.concat(
    positions("part", 3, engine_model=model, base=base, water=water)
    for model in ("M40", "M60")
    for base, water in (("north", "salt"), ("lake", "fresh"))
)


def adopted(verdicts: list[dict], adoption: Adoption, here: Fleet) -> pl.DataFrame:
    """Positions with the interval in force once the rows stand in the plan."""
    rows = plan_rows(verdicts, adoption, Scope(), 1, here)
    plan = pl.concat([here.plan, records("plan", *rows)])
    return with_interval(here.positions, plan, here.limits)


OLD_PLANS = (
    (),
    ({"every_h": 100.0},),
    ({"engine_model": "M40", "every_h": 111.0},),
    ({"base": "lake", "every_months": 12.0},),
    ({"engine_model": "M60", "base": "north", "every_h": 99.0}, {"base": "north", "every_h": 98.0}),
)


@pytest.mark.parametrize("old", OLD_PLANS)
@pytest.mark.parametrize(("verdicts", "column"), [(BY_MODEL, "engine_model"), (BY_WATER, "water")])
def test_every_position_gets_the_interval_advised_for_its_group(old, verdicts, column):
    here = fleet(PLACES, plan=records("plan", *({"component": "part", "adopted_on": date(2020, 1, 1), **row} for row in old)))
    found = adopted(verdicts, ADVISED, here)
    for row in verdicts:
        of_group = found.filter(pl.col(column) == row["group"][column])
        assert of_group.select("every_h", "every_months").unique().rows() == [(row["renew_h"], row["renew_months"])]


@pytest.mark.parametrize("old", OLD_PLANS)
def test_an_interval_given_by_hand_holds_for_all(old):
    here = fleet(PLACES, plan=records("plan", *({"component": "part", "adopted_on": date(2020, 1, 1), **row} for row in old)))
    found = adopted(BY_WATER, Adoption(("part",), 250.0, None, "office", "trial"), here)
    assert found.select("every_h", "every_months").unique().rows() == [(250.0, None)]


def test_rows_of_other_parts_and_tasks_are_left_alone():
    here = fleet(PLACES, plan=records("plan", {"component": "part", "task": "inspect", "base": "lake", "every_months": 3.0}))
    assert len(plan_rows([BY_WATER[0] | {"group": None}], ADVISED, Scope(), 1, here)) == 1


def test_a_limit_holds_for_every_group():
    here = fleet(PLACES, limits=records("limits", {"component": "part", "task": "renew", "max_h": 400.0}))
    with pytest.raises(WrongInput, match="passes the limit of 400"):
        plan_rows(BY_MODEL, ADVISED, Scope(), 1, here)
