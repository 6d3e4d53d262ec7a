"""The page of methods: a section for every link, the priors in force, formulas and sources, nothing that calls outside."""

import re
from dataclasses import fields, replace
from pathlib import Path

import pytest

from dashboard.sentences import how_to_read, methods
from dashboard.sentences.methods import PARTS, method
from pipelines.terms.settings import Prior, Settings
from tests.support.screens import open_screen, words

NAMES = [name for names in PARTS.values() for name in names]
LINK = re.compile(r"\[How it is worked out\]\(how-it-is-worked-out#([a-z]+)\)")
PICTURES = {name: text for name, text in vars(how_to_read).items() if name.isupper() and isinstance(text, str)}


@pytest.mark.parametrize("name", sorted(PICTURES))
def test_every_picture_links_to_a_section_that_is_there(name: str):
    (anchor,) = LINK.findall(PICTURES[name])
    assert anchor in NAMES


def test_every_file_is_a_section_and_every_section_a_file():
    files = {file.stem for file in Path(methods.__file__).parent.glob("*.md")}
    assert files == set(NAMES)
    assert len(NAMES) == len(set(NAMES))


@pytest.mark.parametrize("name", NAMES)
def test_a_section_has_a_title_and_a_source_or_says_that_it_has_none(name: str):
    assert method(name).title
    assert re.search(r"\*Sources?:\*", method(name).text)
    assert "http" not in method(name).text


def test_the_priors_shown_are_those_of_the_settings_in_force():
    changed = Settings(prior=Prior(**{field.name: 0.011 * (place + 1) for place, field in enumerate(fields(Prior))}))
    told = method("posterior").told(changed)
    assert all(f"{getattr(changed.prior, field.name):g}" in told for field in fields(Prior))
    assert "<<" not in told


@pytest.mark.parametrize("name", NAMES)
def test_no_setting_is_left_unfilled(name: str):
    assert "<<" not in method(name).told(Settings())


def test_the_page_opens_with_an_anchor_for_every_method_and_the_settings_in_force(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    file = tmp_path / "settings.toml"
    file.write_text("level = 0.9\n[prior]\nwears_out = 0.7\nrandom = 0.25\n")
    monkeypatch.setenv("TOWLESS_SETTINGS", str(file))
    page = open_screen("how_it_is_worked_out", tmp_path / "none.duckdb")
    assert not page.exception
    assert [heading.proto.anchor for heading in page.subheader] == NAMES
    assert "wears out 0.7" in words(page)
    assert method("rates").told(replace(Settings(), level=0.9)) in words(page)
