import errno
from pathlib import Path

import duckdb
import pytest

from pipelines.errors import LedgerDamaged, LedgerInUse, LedgerUnavailable
from pipelines.ledger.file_faults import told_plainly

LEDGER = Path("fleet.duckdb")


@pytest.mark.parametrize(
    ("words", "expected", "told"),
    [
        ('IO Error: Could not write file "fleet.duckdb": No space left on device', LedgerUnavailable, "the disk is full"),
        ('IO Error: Cannot open file "fleet.duckdb": Permission denied', LedgerUnavailable, "cannot be written there"),
        ('IO Error: Could not set lock on file "fleet.duckdb"', LedgerInUse, "another program has it open"),
        ("Corrupt database file: computed checksum 1 does not match", LedgerDamaged, "not a sound towless ledger"),
        ("Trying to read a database file with version number 999", LedgerUnavailable, "made by a newer towless"),
    ],
)
def test_what_duckdb_says_of_the_file_is_told_with_the_way_out(words, expected, told):
    with pytest.raises(expected, match=told) as refusal, told_plainly(LEDGER):
        raise duckdb.IOException(words)
    assert type(refusal.value) is expected
    assert "Nothing changed" in str(refusal.value)
    assert refusal.value.exit_code == 3


@pytest.mark.parametrize(
    ("number", "told"),
    [(errno.ENOSPC, "the disk is full"), (errno.EROFS, "cannot be written there"), (errno.EACCES, "cannot be written there")],
)
def test_what_the_system_says_of_the_folder_is_told_with_the_way_out(number, told):
    with pytest.raises(LedgerUnavailable, match=told), told_plainly(LEDGER):
        raise OSError(number, "said by the system")


@pytest.mark.parametrize("fault", [duckdb.BinderException("no such column"), OSError(errno.EINTR, "interrupted"), ValueError("ours")])
def test_a_bug_of_ours_stays_what_it_is(fault):
    with pytest.raises(type(fault)) as passed, told_plainly(LEDGER):
        raise fault
    assert passed.value is fault
