"""Visits by week and spare boats by month, drawn and in words."""

import polars as pl

from dashboard.charts.spare_boats import spare_boats_chart
from dashboard.charts.theme import CEILING, FIGURE, HELD, LABEL, NOW, SPAN
from dashboard.charts.visits import visits_chart
from dashboard.sentences.spare_boats import group_lines, month_rows, pool_of, spare_boats_words
from dashboard.sentences.visits import visit_lines, visits_words, week_rows
from tests.dashboard.charts.reading import rows, titles
from tests.dashboard.invented_visits import grouping, own_days, spare_boats, visits


def weeks(priced: bool = True) -> pl.DataFrame:
    return week_rows(visits(priced), own_days(), "EUR")


def test_each_week_has_its_visits_and_those_with_each_job_on_its_own_day():
    chart = visits_chart(weeks())
    assert [row["visits"] for row in rows(chart, HELD)] == [2, 1, 0]
    assert [row["own_days"] for row in rows(chart, NOW)] == [4, 0, 1]
    assert [row["line"] for row in rows(chart, LABEL)] == ["week of 29 Sep 2025", "week of 6 Oct 2025", "week of 13 Oct 2025"]
    assert titles(chart, "x") == {"visits"}


def test_a_week_says_what_sharing_saves_and_a_week_without_visits_that_its_jobs_were_moved():
    assert [row["told"] for row in rows(visits_chart(weeks()), FIGURE)] == [
        "2 visits, 31\u00a0EUR saved",
        "1 visit",
        "done earlier or later",
    ]


def test_where_no_visit_has_a_cost_nothing_is_said_to_be_saved():
    assert [row["told"] for row in rows(visits_chart(weeks(priced=False)), FIGURE)][:2] == ["2 visits", "1 visit"]
    assert "nothing is known to be saved" in visits_words(grouping(saving=None), 30)


def test_the_words_of_visits_count_them_against_each_job_on_its_own_day_and_one_service():
    told = visits_words(grouping(), 30)
    assert told.startswith("**3 visits** in 30 days in place of 5 with each job on its own day: **29\u00a0EUR saved**.")
    assert "All jobs of a boat at one service would cost 12\u00a0EUR more." in told
    assert "would cost the same" in visits_words(grouping(over_one_service=0.0), 30)
    assert "Sharing saves nothing here" in visits_words(grouping(saving=0.0), 30)


def test_a_visit_in_words_names_its_jobs_and_what_was_moved_to_it():
    first, second, third = visit_lines(visits(), 3)
    assert first == "**29 Sep 2025 · V01**: renew drive belt \\(E01\\), test bilge pump; brought forward 6 days\\: bilge pump."
    assert "verdue" not in second
    assert third.endswith("; put back 3 days\\: anodes.")


def months() -> pl.DataFrame:
    return month_rows(pool_of(spare_boats()))


def test_each_month_has_its_expected_number_with_limits_and_the_whole_number_needed():
    chart = spare_boats_chart(months())
    assert [row["boats_down"] for row in rows(chart, HELD)] == [0.0, 0.31, 0.62]
    assert all(row["low"] <= row["boats_down"] <= row["high"] for row in rows(chart, SPAN))
    assert [row["spares_needed"] for row in rows(chart, CEILING)] == [0, 1, 2]
    assert [row["line"] for row in rows(chart, LABEL)] == ["June 2026", "July 2026", "August 2026"]
    assert titles(chart, "x") == {"boats at once"}


def test_the_number_needed_is_written_at_its_month():
    assert [row["told"] for row in rows(spare_boats_chart(months()), FIGURE)] == [
        "none needed, laid up",
        "1 spare boat, 0.31 down",
        "2 spare boats, 0.62 down",
    ]


def test_the_words_of_spare_boats_tell_the_month_that_needs_most_and_what_one_more_covers():
    told = spare_boats_words(pool_of(spare_boats()), 0.95)
    assert told.startswith("**2 spare boats for August 2026**, the month that needs most: enough at any moment with a chance of 97\u00a0%.")
    assert "19 boat-days are lost in it without any, 1.9 with them; one more would cover 1.5 of these." in told


def test_a_fleet_that_needs_none_says_so():
    quiet = pool_of(spare_boats()).with_columns(spares_needed=pl.lit(0, pl.Int64))
    assert spare_boats_words(quiet, 0.95).startswith(
        "**No month needs a spare boat** with a chance of 95\u00a0%; most boats are down in August 2026"
    )


def test_each_base_and_class_says_how_many_in_which_months():
    assert group_lines(spare_boats()) == [
        "**Eelgrass Quay · launch** (8 boats): 1 in July and August",
        "**Eelgrass Quay · cruiser** (4 boats): 1 in August",
    ]


def test_one_group_alone_is_drawn_as_it_is_and_told_once():
    alone = spare_boats().filter(pl.col("group").struct.field("vessel_class") == "launch")
    assert pool_of(alone).height == 3
    assert group_lines(alone) == []
