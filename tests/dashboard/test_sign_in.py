"""Shared use: nobody may do anything by default, each role what it says, and every change carries who."""

import inspect
from pathlib import Path

import pytest
import streamlit as st

from dashboard import changes, sign_in
from dashboard.readings import Scope
from dashboard.sign_in import DECIDE, READ, RECORD, Roles, read_roles
from pipelines.errors import NotAllowed, WrongSettings
from tests.support.screens import open_screen, words

AUTH = """[auth]
redirect_uri = "http://127.0.0.1:8501/oauth2callback"
cookie_secret = "0123456789abcdef0123456789abcdef"
client_id = "towless"
client_secret = "between us"
server_metadata_url = "http://127.0.0.1:9400/.well-known/openid-configuration"
"""
ROLES = """[roles]
claim = "groups"
read = ["crew"]
record = ["yard"]
decide = ["office", "owner@quay.example"]
"""
CHANGES = [
    name
    for name, made in inspect.getmembers(changes, inspect.isfunction)
    if not name.startswith("_") and made.__module__ == changes.__name__ and {"by", "wish"} & inspect.signature(made).parameters.keys()
]


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "sign-in.toml"
    path.write_text(AUTH + ROLES, encoding="utf-8")
    monkeypatch.setenv(sign_in.SIGN_IN_VARIABLE, str(path))
    return path


def here(monkeypatch: pytest.MonkeyPatch, **person: object) -> None:
    """Let somebody be signed in; without a word, nobody is."""

    class User:
        is_logged_in = bool(person)

        def to_dict(self) -> dict:
            return person

    monkeypatch.setattr(st, "user", User())


@pytest.mark.parametrize(
    ("person", "role"),
    [
        ({"sub": "1", "groups": ["crew"]}, READ),
        ({"sub": "1", "groups": ["crew", "Yard"]}, RECORD),
        ({"sub": "1", "groups": "office"}, DECIDE),
        ({"sub": "1", "email": "Owner@quay.example", "email_verified": True}, DECIDE),
        ({"sub": "1", "email": "owner@quay.example"}, ""),
        ({"sub": "1", "email": "owner@quay.example", "email_verified": False}, ""),
        ({"sub": "1", "name": "office"}, ""),
        ({"sub": "1", "groups": []}, ""),
        ({}, ""),
    ],
)
def test_a_role_is_had_by_a_claim_a_subject_or_a_verified_address_and_by_nothing_else(file: Path, person: dict, role: str):
    assert read_roles(file).of(person) == role


def test_an_unverified_address_counts_only_where_the_file_says_so():
    person = {"email": "owner@quay.example"}
    assert Roles({DECIDE: frozenset({"owner@quay.example"})}, trust_unverified_email=True).of(person) == DECIDE


@pytest.mark.parametrize(
    ("text", "why"),
    [
        (ROLES, "lacks redirect_uri"),
        (AUTH, "gives nobody a role"),
        (AUTH + "[roles]\nreads = ['crew']\n", "knows no 'reads'"),
        (AUTH + "[roles]\nread = 'crew'\n", "read is a list"),
        (AUTH.replace("0123456789abcdef0123456789abcdef", "short") + ROLES, "cookie_secret has 5 characters"),
        (AUTH.replace("0123456789abcdef0123456789abcdef", "change me change me change me change me") + ROLES, "that of an example"),
        ("[auth", "cannot be read"),
    ],
)
def test_a_wrong_sign_in_file_is_refused_with_the_way_out(tmp_path: Path, text: str, why: str):
    path = tmp_path / "sign-in.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(WrongSettings, match=why):
        read_roles(path)


def test_without_sign_in_everybody_may_everything_under_the_name_they_give():
    assert sign_in.may(DECIDE)
    assert sign_in.signed("The manager", DECIDE) == "The manager"


@pytest.mark.usefixtures("file")
def test_nobody_may_anything_until_they_are_signed_in(monkeypatch: pytest.MonkeyPatch):
    here(monkeypatch)
    assert not any(sign_in.may(role) for role in sign_in.ROLES)


@pytest.mark.parametrize("name", CHANGES)
@pytest.mark.parametrize("groups", [[], ["crew"]])
@pytest.mark.usefixtures("file")
def test_no_change_is_made_by_who_may_only_read(monkeypatch: pytest.MonkeyPatch, name: str, groups: list[str]):
    here(monkeypatch, sub="1", groups=groups)
    change = getattr(changes, name)
    given = {each: _Anything() for each in inspect.signature(change).parameters}
    with pytest.raises(NotAllowed, match="Nothing was changed"):
        change(**given)


@pytest.mark.usefixtures("file")
def test_what_is_recorded_and_what_is_decided_are_apart(monkeypatch: pytest.MonkeyPatch):
    here(monkeypatch, sub="1", name="Yard", groups=["yard"])
    assert sign_in.signed("", RECORD) == "Yard"
    with pytest.raises(NotAllowed, match="the role `decide`"):
        changes.undo(1, "yard")
    with pytest.raises(NotAllowed, match="the role `decide`"):
        changes.adopt("drive belt", 100.0, None, "yard", "why", Scope())


@pytest.mark.usefixtures("file")
def test_a_change_carries_the_account_beside_the_name_that_was_typed(monkeypatch: pytest.MonkeyPatch):
    here(monkeypatch, sub="1", email="owner@quay.example", email_verified=True)
    assert sign_in.signed("The manager", DECIDE) == "The manager (owner@quay.example)"
    assert sign_in.signed(" ", DECIDE) == "owner@quay.example"


def test_a_role_that_is_taken_away_is_gone_at_the_next_click(file: Path, monkeypatch: pytest.MonkeyPatch):
    here(monkeypatch, sub="1", groups=["yard"])
    assert sign_in.may(RECORD)
    file.write_text(AUTH + ROLES.replace('"yard"', '"nobody"'), encoding="utf-8")
    assert not sign_in.may(READ)


@pytest.mark.usefixtures("file")
def test_a_shared_dashboard_reads_no_folder_of_its_machine(monkeypatch: pytest.MonkeyPatch):
    here(monkeypatch, sub="1", groups=["office"])
    with pytest.raises(NotAllowed, match="reads no folders"):
        changes.files_in("/")


@pytest.mark.parametrize(("person", "told"), [({}, "Sign in with your"), ({"sub": "stranger"}, "nobody has given this account a role")])
@pytest.mark.usefixtures("file")
def test_who_is_not_admitted_sees_no_figure(monkeypatch: pytest.MonkeyPatch, small_ledger: Path, person: dict[str, str], told: str):
    here(monkeypatch, **person)
    page = open_screen("this_week", small_ledger)
    shown = words(page) + "".join(each.value for each in page.warning)
    assert told in shown
    assert not page.get("vega_lite_chart")
    assert not page.dataframe


class _Anything:
    """Stands in for whatever a change is given; it must be refused before it is looked at."""

    by = "somebody"

    def strip(self) -> str:
        return "somebody"
