"""README and DEVELOPERS.md say what the house is; these tests hold them to it."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

from pipelines.command.parser import VERBS, parser
from pipelines.terms.answers import ANSWERS
from pipelines.terms.tables import RECORD_KINDS

HOUSE = Path(__file__).parent.parent
README = (HOUSE / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (HOUSE / "DEVELOPERS.md").read_text(encoding="utf-8")


def rooms() -> list[str]:
    """Folders and files one level into pipelines and dashboard."""
    found = [path for top in ("pipelines", "dashboard") for path in (HOUSE / top).iterdir()]
    return sorted(path.name for path in found if not path.name.startswith(("_", ".")))


@pytest.mark.parametrize("room", rooms())
def test_developers_names_every_room(room: str):
    assert f"`{room}" in DEVELOPERS


@pytest.mark.parametrize("verb", [verb.name for verb in VERBS])
def test_the_readme_shows_every_verb(verb: str):
    assert re.search(rf"towless {verb}\b|`{verb}`", README)


@pytest.mark.parametrize("kind", RECORD_KINDS)
def test_the_readme_says_what_every_kind_of_record_holds(kind: str):
    assert f"`{kind}`" in README


@pytest.mark.parametrize("verb", VERBS, ids=lambda verb: verb.name)
def test_the_help_of_a_verb_says_what_happens_what_stays_untouched_and_a_line_to_try(verb, capsys):
    with pytest.raises(SystemExit) as ended:
        parser().parse_args([verb.name, "--help"])
    told = " ".join(capsys.readouterr().out.split())
    assert ended.value.code == 0
    assert " ".join(verb.happens.split()) in told
    assert " ".join(verb.untouched.split()) in told
    assert f"Try it: {verb.try_it}" in told


@pytest.mark.parametrize("verb", VERBS, ids=lambda verb: verb.name)
def test_the_line_to_try_can_be_read_by_the_command(verb):
    words = [word.strip("'") for word in re.findall(r"'[^']*'|\S+", verb.try_it)]
    assert parser().parse_args(words[1:]).verb == verb.name


def test_every_option_has_help():
    for action in parser()._subparsers._group_actions[0].choices.values():  # type: ignore[union-attr]
        assert all(option.help for option in action._actions), action.prog


def test_every_figure_of_an_answer_says_what_it_means():
    for columns in ANSWERS.values():
        assert all(told.meaning.endswith((".", "?")) for told in columns)
        assert len({told.name for told in columns}) == len(columns)


def test_a_wrong_word_ends_with_exit_code_2_and_no_traceback():
    done = subprocess.run([sys.executable, "-m", "pipelines.command.main", "intak"], capture_output=True, text=True, cwd=HOUSE)
    assert done.returncode == 2
    assert "Traceback" not in done.stderr


def test_a_project_file_names_no_place_outside_the_project():
    listed = subprocess.run(["git", "ls-files"], capture_output=True, text=True, cwd=HOUSE)
    if listed.returncode:
        pytest.skip("not a git checkout: the list of project files is git's")
    slash = "/"
    outside = re.compile(rf"{slash}work{slash}|{slash}root{slash}|\.\.{slash}shared|/tmp/p" + r"lan", re.IGNORECASE)
    for name in listed.stdout.split("\n"):
        path = HOUSE / name
        if path.suffix in {".py", ".md", ".toml", ".sql", ".txt", ".csv"} and path.is_file():
            assert not outside.search(path.read_text(encoding="utf-8", errors="replace")), name
