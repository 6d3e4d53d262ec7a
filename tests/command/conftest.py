"""The small fleet's records and ledger, made once a session and never changed by a test."""

import shutil

import pytest

from pipelines.command.main import main
from tests.support.small_fleet import make_records


@pytest.fixture(scope="session")
def records(tmp_path_factory):
    return make_records(tmp_path_factory.mktemp("records"))


@pytest.fixture(scope="session")
def taken(records, tmp_path_factory):
    ledger = tmp_path_factory.mktemp("taken") / "fleet.duckdb"
    assert main(["intake", str(records), "--ledger", str(ledger)]) == 0
    return ledger


@pytest.fixture
def own_ledger(taken, tmp_path):
    """A copy of the ledger that a test may change."""
    for file in taken.parent.iterdir():
        shutil.copy(file, tmp_path / file.name, follow_symlinks=False)
    return tmp_path / taken.name
