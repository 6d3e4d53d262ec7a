"""A small made-up fleet taken into a ledger once a session, and the command as a person would run it."""

import json
from pathlib import Path
from typing import Any

import pytest

from pipelines.command.main import main
from sample_fleet.make import make_fleet

BOATS, SEASONS, SEED = 14, 4, 3


def make_records(folder: Path) -> Path:
    """Make the records of the small fleet, mess and all."""
    make_fleet(folder, BOATS, SEASONS, SEED)
    return folder


def ask(capsys: pytest.CaptureFixture[str], *words: object) -> dict[str, Any]:
    """Run a verb that must succeed and return its JSON, the only thing on standard output."""
    code = main([*map(str, words), "--format", "json"])
    told = capsys.readouterr()
    assert code == 0, told.err
    return json.loads(told.out)


def refuse(capsys: pytest.CaptureFixture[str], code: int, *words: object) -> str:
    """Run a verb that must end with an exit code, saying why on standard error and nothing on standard output; return what it said."""
    ended = main([*map(str, words)])
    told = capsys.readouterr()
    assert ended == code, told.err
    assert told.out == ""
    assert "Traceback" not in told.err
    return told.err
