"""What a person said of a call and a ticket line outranks the evidence."""

import polars as pl
import pytest

from pipelines.ledger.workbench import Workbench
from pipelines.lives.lives import derive
from pipelines.terms.settings import Settings
from tests.support.lives_tables import LAST_DAY, bench_from, lives_in

CALLS = """called_at        | symptom   | component | outcome
           2020-04-10 10:00 | overheats |           | towed
           2020-04-10 10:20 |           |           | towed"""
SERVICE = """done_on    | component     | reason
             2020-04-12 | impeller      | planned
             2020-04-12 | start battery | planned"""
CALL, CALL_AGAIN, IMPELLER, BATTERY = 501, 502, 401, 402


def settle(bench: Workbench, *said: tuple[int, int, bool]) -> None:
    """Say of pairs whether they are one breakdown, the later word after the earlier, and derive again."""
    rows = [
        {"call_row_id": call, "ticket_row_id": line, "same": same, "settled_by": "Yard", "settled_at": f"2023-01-0{day}", "because": ""}
        for day, (call, line, same) in enumerate(said, start=1)
    ]
    bench.put("accepted.settled_pairs", pl.DataFrame(rows).with_columns(pl.col("settled_at").str.to_datetime("%Y-%m-%d")))
    derive(bench, LAST_DAY, Settings())


def matches_in(bench: Workbench) -> list[tuple]:
    return bench.frame("select call_row_id, ticket_row_id, certainty from derived.matches order by call_row_id").rows()


@pytest.fixture
def bench():
    with bench_from(service_tickets=SERVICE, rescue_calls=CALLS) as made:
        rows = made.frame("select row_id from accepted.service_tickets union all select row_id from accepted.rescue_calls order by row_id")
        assert rows["row_id"].to_list() == [401, 402, 501, 502]
        yield made


def test_a_yes_is_certain_and_ends_the_life_at_the_call(bench: Workbench):
    assert matches_in(bench) == [(CALL, IMPELLER, "doubtful")]
    settle(bench, (CALL, IMPELLER, True))
    assert matches_in(bench) == [(CALL, IMPELLER, "certain")]
    assert lives_in(bench)[0] == (0, 100, 100, "failed")
    assert bench.frame("select * from derived.doubtful_pairs").is_empty()


def test_a_no_is_never_matched_again(bench: Workbench):
    settle(bench, (CALL, IMPELLER, False))
    assert (CALL, IMPELLER) not in [row[:2] for row in matches_in(bench)]
    assert lives_in(bench)[0] == (0, 102, None, "planned")


def test_what_was_said_of_the_same_call_logged_again_counts(bench: Workbench):
    settle(bench, (CALL_AGAIN, IMPELLER, True))
    assert matches_in(bench) == [(CALL, IMPELLER, "certain")]


def test_a_yes_holds_against_all_evidence(bench: Workbench):
    settle(bench, (CALL, BATTERY, True))
    assert matches_in(bench) == [(CALL, BATTERY, "certain")]


def test_of_two_yeses_for_one_call_the_later_counts(bench: Workbench):
    settle(bench, (CALL, BATTERY, True), (CALL_AGAIN, IMPELLER, True))
    assert matches_in(bench) == [(CALL, IMPELLER, "certain")]


def test_the_last_word_on_a_pair_counts_whichever_of_its_rows_it_was_said_of(bench: Workbench):
    settle(bench, (CALL, IMPELLER, True), (CALL_AGAIN, IMPELLER, False))
    assert (CALL, IMPELLER) not in [row[:2] for row in matches_in(bench)]
