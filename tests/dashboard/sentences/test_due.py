"""Due work in words: whole numbers of boats and jobs, who put what off, and nothing of the records that could become markup."""

from datetime import timedelta

import polars as pl

from dashboard.sentences.due import (
    boat_jobs,
    calendar_days,
    job_name,
    not_dated_words,
    put_off_lines,
    slipped_lines,
    tied_up_lines,
    tied_up_words,
    weeks_words,
)
from pipelines.advice.weeks import week_totals
from tests.dashboard import invented

TODAY = invented.TODAY


def plain(words: str) -> str:
    return words.replace("\\", "")


def test_boats_that_stay_tied_up_are_counted_and_have_a_line_each_with_one_word_for_each_sort():
    assert tied_up_words(invented.tied_up()).startswith("**8 boats should stay tied up**")
    assert tied_up_words(invented.tied_up().head(1)).startswith("**1 boat should stay tied up**")
    assert tied_up_words(invented.tied_up().clear()).startswith("**No boat has to stay tied up**")
    lines = [plain(line) for line in tied_up_lines(invented.tied_up())]
    assert len(lines) == 8
    assert lines[0] == (
        "**V00**: failed and not renewed: drive belt of engine E0 (since 2 Sep 2025); safety part overdue: kill switch (since 20 Sep 2025)"
    )


def test_a_job_is_named_with_its_place():
    row = {"task": "renew", "position": "port", "component": "drive belt", "engine_id": "E1"}
    assert job_name(row) == "renew port drive belt, engine E1"
    assert job_name(row | {"engine_id": None}) == "renew port drive belt"


def test_every_job_of_a_boat_says_why_and_boats_with_most_overdue_come_first():
    told = boat_jobs(invented.due())
    assert sum(len(lines) for _, lines in told) == invented.due().height
    late = [sum(line.startswith("**overdue**") for line in lines) for _, lines in told]
    assert late == sorted(late, reverse=True)
    assert "by the plan adopted by Yard office" in plain(told[0][1][0])


def test_weeks_say_whether_the_work_fits():
    totals = week_totals(invented.weeks())
    assert (
        weeks_words(totals, 6.0) == "**2 jobs do not fit** into weeks of 6 h and slip to a later one, **1 of them past what must be kept**."
    )
    assert weeks_words(totals.with_columns(slipped=0), 12.0) == "**All 9 h of work fit** into weeks of 12 h."
    assert "Say how many hours the yard has a week" in weeks_words(totals, None)


def test_what_passes_what_must_be_kept_is_told_first():
    lines = slipped_lines(invented.weeks())
    assert len(lines) == 2
    assert plain(lines[0]).startswith("**V01** renew bilge pump, engine E1")


def test_a_job_put_off_stands_on_its_day_and_an_overdue_one_on_the_day_of_the_list():
    days = dict(calendar_days(invented.put_off(), TODAY).select("day", "overdue").rows())
    assert TODAY + timedelta(days=20) in days
    assert days[TODAY] == int(invented.put_off()["overdue"].sum())
    assert sum(calendar_days(invented.put_off(), TODAY)["jobs"]) == invented.due().height
    assert calendar_days(invented.due().clear(), TODAY).is_empty()


def test_jobs_without_a_day_are_counted_with_the_reason():
    assert not_dated_words({"not_known": {"age": 0, "use_of_engine": 0}}) == ""
    told = not_dated_words({"not_known": {"age": 1, "use_of_engine": 3}})
    assert told == "1 job has no day because the part's age is not known; 3 jobs have no day because how the engine is used is not known."


def test_what_is_put_off_says_by_whom_why_until_when_and_the_chance():
    line = plain(put_off_lines(invented.put_off())[0])
    assert "until 20 Oct 2025, by Yard office, because part on order (put off 2 times)" in line
    assert "Chance of failing: 8" in line
    assert put_off_lines(invented.due()) == []


def test_a_reason_cannot_become_a_link():
    said = invented.put_off().with_columns(pl.lit("[click](http://x)").alias("put_off_because"))
    assert "\\[click\\]" in put_off_lines(said)[0]
