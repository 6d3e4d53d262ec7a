"""The page of the week: what it says, where each line leads, and that a quiet week is told in a sentence."""

from datetime import date
from pathlib import Path

import polars as pl
import pytest

from dashboard import wayfinding
from dashboard.sentences.week import MOST_LINES, how_old, in_short, line_lead, line_words, otherwise, shown_of
from pipelines.exports.answer import Answer
from pipelines.flow import week
from pipelines.terms.cautions import DEFERENCE
from pipelines.terms.scope import Scope
from pipelines.terms.week import MATTERS
from tests.dashboard import invented, invented_week
from tests.support.screens import downloads, open_screen, showing, words


def leads(page) -> list[tuple[str, str, str]]:
    """Return the links on a page: words, page and what stands in the address."""
    return [(link.proto.label, link.proto.page, link.proto.query_string) for link in page.get("page_link")]


def test_every_matter_that_holds_something_has_its_heading(invented_flow: Path):
    page = open_screen("this_week", invented_flow)
    assert not page.exception
    assert [each.value for each in page.subheader] == [matter.heading for matter in MATTERS.values()]
    assert DEFERENCE in words(page).replace("\\", "")


def test_a_quiet_week_is_told_in_a_sentence(invented_flow: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(week, "week", lambda *_: invented_week.answer(quiet=True))
    page = open_screen("this_week", invented_flow)
    assert not page.exception
    assert not page.subheader
    assert "Nothing to say" in words(page)


def test_each_line_leads_to_where_it_can_be_acted_upon(invented_flow: Path):
    found = leads(open_screen("this_week", invented_flow))
    asked = {
        ("one_boat", "boat=V2"),
        ("what_is_due", "within=2+weeks"),
        ("what_strands_us", "pattern=month+by+month"),
        ("how_long_parts_last", "component=drive+belt"),
        ("what_to_stock", ""),
        ("records", "view=words"),
        ("records", "view=pairs"),
        ("records", "view=left-out"),
    }
    for screen, address in asked:
        assert any(screen.replace("_", "-") in page.replace("_", "-") and address in query for _, page, query in found), (screen, found)


def test_every_figure_opens_the_rows_behind_it(invented_flow: Path):
    page = open_screen("this_week", invented_flow)
    taken = " ".join(downloads(page)).replace("\\", "")
    for name in ("tied-up", "overdue", "due-soon", "calls-of-the-week", "alarms", "runs-out", "alarm-records"):
        assert f"Take {name}.csv" in taken


def test_a_long_matter_is_cut_and_leads_on(invented_flow: Path):
    page = open_screen("this_week", invented_flow)
    told = words(page)
    assert told.count("overheats, cause") == MOST_LINES["call"]
    assert any("2 more" in label for label, *_ in leads(page))


def test_the_week_in_short_names_the_four_first_matters():
    told = in_short(invented_week.answer().rows, invented_week.answer().extra, invented.TODAY)
    assert told.startswith("**Week to 30 Sep 2025.** **1 boat should stay tied up**")
    assert "**10 calls** came in since 23 Sep 2025, none in as many days before" in told


def test_what_holds_nothing_is_said_in_the_words_of_the_command():
    assert otherwise(invented_week.answer(quiet=True).rows) == " ".join(
        MATTERS[matter].nothing for matter in MATTERS if matter in ("alarm", "runs out", "waits for a person")
    )
    assert otherwise(invented_week.answer().rows) == ""


def test_records_that_end_long_ago_are_said_to():
    assert how_old(date(2025, 9, 30), date(2025, 10, 2)) == ""
    assert "end 31 days ago" in how_old(date(2025, 9, 30), date(2025, 10, 31))


def test_hostile_words_of_a_line_stay_words():
    row = {"matter": "call", "sentence": "![x](http://far.example/a.png) <b>", "look_at": "", "vessel_id": "V<1>", "name": None}
    assert "![x]" not in line_words(row)
    assert line_lead(row).address == {"boat": "V<1>"}


def test_a_boat_that_stays_tied_up_is_not_told_twice_and_its_jobs_can_still_be_opened(invented_flow: Path, monkeypatch: pytest.MonkeyPatch):
    told = invented_week.answer()
    late = told.rows.filter(pl.col("matter") == "overdue")
    tied = late.with_columns(matter=pl.lit("stay tied up"))
    monkeypatch.setattr(week, "week", lambda *_: Answer(told.head, pl.concat([tied, late]), told.extra))
    page = open_screen("this_week", invented_flow)
    assert not page.exception
    assert "with overdue work" in words(page)
    assert any("overdue" in label for label in downloads(page))


@pytest.mark.slow
def test_the_page_and_the_command_say_the_same_lines(small_ledger: Path):
    with showing(small_ledger):
        rows = wayfinding.this_week(Scope()).rows
    told = words(open_screen("this_week", small_ledger)).replace("\\", "")
    shown = pl.concat([shown_of(matter, rows).head(MOST_LINES[matter]) for matter in MATTERS])
    assert all(sentence in told for sentence in shown["sentence"])
