"""Who is at the page and what they may do, where sign-in is on; where it is off, whoever reaches the page may do everything.

In: a sign-in file (TOML: `[auth]` as Streamlit reads it, `[roles]` as here), what the organisation's provider says of a person.
Out: a role, a name, refusals. Nobody has a role by default, and the file is read anew at each click, so that one taken away is gone.
Elsewhere: signing in itself (`st.login`, OpenID Connect), the page for who is not in (`controls.admission`).
"""

import os
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import streamlit as st

from pipelines.errors import NotAllowed, WrongSettings

SIGN_IN_VARIABLE = "TOWLESS_SIGN_IN"
READ, RECORD, DECIDE = "read", "record", "decide"
ROLES = (READ, RECORD, DECIDE)
"""What a person may do; each role may what those before it may."""
MEANS = {
    READ: "look at every page",
    RECORD: "write records down and take files in",
    DECIDE: "adopt intervals, put tasks off and undo imports",
}
NEEDED = ("redirect_uri", "cookie_secret", "client_id", "client_secret", "server_metadata_url")
LEAST_SECRET = 32
PLACEHOLDER = "change"
KNOWN = {*ROLES, "claim", "trust_unverified_email"}


@dataclass(frozen=True)
class Roles:
    """Who has which role.

    Attributes
    ----------
    members
        {role: what of a person gives it: an e-mail address, a subject, or a word of the claim}; compared without regard to case.
    claim
        Name of a claim of the provider that holds words, such as `groups`; empty: none.
    trust_unverified_email
        Whether an e-mail address counts that the provider does not say it has verified.
    """

    members: Mapping[str, frozenset[str]]
    claim: str = ""
    trust_unverified_email: bool = False

    def of(self, person: Mapping[str, Any]) -> str:
        """Return the highest role of a person by what the provider says of them; empty: none."""
        words = self._words(person)
        return next((role for role in reversed(ROLES) if self.members.get(role, frozenset()) & words), "")

    def _words(self, person: Mapping[str, Any]) -> set[str]:
        claimed = person.get(self.claim) if self.claim else None
        words = [str(word) for word in (claimed if isinstance(claimed, list | tuple) else [claimed]) if word]
        email = person.get("email") if person.get("email_verified") is True or self.trust_unverified_email else None
        return {word.strip().casefold() for word in (*words, email, person.get("sub")) if word}


def read_roles(file: Path) -> Roles:
    """Read and check a sign-in file.

    Raises
    ------
    WrongSettings
        If it cannot be read, lacks what signing in needs, or names a role that is none.
    """
    try:
        held = tomllib.loads(file.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as fault:
        raise WrongSettings(f"{file}: cannot be read as a sign-in file ({fault}). README.md shows one under Shared use.") from fault
    _refuse_unsound(file, held.get("auth", {}))
    told = held.get("roles", {})
    if unknown := sorted(told.keys() - KNOWN):
        raise WrongSettings(f"{file}: [roles] knows no {unknown[0]!r}. It knows: {', '.join((*ROLES, 'claim', 'trust_unverified_email'))}.")
    if wrong := [role for role in ROLES if not isinstance(told.get(role, []), list)]:
        raise WrongSettings(f'{file}: [roles] {wrong[0]} is a list, such as {wrong[0]} = ["office"].')
    members = {role: frozenset(str(word).strip().casefold() for word in told.get(role, [])) for role in ROLES}
    if not any(members.values()):
        raise WrongSettings(f"{file}: [roles] gives nobody a role, so nobody could open a page. Name someone under read, record or decide.")
    return Roles(members, str(told.get("claim", "")), told.get("trust_unverified_email") is True)


def _refuse_unsound(file: Path, auth: Mapping[str, Any]) -> None:
    if missing := [name for name in NEEDED if not auth.get(name)]:
        raise WrongSettings(f"{file}: [auth] lacks {', '.join(missing)}. README.md shows a sign-in file under Shared use.")
    secret = str(auth["cookie_secret"])
    if len(secret) < LEAST_SECRET or secret.casefold().startswith(PLACEHOLDER):
        raise WrongSettings(
            f"{file}: [auth] cookie_secret has {len(secret)} characters or is that of an example; whoever knows it can sign in as anybody. "
            f'Take {LEAST_SECRET} or more at random: python -c "import secrets; print(secrets.token_hex(32))"'
        )


def is_on() -> bool:
    """Return whether the dashboard was served with a sign-in file."""
    return bool(os.environ.get(SIGN_IN_VARIABLE))


def is_signed_in() -> bool:
    """Return whether the provider has said who is here."""
    return bool(st.user.is_logged_in)


def role() -> str:
    """Return what who is here may do; everything where sign-in is off, empty for who is not in or has no role."""
    if not is_on():
        return DECIDE
    return read_roles(Path(os.environ[SIGN_IN_VARIABLE])).of(st.user.to_dict()) if is_signed_in() else ""


def account() -> str:
    """Return under which name a person is signed in; empty where sign-in is off."""
    if not is_on() or not is_signed_in():
        return ""
    person = st.user.to_dict()
    return str(person.get("email") or person.get("name") or person.get("sub") or "")


def may(needed: str) -> bool:
    """Return whether who is here has a role or a higher one."""
    held = role()
    return held in ROLES and ROLES.index(held) >= ROLES.index(needed)


def signed(by: str, needed: str) -> str:
    """Return who answers for a change: the name that was given, with the account where sign-in is on.

    Raises
    ------
    NotAllowed
        If who is here has no such role.
    """
    if not may(needed):
        raise NotAllowed(f"{account() or 'You'} may not {MEANS[needed]}: that takes the role `{needed}`. Nothing was changed.")
    name, known = by.strip(), account()
    if not known:
        return by
    return known if name in ("", known) else f"{name} ({known})"
