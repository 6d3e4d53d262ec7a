"""Every due row says in plain sentences why: by which rule and whose, how far over or when, and the chance of failing."""

from datetime import date, timedelta

import numpy as np
import polars as pl
import pytest
from scipy.stats import weibull_min

from pipelines.advice.case import Estimate
from pipelines.advice.due import due_rows, due_tasks
from tests.advice.made import TODAY, derived, even_use, fleet, positions, records, weibull
from tests.advice.test_due import MONTH, NO_LOOKS, due, every, running

SIGNED = {"adopted_by": "Yard office", "adopted_on": date(2026, 3, 1)}


def said(*lives, **other) -> str:
    return due(*lives, **other)["because"][0]


def test_an_adopted_plan_is_told_with_who_and_when_and_how_far_it_is_over():
    told = said(running(212.0, 9.0), plan=[every(200, 12) | SIGNED])
    assert told == (
        "To be renewed every 200 h or 12 months, whichever comes first, by the plan adopted by Yard office on 1 Mar 2026: "
        "212 h and 9 months, 12 h over."
    )


def test_a_day_to_come_says_what_it_is_forecast_from():
    told = said(running(180.0), plan=[every(200)])
    assert told.startswith("To be renewed every 200 h, by the plan on record: 180 h, 20 h left, due on 2 Jul 2026 by ")
    assert told.endswith("by this engine's own use in each month.")
    assert said(running(10.0, 11.0), plan=[every(None, 12)]).endswith("11 months, due on 2 Jul 2026 by the calendar.")


def test_a_limit_is_told_as_a_limit():
    limits = [{"component": "part", "task": "renew", "max_h": 150.0}]
    assert "by the maker's or legal limit: 160 h, 10 h over" in said(running(160.0), limits=limits)
    cut = said(running(160.0), limits=limits, plan=[every(500)])
    assert "every 150 h, by the plan on record, cut to the limit that must be kept" in cut


def test_a_failed_part_says_when_it_failed():
    life = {**running(100.0, ending="found failed"), "ended_on": date(2026, 5, 20)}
    assert said(life) == "It failed on 20 May 2026 and no renewal is recorded since."


def test_a_part_of_unknown_age_says_so():
    assert "no fitting is recorded, so its age is not known" in said(plan=[every(200)])


def test_an_engine_whose_use_is_unknown_says_that_no_day_can_be_told():
    told = due(running(100.0), plan=[every(200)], use=even_use(0))
    assert told["due_on"][0] is None
    assert "how this engine is used is not known, so no day can be told" in told["because"][0]


def test_a_part_whose_hours_are_unknown_says_so_and_falls_due_by_the_calendar_if_it_can():
    unknown = running(None, 5.0)
    assert "5 months, but its engine hours are not known, so no day can be told" in said(unknown, plan=[every(200)])
    assert (due(unknown, plan=[every(200, 12)])["due_on"][0] - TODAY).days == pytest.approx(7 * MONTH, abs=1)


def test_each_engine_falls_due_by_its_own_season_also_across_the_winter():
    north = even_use(1, 240.0, months=(6, 7, 8))
    south = even_use(2, 240.0, months=(12, 1, 2)).filter(pl.col("engine_id") == "e1")
    lives = [running(100.0, engine="e0"), {**running(100.0, engine="e1"), "vessel_id": "v1"}]
    rows = due(*lives, plan=[every(140)], count=2, use=pl.concat([north, south]))
    days = dict(rows.select("engine_id", "due_on").rows())
    assert date(2026, 6, 10) < days["e0"] < date(2026, 6, 25)
    assert date(2026, 12, 10) < days["e1"] < date(2026, 12, 25)
    over_winter = due(lives[0], plan=[every(100 + 250)], use=north)["due_on"][0]
    assert date(2027, 5, 31) < over_winter < date(2027, 6, 15)


def test_a_list_of_today_alone_tells_no_chance():
    made = fleet(positions("part", 1), engine_use=even_use(1), plan=records("plan", every(200)))
    row = due_rows(due_tasks(made, derived("lives", running(230.0)), NO_LOOKS, (), TODAY), TODAY, 0).row(0, named=True)
    assert (row["overdue"], row["failure_probability"]) == (True, 0.0)
    assert "Chance" not in row["because"]


def test_an_engine_whose_use_is_unknown_still_falls_due_by_the_calendar():
    row = due(running(100.0, 11.0), plan=[every(200, 12)], use=even_use(0)).row(0, named=True)
    assert row["due_on"] == TODAY + timedelta(days=31)
    assert "by the calendar" in row["because"]


def test_an_engine_that_never_runs_has_no_day_by_hours_and_is_not_listed():
    assert due(running(100.0), plan=[every(200)], use=even_use(1, year_h=0.0), within=365).is_empty()


# Conditional survival of a Weibull law, by scipy's own distribution: P(T <= a + d | T > a) = 1 - S(a + d) / S(a).
@pytest.mark.parametrize(("shape", "scale", "age"), [(2.5, 400.0, 300.0), (1.0, 400.0, 20.0), (3.5, 250.0, 240.0), (0.7, 900.0, 5.0)])
@pytest.mark.parametrize("days", [14, 30, 60, 120])
def test_the_chance_before_the_next_visit_is_the_conditional_weibull_chance_at_the_present_age(shape, scale, age, days):
    made = fleet(positions("part", 1), engine_use=even_use(1), plan=records("plan", every(5000)))
    law = Estimate("part", None, weibull(shape, scale), derived("lives"))
    tasks = due_tasks(made, derived("lives", running(age)), NO_LOOKS, [law], TODAY)
    row = due_rows(tasks, TODAY, 36_500, days).row(0, named=True)
    ahead = 240.0 * days / 365.25
    exact = 1 - weibull_min.sf(age + ahead, shape, scale=scale) / weibull_min.sf(age, shape, scale=scale)
    assert row["failure_probability"] == pytest.approx(float(exact), rel=0.005)
    assert f"in the next {days} days at its present age" in row["because"]


def test_the_chance_counts_the_months_of_the_engines_own_season():
    made = fleet(positions("part", 1), engine_use=even_use(1, 240.0, months=(6, 7, 8)), plan=records("plan", every(5000)))
    law = Estimate("part", None, weibull(2.5, 400.0), derived("lives"))
    winter = due_tasks(made, derived("lives", running(300.0)), NO_LOOKS, [law], date(2026, 11, 1))
    assert due_rows(winter, date(2026, 11, 1), 36_500, 120)["failure_probability"][0] == pytest.approx(0.0, abs=1e-9)
    summer = due_tasks(made, derived("lives", running(300.0)), NO_LOOKS, [law], date(2026, 5, 31))
    exact = 1 - np.exp((300 / 400) ** 2.5 - ((300 + 30 * 240 / 91.3) / 400) ** 2.5)
    assert due_rows(summer, date(2026, 5, 31), 36_500, 30)["failure_probability"][0] == pytest.approx(float(exact), rel=0.02)
