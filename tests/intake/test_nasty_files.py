"""A folder of nasty files, each with what must happen to it.

`files/what_must_happen.csv` says of each file: taken (with so many rows in and so many left out), or refused as unreadable, as of an
unknown kind, or for its mapping; and a word of the message, of a reason or of a remark that must be there.
"""

import csv
from pathlib import Path

import pytest

from pipelines.errors import UnknownKind, UnreadableFile, WrongMapping
from pipelines.intake.taking import read_file
from tests.intake.conftest import TODAY

FILES = Path(__file__).parent / "files"
TABLE = "what_must_happen.csv"
REFUSALS = {"unreadable": UnreadableFile, "unknown": UnknownKind, "mapping": WrongMapping}

with (FILES / TABLE).open(encoding="utf-8", newline="") as table:
    EXPECTED = list(csv.DictReader(table))


@pytest.mark.parametrize("expected", [row for row in EXPECTED if row["outcome"] == "taken"], ids=lambda row: row["file"])
def test_what_can_be_read_is_read_and_the_rest_is_left_out(expected):
    taken = read_file(FILES / expected["file"], today=TODAY)
    assert {each.kind for each in taken} == {expected["kind"]}
    assert sum(each.rows.height for each in taken) == int(expected["rows"])
    assert sum(each.left_out.height for each in taken) == int(expected["left_out"])
    told = [*(reason for each in taken for reason in each.left_out["reason"]), *(remark for each in taken for remark in each.remarks)]
    assert any(expected["says"] in sentence for sentence in told) or not expected["says"]


@pytest.mark.parametrize("expected", [row for row in EXPECTED if row["outcome"] != "taken"], ids=lambda row: row["file"])
def test_what_cannot_be_read_at_all_is_refused_by_name_with_its_reason(expected):
    with pytest.raises(REFUSALS[expected["outcome"]]) as fault:
        read_file(FILES / expected["file"], today=TODAY)
    assert str(fault.value).startswith(expected["file"])
    assert expected["says"] in str(fault.value)


def test_every_file_of_the_folder_is_spoken_for():
    assert {file.name for file in FILES.iterdir()} - {TABLE} == {row["file"] for row in EXPECTED}
    assert len(EXPECTED) >= 40
