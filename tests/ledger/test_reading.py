import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import date, datetime

import duckdb
import pytest

from pipelines.errors import CopyUnsound, LedgerUnavailable, NoLedger
from pipelines.ledger.days import last_day
from pipelines.ledger.publishing import publish
from pipelines.ledger.reading import is_owed, open_published
from pipelines.ledger.workbench import scratch
from pipelines.ledger.writing import open_for_writing
from tests.support import writers
from tests.support.ledgers import boats, ledger_of, taking, uncoded

BY = "A. Tester"
DAY = date(2024, 6, 1)


@pytest.fixture
def path(tmp_path):
    return ledger_of(tmp_path / "fleet.duckdb", boats("W1=Wren"))


def dated() -> list:
    before, after = date(2024, 6, 1), date(2024, 6, 2)
    return [
        taking(
            "vessels",
            [
                {"vessel_id": "old", "in_service_on": before, "withdrawn_on": after},
                {"vessel_id": "gone", "withdrawn_on": before},
                {"vessel_id": "new", "in_service_on": after},
            ],
        ),
        taking("engines", [{"engine_id": "E1", "commissioned_on": before}, {"engine_id": "E2", "commissioned_on": after}]),
        taking("engine_moves", [{"engine_id": "E1", "moved_on": after}]),
        taking("hour_readings", [{"engine_id": "E1", "read_on": before}, {"engine_id": "E1", "read_on": after}]),
        taking("service_tickets", [{"ticket_id": "T1", "done_on": before}, {"ticket_id": "T2", "done_on": after}]),
        taking(
            "rescue_calls",
            [{"call_id": "C1", "called_at": datetime(2024, 6, 1, 23, 59)}, {"call_id": "C2", "called_at": datetime(2024, 6, 2)}],
        ),
        taking("trips", [{"trip_id": "R1", "out_at": datetime(2024, 6, 1, 9)}]),
        taking("plan", [{"component": "a", "adopted_on": after}, {"component": "b"}, {"component": "c", "adopted_on": before}]),
        taking("costs", [{"component": "a", "planned_cost": 1.0}]),
    ]


@pytest.fixture
def known(tmp_path):
    ledger_of(tmp_path / "fleet.duckdb", *dated())
    with open_published(tmp_path / "fleet.duckdb") as copy, copy.as_known_on(DAY) as bench:
        yield bench


def test_threads_that_share_a_copy_each_get_their_own_answer(path):
    with open_published(path) as copy, ThreadPoolExecutor(8) as people:
        asked = list(range(200))
        answers = people.map(
            lambda number: copy.frame("select ? as number, count(*) as boats from accepted.vessels", [number]).row(0), asked
        )
        assert list(answers) == [(number, 1) for number in asked]


def test_a_copy_cannot_be_written_to(path):
    with open_published(path) as copy, pytest.raises(duckdb.Error):
        copy.frame("delete from accepted.vessels")


def test_a_reader_keeps_its_version_while_others_are_published(path):
    with open_published(path) as old:
        for number in range(4):
            ledger_of(path, boats(f"V{number}"))
            with open_published(path) as present:
                assert present.version == number + 2
        assert old.frame("select count(*) from accepted.vessels").item() == 1
        assert old.version == 1


def test_readers_never_wait_and_see_one_version_whole_while_another_writes(path):
    wrong: list[str] = []
    finished = threading.Event()
    looks = 0
    process = writers.start("intake", path, 2000)

    def look() -> None:
        nonlocal looks
        while not finished.is_set():
            with open_published(path) as copy:
                boats_, rows = copy.frame(
                    "select (select count(*) from accepted.vessels), (select sum(accepted) from about.reconciliation)"
                ).row(0)
                if boats_ != rows or boats_ not in (1, 2001):
                    wrong.append(f"{boats_} boats, {rows} accepted")
                looks += 1

    reader = threading.Thread(target=look)
    reader.start()
    writers.finish(process)
    finished.set()
    reader.join()
    assert process.returncode == 0
    assert wrong == []
    assert looks > 0


def test_a_reader_is_not_held_up_by_a_writer(path):
    holder = writers.start("hold", path)
    try:
        with open_published(path) as copy:
            assert copy.version == 1
        assert not is_owed(path)
    finally:
        writers.finish(holder)


def test_no_ledger_is_told_with_the_way_out(tmp_path):
    with (
        pytest.raises(NoLedger, match=r"towless intake FOLDER --ledger .*fleet\.duckdb, .* towless demo"),
        open_published(tmp_path / "fleet.duckdb"),
    ):
        pass
    assert not is_owed(tmp_path / "fleet.duckdb")


def test_a_ledger_without_a_copy_owes_one(tmp_path):
    with open_for_writing(tmp_path / "fleet.duckdb", "test") as ledger:
        ledger.take_in([boats("W1")], BY)
    assert is_owed(tmp_path / "fleet.duckdb")
    with pytest.raises(LedgerUnavailable, match="nothing of it is published yet"), open_published(tmp_path / "fleet.duckdb"):
        pass


def test_a_copy_is_not_owed_while_its_writer_is_at_it(path):
    with open_for_writing(path, "test") as ledger:
        ledger.take_in([boats("W2")], BY)
        assert not is_owed(path)
    assert is_owed(path)


def test_a_copy_that_is_gone_is_owed_and_made_anew(path):
    path.with_name("fleet.g000001.duckdb").unlink()
    assert is_owed(path)
    with open_for_writing(path, "records") as ledger:
        publish(ledger, uncoded)
    with open_published(path) as copy:
        assert copy.version == 1


@pytest.mark.parametrize("content", [b"", b"hello" * 1000])
def test_a_copy_that_is_not_sound_is_told_with_the_way_out(path, content):
    generation = path.with_name("fleet.g000001.duckdb")
    generation.unlink()
    generation.write_bytes(content)
    with pytest.raises(CopyUnsound, match="made anew from the ledger, which holds them all") as refusal, open_published(path):
        pass
    assert refusal.value.exit_code == 3


def test_a_damaged_page_of_a_copy_is_told_when_it_is_met(path):
    generation = ledger_of(path, boats(*(f"V{number}" for number in range(3000)))).with_name("fleet.g000002.duckdb")
    content = bytearray(generation.read_bytes())
    for place in range(3 * 4096 + 262144 // 2, len(content), 4096):
        content[place] ^= 0xFF
    generation.chmod(0o644)
    generation.write_bytes(content)
    with pytest.raises(CopyUnsound, match="damaged"), open_published(path) as copy:
        copy.frame("select count(distinct name) from accepted.vessels")


def test_a_copy_laid_out_by_another_towless_is_not_read(path):
    generation = path.with_name("fleet.g000001.duckdb")
    generation.chmod(0o644)
    with duckdb.connect(str(generation)) as opened:
        opened.execute("alter table about.version drop column layout")
    with pytest.raises(CopyUnsound, match="laid out by another towless"), open_published(path):
        pass
    with open_for_writing(path, "records") as ledger:
        publish(ledger, uncoded, anew=True)
    with open_published(path) as copy:
        assert copy.version == 1


def test_a_copy_can_be_read_without_its_ledger(path):
    path.unlink()
    with open_published(path) as copy:
        assert copy.version == 1


@pytest.mark.parametrize(
    ("kind", "column", "expected"),
    [
        ("vessels", "vessel_id", ["old", "gone"]),
        ("engines", "engine_id", ["E1"]),
        ("engine_moves", "engine_id", []),
        ("hour_readings", "read_on", [DAY]),
        ("service_tickets", "ticket_id", ["T1"]),
        ("rescue_calls", "call_id", ["C1"]),
        ("trips", "trip_id", ["R1"]),
        ("plan", "component_as_written", ["b", "c"]),
        ("costs", "component_as_written", ["a"]),
    ],
)
def test_only_rows_dated_on_or_before_the_day_are_known(known, kind, column, expected):
    assert known.frame(f"select {column} from accepted.{kind} order by row_id")[column].to_list() == expected


def test_a_boat_that_left_later_was_still_there(known):
    assert dict(known.frame("select vessel_id, withdrawn_on from accepted.vessels").iter_rows()) == {"old": None, "gone": DAY}


def test_a_workbench_of_a_day_is_laid_out_like_any_other(known):
    with scratch() as bench:
        for schema in ("accepted.service_tickets", "accepted.vessels", "accepted.words", "accepted.catalogue"):
            assert known.frame(f"select * from {schema}").schema == bench.frame(f"select * from {schema}").schema
    known.run("create table derived.boats as select count(*) as boats from accepted.vessels")
    assert known.frame("select boats from derived.boats").item() == 2
    assert known.frame("select ledger_version from about.version").item() == len(dated())


def test_the_last_day_is_that_of_the_last_thing_that_happened(known):
    assert last_day(known) == DAY
    with scratch() as empty:
        assert last_day(empty) is None
