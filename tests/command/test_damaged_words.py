"""Any words of the command, any table of lives and any settings, however damaged, end in a code of the contract without a traceback."""

from pathlib import Path
from random import Random

import pytest

from pipelines.command.main import main
from pipelines.command.parser import VERBS
from tests.support.damage import damaged

LIVES = b"low,high,entry,count,group,cause\n120,120,0,1,a,wear\n300,,50,2,b,\n80,160,,1,a,wear\n0,40,0,1,b,wear\n,10,0,1,a,\n"
SETTINGS = b'level = 0.9\ncondition_fraction = 0.85\ncurrency = "EUR"\n[prior]\nwears_out = 0.7\nrandom = 0.2\nfails_young = 0.1\n'
ODD = (
    "",
    "-",
    "--",
    "\x00",
    "\u202e",
    "=1+1",
    "1e999",
    "-5",
    "nan",
    "2024-02-30",
    "--format",
    "json",
    "--as-of",
    "--by",
    "A" * 5000,
    "'; drop table",
)
CODES = {0, 1, 2, 3}
NEVER_RUN = {"serve", "demo", "restore", "backup", "export", "print"}
"""Verbs that would listen, or write where they are told to."""


def code_of(*words: str) -> int:
    try:
        return main(list(words))
    except SystemExit as left:
        return int(left.code or 0)


@pytest.mark.parametrize("verb", [verb.name for verb in VERBS if verb.name not in NEVER_RUN])
def test_any_words_end_in_a_code_of_the_contract(verb: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    chance, ledger = Random(verb), tmp_path / "fleet.duckdb"
    for _ in range(25):
        words = [chance.choice(ODD) for _ in range(chance.randrange(1, 5))]
        assert code_of(verb, "--ledger", str(ledger), *words) in CODES
    assert "Traceback" not in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_any_table_of_lives_is_fitted_or_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    chance, file = Random(5), tmp_path / "lives.csv"
    for _ in range(60):
        file.write_bytes(damaged(LIVES, chance))
        assert code_of("fits", "--lives", str(file), "--format", "json") in CODES
    assert "Traceback" not in capsys.readouterr().err
    assert [each.name for each in tmp_path.iterdir()] == ["lives.csv"]


def test_any_settings_are_taken_or_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    chance, file = Random(6), tmp_path / "settings.toml"
    for _ in range(60):
        file.write_bytes(damaged(SETTINGS, chance))
        assert code_of("rates", "--settings", str(file), "--ledger", str(tmp_path / "fleet.duckdb")) in CODES
    assert "Traceback" not in capsys.readouterr().err
