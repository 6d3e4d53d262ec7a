"""A month of work and the yard's weeks: every day and week there, shapes that tell apart what colours do."""

from calendar import monthrange
from datetime import date, timedelta

import polars as pl
import pytest

from dashboard.charts.month_grid import WEEKDAYS, month_grid
from dashboard.charts.theme import ALARM, CEILING, FIGURE, HELD, LABEL, MEASURED
from dashboard.charts.week_hours import week_hours_chart
from dashboard.sentences.due import calendar_days, week_lines
from pipelines.advice.weeks import week_totals
from tests.dashboard import invented
from tests.dashboard.charts.reading import every_row, marks, rows, titles

TODAY = invented.TODAY


def grid(month: date = TODAY):
    return month_grid(calendar_days(invented.due(), TODAY), month, TODAY)


@pytest.mark.parametrize("month", [date(2024, 2, 1), date(2025, 9, 30), date(2026, 2, 14), date(2025, 12, 1)])
def test_every_day_of_the_month_has_its_own_field_on_its_weekday(month: date):
    told = {row["number"]: (row["week"], row["weekday"]) for row in every_row(grid(month))}
    assert sorted(told) == list(range(1, monthrange(month.year, month.month)[1] + 1))
    assert len(set(told.values())) == len(told)
    first = month.replace(day=1)
    for number, (week, weekday) in told.items():
        day = first + timedelta(days=number - 1)
        assert weekday == WEEKDAYS[day.weekday()]
        monday = day - timedelta(days=day.weekday())
        assert week == (monday - (first - timedelta(days=first.weekday()))).days // 7


def test_every_job_of_the_month_is_counted_on_its_day():
    october = [row for row in every_row(grid(date(2025, 10, 1))) if row["jobs"]]
    asked = invented.due().filter((pl.col("due_on") >= date(2025, 10, 1)) & (pl.col("due_on") < date(2025, 11, 1)))
    assert sum(row["jobs"] for row in october) == asked.height


def test_overdue_jobs_stand_on_the_day_of_the_list_as_triangles():
    late = int(invented.due()["overdue"].sum())
    today = next(row for row in every_row(grid()) if row["today"])
    assert today["overdue"] == late
    assert {mark["shape"] for mark in marks(grid(), ALARM)} == {"triangle-left"}
    assert {mark["shape"] for mark in marks(grid(), MEASURED)} == {"circle"}


def test_a_month_without_work_is_drawn_all_the_same():
    assert sum(row["jobs"] for row in every_row(grid(date(2031, 5, 1)))) == 0


def weeks(hours: float | None = 6.0):
    return week_hours_chart(week_lines(week_totals(invented.weeks()), hours), hours)


def test_each_week_has_its_bar_its_line_in_words_and_the_hours_there_are():
    assert [row["labour_h"] for row in rows(weeks(), HELD)] == [6.0, 3.0]
    assert [row["line"] for row in rows(weeks(), LABEL)] == ["week of 29 Sep 2025", "week of 6 Oct 2025"]
    assert [row["told"] for row in rows(weeks(), FIGURE)] == ["4 jobs, 6 of 6 h", "2 jobs, 3 of 6 h"]
    assert {row["hours"] for row in rows(weeks(), CEILING)} == {6.0}
    assert titles(weeks(), "x") == {"hours of labour"}


def test_without_a_limit_no_hours_are_drawn_against_it():
    assert {row["hours"] for row in rows(weeks(None), CEILING)} == {None}
    assert rows(weeks(None), FIGURE)[0]["told"] == "4 jobs, 6 h"
