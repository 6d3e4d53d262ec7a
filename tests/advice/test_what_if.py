"""What-ifs and turning points against the verdict of records that say what was supposed."""

from dataclasses import replace

import numpy as np
import pytest

from pipelines.advice.case import Costs, Limit, Part
from pipelines.advice.prospect import Decision
from pipelines.advice.ruling import rule
from pipelines.advice.sensitivity import TURNS_SCHEMA, turning_points
from pipelines.advice.use import Use
from pipelines.advice.verdict import rows_of_cases
from pipelines.advice.weighing import weigh
from pipelines.advice.what_if import Supposed, supposed_case, with_random
from pipelines.advice.words import KEEP, RUN
from pipelines.fits.ages import ages_from_lives
from pipelines.fits.knowledge import Knowledge
from pipelines.fits.posterior import RANDOM, posterior
from pipelines.terms.settings import Prior, Settings
from tests.advice.made import believed, case, drawn_lives

HELD = drawn_lives(2.3, 500, 300, 40, seed=4)
PRIOR = Prior()
CASE = case(posterior=believed(HELD), lives=HELD)


def row_of(one):
    return rows_of_cases([one], Settings()).row(0, named=True)


def test_nothing_supposed_is_the_verdict_of_the_records():
    assert Supposed().is_nothing
    assert row_of(supposed_case(CASE, Supposed(), PRIOR.random)) == row_of(CASE)


@pytest.mark.parametrize(
    ("supposed", "recorded"),
    [
        (Supposed(failure_cost=20.0), {"costs": Costs(1.0, 20.0)}),
        (Supposed(planned_cost=3.0), {"costs": Costs(3.0, 5.0)}),
        (Supposed(every_h=90.0), {"today": Decision(90.0, None)}),
        (Supposed(max_h=70.0), {"limit": Limit(70.0, None, True, 70.0, None), "makers": ((Decision(70.0, None), 40),)}),
        (Supposed(year_h=480.0), {"use": Use(np.array([480.0]), np.ones(1))}),
    ],
)
def test_a_what_if_is_the_verdict_of_records_that_say_so(supposed, recorded):
    assert row_of(supposed_case(CASE, supposed, PRIOR.random)) == row_of(replace(CASE, **recorded))


def test_another_prior_chance_of_random_failure_is_what_a_fit_with_that_prior_gives():
    other = replace(PRIOR, random=0.6, wears_out=0.4 * 0.75 / 0.8, fails_young=0.4 * 0.05 / 0.8)
    fitted = posterior(ages_from_lives(HELD, "hours"), other, Knowledge(), "hours")
    weighed = with_random(believed(HELD), PRIOR.random, 0.6)
    assert weighed.weight_of(branch=RANDOM) == pytest.approx(fitted.weight_of(branch=RANDOM), abs=1e-4)
    assert weighed.limits("b10", 0.9) == pytest.approx(fitted.limits("b10", 0.9), rel=1e-2)


def test_the_case_of_the_records_is_left_as_it_is():
    before = row_of(CASE)
    supposed_case(CASE, Supposed(failure_cost=50.0, year_h=900.0, random=0.5), PRIOR.random)
    assert row_of(CASE) == before


def verdict_at(one, **supposed):
    moved = supposed_case(one, Supposed(**supposed), PRIOR.random)
    return rule(moved, weigh(moved, Settings()), Settings()).verdict


def test_a_verdict_turns_where_it_is_said_to():
    told = {row["assumption"]: row for row in turning_points(CASE, Settings()).iter_rows(named=True)}
    cost = told["cost of a failure"]
    assert cost["verdict_below"] == RUN
    assert verdict_at(CASE, failure_cost=0.9 * cost["turns_below"]) == RUN
    assert verdict_at(CASE, failure_cost=1.1 * cost["turns_below"]) == row_of(CASE)["verdict"]
    assert (cost["turns_above"], cost["now"], cost["least"], cost["most"]) == (None, 5.0, 1.25, 20.0)


def test_a_limit_is_an_assumption_only_where_it_must_be_kept():
    bound = replace(CASE, limit=Limit(120.0, None, True, 120.0, None))
    told = {row["assumption"]: row for row in turning_points(bound, Settings()).iter_rows(named=True)}
    assert row_of(bound)["verdict"] == KEEP
    assert told["limit, hours"]["turns_above"] is not None
    assert "limit, hours" not in turning_points(CASE, Settings())["assumption"].to_list()


def test_without_costs_nothing_can_turn():
    told = turning_points(replace(CASE, costs=None), Settings())
    assert told.is_empty()
    assert told.columns == list(TURNS_SCHEMA)


def test_a_safety_part_never_turns_to_run_to_failure():
    told = turning_points(replace(CASE, part=Part(safety=True)), Settings())
    assert RUN not in told["verdict_below"].to_list() + told["verdict_above"].to_list()
