import polars as pl
import pytest

from pipelines.errors import UnknownWord, WrongInput
from pipelines.flow import coding_queue
from pipelines.flow.copies import current_copy
from pipelines.flow.taking import Wish, take_in
from pipelines.terms.settings import Settings

SETTINGS = Settings()
CALLS = "call_id,vessel_id,called_at,symptom,cause,component,notes\n"


@pytest.fixture
def ledger(tmp_path):
    """Return a function that takes files in, given as {name: text}, into one ledger."""

    def take(**files: str):
        for name, text in files.items():
            (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
            take_in(tmp_path / "fleet.duckdb", Wish((tmp_path / f"{name}.csv",)), SETTINGS)
        return tmp_path / "fleet.duckdb"

    return take


def queued(path) -> dict[str, pl.DataFrame]:
    with current_copy(path, SETTINGS) as copy:
        return coding_queue.queue(copy)


def coded(path, column: str) -> list:
    with current_copy(path, SETTINGS) as copy:
        return copy.frame(f"select {column} from accepted.rescue_calls order by call_id")[column].to_list()


def test_a_word_that_nothing_knows_waits_with_the_count_of_its_rows_until_it_is_settled(ledger):
    path = ledger(calls=CALLS + "C1,W1,2025-05-01,stops,gremlins,,\nC2,W1,2025-05-02,stops,gremlins,,\n")
    assert queued(path)["uncoded"].rows() == [("cause", "gremlins", 2)]
    told = coding_queue.settle_word(path, "cause", "gremlins", "Fuel filter blocked", "A. Tester", SETTINGS)
    assert "'gremlins' is 'fuel filter blocked'" in told
    assert queued(path)["uncoded"].is_empty()
    assert coded(path, "cause") == ["fuel filter blocked"] * 2


def test_a_near_miss_is_listed_for_review_and_can_be_told_to_mean_nothing(ledger):
    path = ledger(calls=CALLS + "C1,W1,2025-05-01,overheets,,,\n")
    assert queued(path)["near_misses"].rows() == [("symptom", "overheets", "overheats")]
    coding_queue.settle_word(path, "symptom", "overheets", "uncoded", "A. Tester", SETTINGS)
    assert queued(path)["near_misses"].is_empty()
    assert coded(path, "symptom") == ["uncoded"]


def test_a_row_that_came_without_a_cause_counts_under_it_once_a_person_says_so_and_no_longer_when_taken_back(ledger):
    path = ledger(calls=CALLS + "C1,W1,2025-05-01,stops,,,\nC2,W1,2025-05-02,stops,,,\n")
    coding_queue.confirm_row(path, 1, "cause", "fuel filter blocked", "A. Tester", SETTINGS)
    assert coded(path, "cause") == ["fuel filter blocked", None]
    assert queued(path)["confirmed"].select("row_id", "column", "code", "settled_by").rows() == [
        (1, "cause", "fuel filter blocked", "A. Tester")
    ]
    coding_queue.confirm_row(path, 1, "cause", "", "A. Tester", SETTINGS)
    assert coded(path, "cause") == [None, None]


def test_what_was_confirmed_of_a_row_outlives_its_correction_unless_the_correction_says_itself(ledger):
    path = ledger(calls=CALLS + "C1,W1,2025-05-01,stops,,,\n")
    coding_queue.confirm_row(path, 1, "cause", "fuel filter blocked", "A. Tester", SETTINGS)
    ledger(again=CALLS + "C1,W1,2025-05-01,stops,unknown,,rang back\n")
    assert coded(path, "cause") == ["fuel filter blocked"]
    ledger(once_more=CALLS + "C1,W1,2025-05-01,stops,ran out of fuel,,\n")
    assert coded(path, "cause") == ["fuel exhausted"]


@pytest.mark.parametrize(
    ("row", "column", "code", "by", "told"),
    [
        (9, "cause", "belt broken", "A. Tester", "no row that counts has that number"),
        (1, "system", "fuel", "A. Tester", "a system follows from its cause"),
        (1, "cause", "gremlins", "A. Tester", "does not know it"),
        (1, "cause", "belt broken", " ", "--by NAME"),
        (1, "symptom", "overheats", "A. Tester", "says symptom 'stops' itself"),
    ],
)
def test_a_confirmation_that_makes_no_sense_is_refused_with_the_way_out(ledger, row, column, code, by, told):
    path = ledger(calls=CALLS + "C1,W1,2025-05-01,stops,,,\n")
    with pytest.raises((UnknownWord, WrongInput), match=told):
        coding_queue.confirm_row(path, row, column, code, by, SETTINGS)


def test_a_word_is_settled_only_on_a_code_of_a_known_list_and_by_somebody(ledger):
    path = ledger(calls=CALLS + "C1,W1,2025-05-01,stops,gremlins,,\n")
    for said in (("colour", "x", "red", "A"), ("cause", "gremlins", "beyond knowing", "A"), ("cause", "gremlins", "belt broken", "")):
        with pytest.raises((UnknownWord, WrongInput)):
            coding_queue.settle_word(path, *said, SETTINGS)
    assert queued(path)["uncoded"].rows() == [("cause", "gremlins", 1)]


NOTED = [("tank dry", "fuel exhausted"), ("rope cut off the prop", "rope or weed round propeller")]


def a_season(said: str = "") -> str:
    """Forty coded calls with notes, and one with notes alone."""
    rows = [f"C{n:02},W1,2025-0{3 + n // 28}-{1 + n % 28:02},stops,{NOTED[n % 2][1]},,{NOTED[n % 2][0]}" for n in range(40)]
    boat = "Z99,W1,2025-06-01,stops," + said + ",,tank dry"
    return CALLS + "\n".join([*rows, boat]) + "\n"


ENGINES = "engine_id,vessel_id,commissioned_on\nE1,W1,2024-01-01\n"
READINGS = "engine_id,read_on,meter_h\nE1,2025-01-01,0\nE1,2025-12-01,500\n"


def calls_by_cause(path) -> dict:
    with current_copy(path, SETTINGS) as copy:
        return dict(copy.frame("select cause, count(*) from derived.calls group by cause").iter_rows())


def test_a_call_without_a_cause_gets_one_suggested_with_its_words_and_how_likely_it_is(ledger):
    waiting = queued(ledger(calls=a_season()))["suggestions"]
    cause = waiting.row(by_predicate=pl.col("column") == "cause", named=True)
    assert (cause["code"], cause["notes"], cause["line"]) == ("fuel exhausted", "tank dry", 42)
    assert "tank" in cause["evidence"]
    assert 0.8 < cause["confidence"] < 1
    assert waiting.filter(pl.col("column") == "system")["code"].to_list() == ["fuel"]


def test_an_unconfirmed_suggestion_enters_no_rate_and_a_confirmed_one_does(ledger):
    path = ledger(engines=ENGINES, readings=READINGS, calls=a_season())
    assert queued(path)["suggestions"].height > 0
    assert calls_by_cause(path) == {"fuel exhausted": 20, "rope or weed round propeller": 20, "unknown": 1}
    row = queued(path)["suggestions"].row(0, named=True)["row_id"]
    coding_queue.confirm_row(path, row, "cause", "fuel exhausted", "A. Tester", SETTINGS)
    assert calls_by_cause(path) == {"fuel exhausted": 21, "rope or weed round propeller": 20}
    assert "cause" not in queued(path)["suggestions"]["column"].to_list()


def test_a_call_that_says_unknown_stays_unknown_until_a_person_says_otherwise(ledger):
    path = ledger(engines=ENGINES, readings=READINGS, calls=a_season(said="unknown"))
    assert calls_by_cause(path)["unknown"] == 1
