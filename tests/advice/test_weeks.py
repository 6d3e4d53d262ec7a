"""The yard's weeks hold no more than its hours, the most urgent comes first, and no ceiling is passed without saying so."""

from datetime import date, timedelta
from itertools import product

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import weibull_min

from pipelines.advice.due import HORIZONS
from pipelines.advice.weeks import Job, chance_between, first_week, laid_into_weeks, lay, week_totals
from pipelines.terms.spoken import spoken_day
from tests.advice.made import TODAY, unhurried

MONDAY = first_week(TODAY)
WEEKS = st.integers(0, 3)
JOBS = st.lists(st.builds(Job, st.sampled_from([0.5, 1.0, 2.0, 3.5, 9.0]), WEEKS, st.none() | WEEKS), max_size=9)
OF_ONE_LENGTH = st.builds(Job, st.just(1.0), WEEKS, st.none() | WEEKS)


def task(**other) -> dict:
    plain = {
        "vessel_id": "v0",
        "engine_id": "e0",
        "component": "part",
        "position": None,
        "task": "renew",
        "labour_h": 2.0,
        "labour_from": "median of 9 ticket lines",
        "due_on": TODAY + timedelta(days=1),
        "overdue": False,
        "deferred_until": None,
        "ceiling_on": None,
        "failure_cost": 100.0,
        **{f"chance_{days}": days / 1000 for days in HORIZONS},
    }
    return plain | other


SCHEMA = {"position": pl.String, "deferred_until": pl.Date, "ceiling_on": pl.Date, "due_on": pl.Date, "engine_id": pl.String}


def weeks(*tasks: dict, hours: float = 4.0, tied: tuple[str, ...] = ()) -> pl.DataFrame:
    return laid_into_weeks(pl.DataFrame(tasks, schema_overrides=SCHEMA), tied, TODAY, hours)


def in_week(rows: pl.DataFrame) -> dict[str, int]:
    return {row["component"]: (row["week"] - MONDAY).days // 7 for row in rows.to_dicts()}


def test_the_first_week_is_the_one_that_still_has_a_day():
    assert first_week(date(2026, 6, 3)) == date(2026, 6, 1)
    assert first_week(date(2026, 6, 6)) == date(2026, 6, 1)
    assert first_week(date(2026, 6, 7)) == date(2026, 6, 8)


def test_a_task_goes_into_the_week_it_falls_due():
    later = task(component="later", due_on=MONDAY + timedelta(days=15))
    assert in_week(weeks(task(), later)) == {"part": 0, "later": 2}


def test_what_is_overdue_comes_before_what_falls_due():
    late = task(component="late", due_on=TODAY - timedelta(days=9), overdue=True, labour_h=3.0)
    assert in_week(weeks(task(labour_h=3.0), late)) == {"late": 0, "part": 1}


def test_a_boat_that_is_tied_up_comes_first_of_all():
    long_late = task(component="long late", due_on=TODAY - timedelta(days=90), overdue=True, labour_h=3.0)
    tied = task(component="tied", vessel_id="v1", due_on=TODAY - timedelta(days=1), overdue=True, labour_h=3.0)
    assert in_week(weeks(long_late, tied, tied=("v1",))) == {"tied": 0, "long late": 1}


def test_of_two_due_on_one_day_the_one_that_risks_more_money_comes_first():
    cheap, dear = task(component="cheap", labour_h=3.0), task(component="dear", labour_h=3.0, failure_cost=900.0)
    assert in_week(weeks(cheap, dear)) == {"dear": 0, "cheap": 1}


def test_a_task_that_is_put_off_is_laid_into_the_week_of_its_day():
    put_off = task(deferred_until=MONDAY + timedelta(days=16), due_on=TODAY - timedelta(days=5))
    assert in_week(weeks(put_off)) == {"part": 2}


def test_a_full_week_moves_a_task_to_an_earlier_one_before_it_slips():
    day = MONDAY + timedelta(days=8)
    told = weeks(*(task(component=name, due_on=day, labour_h=3.0) for name in "ab"))
    assert in_week(told) == {"a": 1, "b": 0}
    assert told["note"].to_list() == [None, None]


def test_a_task_that_slips_says_where_it_goes_and_the_chance_that_it_fails_meanwhile():
    told = weeks(*(task(component=name, labour_h=3.0) for name in "ab")).filter(pl.col("weeks_late") > 0).row(0, named=True)
    assert told["week"] == MONDAY + timedelta(days=7)
    assert told["failure_meanwhile"] == pytest.approx(0.00703, rel=0.02)
    assert told["note"] == "does not fit in the week of 1 Jun 2026: slips to 8 Jun 2026, 0.7 % chance that it fails meanwhile"


def test_a_task_with_a_ceiling_goes_before_the_others_rather_than_miss_it():
    first = task(component="first", labour_h=3.0, due_on=TODAY - timedelta(days=3), overdue=True)
    kept = task(component="kept", labour_h=3.0, ceiling_on=MONDAY + timedelta(days=2), due_on=MONDAY + timedelta(days=1))
    assert in_week(weeks(first, kept)) == {"kept": 0, "first": 1}
    roomy = kept | {"ceiling_on": MONDAY + timedelta(days=9)}
    assert in_week(weeks(first, roomy)) == {"first": 0, "kept": 1}


def test_a_ceiling_that_cannot_be_kept_is_told():
    both = [task(component=name, labour_h=3.0, ceiling_on=MONDAY + timedelta(days=2)) for name in "ab"]
    told = weeks(*both).filter("past_ceiling").row(0, named=True)
    assert f"passes what must be kept on {spoken_day(told['ceiling_on'])}: from then the boat stays tied up" in told["note"]
    passed = [task(component=name, labour_h=3.0, ceiling_on=TODAY - timedelta(days=2)) for name in "ab"]
    told = weeks(*passed).filter("past_ceiling").row(0, named=True)
    assert f"past what must be kept since {spoken_day(told['ceiling_on'])}: the boat stays tied up until it is done" in told["note"]


def test_an_overdue_task_of_a_boat_tied_up_by_another_has_no_ceiling_of_its_own():
    both = [task(component=name, labour_h=3.0, due_on=TODAY - timedelta(days=9), overdue=True) for name in "ab"]
    told = weeks(*both, tied=("v0",)).filter(pl.col("weeks_late") > 0).row(0, named=True)
    assert told["past_ceiling"] is False


def test_a_task_longer_than_a_week_has_a_week_for_itself_and_says_so():
    told = weeks(task(component="long", labour_h=9.0), task(component="short"))
    assert in_week(told) == {"long": 0, "short": 1}
    assert told["note"][0] == "takes 9 h, more than a week of 4 h"


def test_without_hours_a_week_nothing_slips():
    told = weeks(*(task(component=str(place)) for place in range(30)), hours=0)
    assert told["weeks_late"].sum() == 0


def test_a_part_of_unknown_age_is_looked_at_in_the_first_week():
    assert in_week(weeks(task(due_on=None, overdue=None))) == {"part": 0}


def test_the_totals_of_the_weeks_count_every_task_once():
    told = weeks(*(task(component=str(place)) for place in range(7)))
    totals = week_totals(told)
    assert (totals["jobs"].sum(), totals["labour_h"].sum()) == (7, 14.0)
    assert totals["slipped"].sum() == told.filter(pl.col("weeks_late") > 0).height


def test_nothing_due_needs_no_week():
    assert laid_into_weeks(pl.DataFrame([task()], schema_overrides=SCHEMA).clear(), (), TODAY, 4.0).is_empty()


@unhurried
@given(JOBS, st.sampled_from([1.0, 3.0, 5.0]))
def test_no_week_holds_more_than_its_hours_unless_one_longer_task_has_it_alone(jobs, hours):
    given_weeks = lay(jobs, hours)
    for week in set(given_weeks):
        held = [job.labour_h for job, place in zip(jobs, given_weeks, strict=True) if place == week]
        assert sum(held) <= hours + 1e-9 or len(held) == 1


@unhurried
@given(st.lists(OF_ONE_LENGTH, max_size=4), st.sampled_from([1.0, 2.0]))
def test_where_any_plan_found_by_brute_force_keeps_every_ceiling_ours_does(jobs, hours):
    assert _kept(jobs, hours) == any(_keeps(jobs, plan, hours) for plan in product(range(6), repeat=len(jobs)))


@unhurried
@given(st.lists(OF_ONE_LENGTH, max_size=12), st.sampled_from([1.0, 2.0]))
def test_ceilings_are_kept_exactly_where_no_stretch_of_weeks_is_asked_for_more_than_it_holds(jobs, hours):
    assert _kept(jobs, hours) == _halls_condition(jobs, hours)


def _kept(jobs, hours) -> bool:
    return all(job.last is None or week <= job.last for job, week in zip(jobs, lay(jobs, hours), strict=True))


def _keeps(jobs, plan, hours) -> bool:
    """Whether one plan, by brute force, fits and keeps every ceiling."""
    full = any(sum(job.labour_h for job, week in zip(jobs, plan, strict=True) if week == w) > hours for w in set(plan))
    return not full and all(job.last is None or week <= job.last for job, week in zip(jobs, plan, strict=True))


def _halls_condition(jobs, hours) -> bool:
    """Tasks of one hour fit before their ceilings exactly where no stretch of weeks is asked for more than it holds (Hall 1935)."""
    return all(sum(job.last is not None and job.last <= week for job in jobs) <= (week + 1) * int(hours) for week in range(5))


@unhurried
@given(JOBS)
def test_the_first_of_the_list_is_never_laid_later_than_it_wants_unless_a_ceiling_asks_for_its_place(jobs):
    given_weeks = lay(jobs, 5.0)
    if jobs and not any(job.last is not None for job in jobs):
        assert given_weeks[0] == jobs[0].wanted


# The chance between two days of an even hazard, and of a Weibull law in days by scipy's own distribution, read off its grid.
def test_the_chance_between_two_days_is_the_laws_own():
    even = [(days, 1 - 2.718281828 ** (-0.002 * days)) for days in HORIZONS]
    assert chance_between(even, 20, 50) == pytest.approx(1 - 2.718281828 ** (-0.06))
    assert chance_between(even, 120, 150) == pytest.approx(1 - 2.718281828 ** (-0.06))
    law = weibull_min(2.2, scale=200)
    grid = [(days, float(law.cdf(days))) for days in HORIZONS]
    assert chance_between(grid, 14, 60) == pytest.approx(float(1 - law.sf(60) / law.sf(14)))
    assert chance_between([(14, None)], 0, 14) is None
    assert chance_between(grid, 14, 14) is None
