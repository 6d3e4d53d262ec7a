import polars as pl
import pytest

from pipelines.ledger.publishing import publish
from pipelines.ledger.reading import open_published
from pipelines.ledger.workbench import Workbench
from pipelines.ledger.writing import open_for_writing
from pipelines.ledger.written import apply_codes, written_words
from tests.support.ledgers import NO_WORDS, taking

TICKETS = [
    {"ticket_id": "T1", "component": "imp.", "action": "changed"},
    {"ticket_id": "T2", "component": "imp.", "action": None},
    {"ticket_id": "T3", "component": "wotsit", "action": "changed", "reason": ""},
]
COSTS = [{"component": "imp.", "planned_cost": 20.0}]
WORDS = pl.DataFrame(
    [
        ("component", "imp.", "raw-water pump impeller", "catalogue"),
        ("action", "changed", "renew", "catalogue"),
        ("cause", "wotsit", "low oil", "x"),
    ],
    schema=["list", "word", "code", "how"],
    orient="row",
)


@pytest.fixture
def published(tmp_path):
    """Return a function that publishes the tickets and costs with a build, and runs a query over the copy."""

    def run(build, sql: str) -> pl.DataFrame:
        with open_for_writing(tmp_path / "fleet.duckdb", "test") as ledger:
            ledger.take_in([taking("service_tickets", TICKETS), taking("costs", COSTS)], "A. Tester")
            publish(ledger, build)
        with open_published(tmp_path / "fleet.duckdb") as copy:
            return copy.frame(sql)

    return run


def coded(bench: Workbench) -> None:
    apply_codes(bench, WORDS)


def test_a_word_becomes_its_code_and_stays_beside_it(published):
    sql = "select component, component_as_written, action, action_as_written from accepted.service_tickets order by ticket_id"
    assert published(coded, sql).rows() == [
        ("raw-water pump impeller", "imp.", "renew", "changed"),
        ("raw-water pump impeller", "imp.", None, None),
        ("uncoded", "wotsit", "renew", "changed"),
    ]


def test_every_kind_is_coded_by_the_same_words(published):
    assert published(coded, "select component, component_as_written from accepted.costs").rows() == [("raw-water pump impeller", "imp.")]


def test_without_any_word_every_word_is_uncoded_and_none_stays_none(published):
    sql = "select component, action from accepted.service_tickets order by ticket_id"
    assert published(lambda bench: apply_codes(bench, NO_WORDS), sql).rows() == [
        ("uncoded", "uncoded"),
        ("uncoded", None),
        ("uncoded", "uncoded"),
    ]


def test_words_that_wait_for_a_person_are_counted(published):
    assert published(coded, "select * from about.uncoded").rows() == [("component", "wotsit", 1), ("reason", "", 1)]


def test_the_words_stand_in_the_copy_with_how_they_were_coded(published):
    assert published(coded, "select * from accepted.words order by word").equals(WORDS.sort("word"))


def test_the_distinct_words_are_listed_with_the_kind_that_holds_them(published):
    seen: list[pl.DataFrame] = []

    def look(bench: Workbench) -> None:
        seen.append(written_words(bench))
        apply_codes(bench, WORDS)

    published(look, "select 1")
    assert seen[0].rows() == [
        ("action", "changed", "service_tickets", 2),
        ("component", "imp.", "costs", 1),
        ("component", "imp.", "service_tickets", 2),
        ("component", "wotsit", "service_tickets", 1),
        ("reason", "", "service_tickets", 1),
    ]


def test_a_word_with_two_codes_is_refused_rather_than_doubling_rows(published):
    twice = pl.concat([WORDS, WORDS.head(1).with_columns(code=pl.lit("fuel pump"))])
    with pytest.raises(ValueError, match="two codes"):
        published(lambda bench: apply_codes(bench, twice), "select 1")


def test_records_as_written_do_not_stay_in_the_copy(published):
    assert published(coded, "select distinct schema from (show all tables)")["schema"].sort().to_list() == ["about", "accepted"]
