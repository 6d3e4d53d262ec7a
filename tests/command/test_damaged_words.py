"""Any words of the command, any table of lives and any settings, however damaged, end in a code of the contract without a traceback."""

import argparse
from pathlib import Path
from random import Random

import pytest

from pipelines.command.main import main
from pipelines.command.parser import VERBS, parser
from tests.support.damage import damaged
from tests.support.small_fleet import make_records

LIVES = b"low,high,entry,count,group,cause\n120,120,0,1,a,wear\n300,,50,2,b,\n80,160,,1,a,wear\n0,40,0,1,b,wear\n,10,0,1,a,\n"
SETTINGS = b'level = 0.9\ncondition_fraction = 0.85\ncurrency = "EUR"\n[prior]\nwears_out = 0.7\nrandom = 0.2\nfails_young = 0.1\n'
NAUGHTY = ("", "-", "--", "\x00", "\u202e", "=1+1", "1e999", "-5", "nan", "2024-02-30", "A" * 300, "'; drop table")
LIKELY = ("V01", "E001", "drive belt", "2024-06-01", "3", "0.9", "30d", "overheats", "cause", "somebody", "lives.csv")
CODES = {0, 1, 2, 3}
NEVER_RUN = {"serve", "demo", "restore", "backup", "export", "print"}
"""Verbs that would listen, or write where they are told to."""


def code_of(*words: str) -> int:
    try:
        return main(list(words))
    except SystemExit as left:
        return int(left.code or 0)


@pytest.fixture(scope="module")
def small_ledger(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A ledger that whatever is tried may change."""
    folder = tmp_path_factory.mktemp("tried")
    assert main(["intake", str(make_records(folder / "records")), "--ledger", str(folder / "fleet.duckdb")]) == 0
    return folder / "fleet.duckdb"


def own_options(verb: str) -> list[argparse.Action]:
    """The options a verb takes, so that what is tried reaches beyond the reading of words."""
    verbs = next(action for action in parser()._actions if isinstance(action, argparse._SubParsersAction))
    kept = {"--help", "--ledger", "--settings"}
    return [action for action in verbs.choices[verb]._actions if not kept & set(action.option_strings)]


def tried(verb: str, chance: Random) -> list[str]:
    """Words of a verb: one to three of its options, each with as many values as it takes, some of them naughty."""
    words: list[str] = []
    for action in chance.sample(own_options(verb), min(chance.randrange(1, 4), len(own_options(verb)))):
        takes = action.nargs if isinstance(action.nargs, int) else 1
        values = [chance.choice(chance.choice((NAUGHTY, LIKELY, tuple(map(str, action.choices or LIKELY))))) for _ in range(takes)]
        words += [*action.option_strings[-1:], *values]
    return words


@pytest.mark.parametrize("verb", [verb.name for verb in VERBS if verb.name not in NEVER_RUN])
def test_any_words_end_in_a_code_of_the_contract(
    verb: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.chdir(tmp_path)
    chance, ledger = Random(verb), tmp_path / "fleet.duckdb"
    for _ in range(40):
        assert code_of(verb, "--ledger", str(ledger), *tried(verb, chance)) in CODES
    assert "Traceback" not in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.slow
@pytest.mark.parametrize("verb", [verb.name for verb in VERBS if verb.name not in NEVER_RUN])
def test_any_words_end_in_a_code_of_the_contract_with_a_ledger_too(
    verb: str, small_ledger: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.chdir(small_ledger.parent)
    chance = Random(verb)
    for _ in range(8):
        assert code_of(verb, "--ledger", str(small_ledger), *tried(verb, chance)) in CODES
    assert "Traceback" not in capsys.readouterr().err


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
