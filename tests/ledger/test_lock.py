import os
import threading

import pytest

from pipelines.errors import LedgerInUse
from pipelines.ledger.lock import held, is_held


def test_the_lock_says_who_has_it(tmp_path):
    lock = tmp_path / "fleet.duckdb.lock"
    with held(lock, "intake", 0), pytest.raises(LedgerInUse) as refusal, held(lock, "undo", 0):
        pass
    message = str(refusal.value)
    assert str(tmp_path / "fleet.duckdb:") in message
    assert f"process {os.getpid()}" in message
    assert "'intake' since 20" in message
    assert "Waited 0 s; nothing changed" in message
    assert refusal.value.exit_code == 3


def test_the_lock_is_free_again_and_its_file_gone_afterwards(tmp_path):
    lock = tmp_path / "fleet.duckdb.lock"
    with held(lock, "intake", 0):
        assert is_held(lock)
    assert not is_held(lock)
    assert not lock.exists()
    with held(lock, "undo", 0):
        assert is_held(lock)


def test_the_lock_is_let_go_when_the_work_fails(tmp_path):
    lock = tmp_path / "fleet.duckdb.lock"
    with pytest.raises(ZeroDivisionError), held(lock, "intake", 0):
        _ = 1 / 0
    assert not is_held(lock)


def test_one_who_waits_long_enough_gets_it(tmp_path):
    lock = tmp_path / "fleet.duckdb.lock"
    may_go, has_it = threading.Event(), threading.Event()

    def hold() -> None:
        with held(lock, "intake", 0):
            has_it.set()
            may_go.wait()

    holder = threading.Thread(target=hold)
    holder.start()
    has_it.wait()
    threading.Timer(0.2, may_go.set).start()
    with held(lock, "undo", 30):
        assert is_held(lock)
    holder.join()


def test_only_one_of_many_has_it_at_a_time(tmp_path):
    lock = tmp_path / "fleet.duckdb.lock"
    inside: list[int] = []
    most: list[int] = []

    def work(number: int) -> None:
        for _ in range(5):
            with held(lock, "intake", 60):
                inside.append(number)
                most.append(len(inside))
                inside.remove(number)

    workers = [threading.Thread(target=work, args=(number,)) for number in range(4)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    assert most == [1] * 20


def test_a_lock_file_left_by_a_power_cut_holds_nobody_up(tmp_path):
    lock = tmp_path / "fleet.duckdb.lock"
    lock.write_text('{"pid": 1, "verb": "intake", "since": "2024-05-01T09:00:00+00:00"}')
    assert not is_held(lock)
    with held(lock, "undo", 0):
        assert is_held(lock)


def test_a_lock_file_that_cannot_be_read_still_says_that_it_is_in_use(tmp_path):
    lock = tmp_path / "fleet.duckdb.lock"
    with held(lock, "intake", 0):
        lock.write_text("scribble")
        with pytest.raises(LedgerInUse, match="in use by another process"), held(lock, "undo", 0):
            pass
