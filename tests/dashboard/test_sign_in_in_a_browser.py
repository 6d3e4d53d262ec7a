"""Signing in at a real provider on this machine, in a real browser: let in by role, turned away without one, signed out again."""

import re
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.support.browser import IN_A_BROWSER, Watched, free_port, served

pytestmark = [*IN_A_BROWSER, pytest.mark.skipif(find_spec("oidc_provider_mock") is None, reason="no provider to sign in at")]
PROVIDER = """
from oidc_provider_mock import User, run_server_in_thread
people = [User(sub=who, claims={{"email": who + "@quay.example", "email_verified": True}}) for who in ("owner", "stranger")]
with run_server_in_thread(port={port}, user_claims=people):
    input()
"""
STYLE_OF_PROVIDER = "picocss"
LONG_MS = 60_000


@pytest.fixture
def provider() -> Iterator[str]:
    """A provider of OpenID Connect on this machine that knows an owner and a stranger."""
    address = f"http://127.0.0.1:{(port := free_port())}"
    words = [sys.executable, "-W", "ignore", "-c", PROVIDER.format(port=port)]
    with subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as server:
        _wait_for(f"{address}/.well-known/openid-configuration")
        yield address
        server.terminate()


def _wait_for(address: str) -> None:
    for _ in range(300):
        try:
            with urllib.request.urlopen(address, timeout=1):
                return
        except OSError:
            time.sleep(0.1)
    raise RuntimeError(f"nothing answers at {address}")


def enter(watched: Watched, who: str) -> None:
    """Sign in at the provider, whose own page asks for a style sheet elsewhere; ours never does."""
    page = watched.page
    page.route(re.compile(STYLE_OF_PROVIDER), lambda route: route.fulfill(body="", content_type="text/css"))
    page.get_by_role("button", name="Sign in").click()
    page.locator("input[name=sub]").fill(who)
    page.get_by_role("button", name="Authorize").click()


def leave(watched: Watched) -> None:
    page = watched.page
    page.get_by_role("button", name="Sign out").click()
    ended = page.get_by_role("button", name="End session")
    expect(ended.or_(page.get_by_role("button", name="Sign in")).first).to_be_visible(timeout=LONG_MS)
    if ended.is_visible():
        ended.click()
    expect(page.get_by_role("button", name="Sign in")).to_be_visible(timeout=LONG_MS)


def test_the_owner_is_let_in_a_stranger_is_not(watched: Watched, small_ledger: Path, tmp_path: Path, provider: str):
    with served(small_ledger, tmp_path, sign_in_at=provider, roles='decide = ["owner@quay.example"]') as address:
        watched.open(address)
        page = watched.page
        expect(page.get_by_text("Sign in with your organisation")).to_be_visible()
        assert "What strands us" not in page.content()

        enter(watched, "stranger")
        expect(page.get_by_text("nobody has given this account a role")).to_be_visible(timeout=LONG_MS)
        assert "What strands us" not in page.content()
        leave(watched)

        enter(watched, "owner")
        expect(page.get_by_text("Signed in as owner@quay.example")).to_be_visible(timeout=LONG_MS)
        watched.open(f"{address}/what-is-due")
        expect(page.get_by_role("heading", name="What is due", exact=True)).to_be_visible(timeout=LONG_MS)
        page.goto("about:blank")
    assert all(STYLE_OF_PROVIDER in asked for asked in watched.outside)
    watched.outside.clear()
