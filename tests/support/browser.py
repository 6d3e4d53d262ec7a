"""A real browser on a served dashboard: Debian's chromium, a server of our own, every request and complaint written down.

In: a ledger. Out: a served address, a page, what it asked for and what it complained of.
Elsewhere: pages without a browser (`screens`).
"""

import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
PATIENCE_S = 120
THIS_MACHINE = "127.0.0.1"
# On a deep link Streamlit's page first asks for the server below the page's own path, is told 404, and then asks at the root.
LOOKING_FOR_ITS_SERVER = "/_stcore/"


def chromium() -> str | None:
    """Return where chromium is; `None`: there is none."""
    return shutil.which("chromium")


IN_A_BROWSER = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.skipif(chromium() is None, reason="no chromium here; on Debian: apt-get install chromium"),
]
"""The marks of every test that needs a real browser."""


def free_port() -> int:
    """Return a port that nobody listens on."""
    with socket.socket() as trial:
        trial.bind((THIS_MACHINE, 0))
        return trial.getsockname()[1]


@contextmanager
def served(ledger: Path, folder: Path, sign_in_at: str = "", roles: str = "") -> Iterator[str]:
    """Serve the dashboard of `ledger` from `folder`, which holds no settings of Streamlit, and return its address.

    With a provider of OpenID Connect, whoever opens it is asked who they are, and `roles` says who may do what.
    """
    port = free_port()
    asked = _sign_in_file(folder, port, sign_in_at, roles) if sign_in_at else None
    sign_in = f"Path({str(asked)!r})" if asked else None
    given = f"Path({str(ledger)!r}), port={port}, sign_in={sign_in}, open_browser=False"
    script = f"from pathlib import Path; from dashboard.serve import serve; serve({given})"
    with (folder / "server.log").open("w") as log:
        server = subprocess.Popen([sys.executable, "-c", script], cwd=folder, stdout=log, stderr=subprocess.STDOUT)
    address = f"http://{THIS_MACHINE}:{port}"
    try:
        waited_for(address, server, folder / "server.log")
        yield address
    finally:
        server.terminate()
        server.wait(timeout=PATIENCE_S)


def _sign_in_file(folder: Path, port: int, provider: str, roles: str) -> Path:
    told = {
        "redirect_uri": f"http://{THIS_MACHINE}:{port}/oauth2callback",
        "cookie_secret": "0123456789abcdef" * 4,
        "client_id": "towless",
        "client_secret": "between us",
        "server_metadata_url": f"{provider}/.well-known/openid-configuration",
    }
    file = folder / "sign-in.toml"
    auth = "\n".join(f"{name} = {value!r}" for name, value in told.items())
    file.write_text(f"[auth]\n{auth}\n[roles]\n{roles}\n", encoding="utf-8")
    return file


def waited_for(address: str, server: subprocess.Popen, log: Path) -> None:
    """Wait until a server answers; raise with what it wrote if it stopped."""
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        if server.poll() is not None:
            raise RuntimeError(f"the server stopped: {log.read_text()}")
        try:
            with urllib.request.urlopen(f"{address}/_stcore/health", timeout=1):
                return
        except OSError:
            time.sleep(0.1)
    raise RuntimeError(f"no server at {address}: {log.read_text()}")


@contextmanager
def browsing() -> Iterator[Browser]:
    """Start chromium without a window, and stop it again."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium(), args=list(FLAGS))
        yield browser
        browser.close()


@dataclass
class Watched:
    """A page with what it asked for outside this machine and what it complained of."""

    page: Page
    outside: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Write down from the first request on."""
        self.page.on("request", lambda request: self._asked(request.url))
        self.page.on("websocket", lambda socket: self._asked(socket.url))
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        self.page.on("console", lambda told: self._said(told.type, told.text, told.location.get("url", "")))

    def open(self, address: str) -> None:
        """Open an address and wait until the page stands still."""
        self.page.goto(address)
        self.settle()

    def settle(self) -> None:
        """Wait until the page runs no more and every picture is drawn."""
        self.page.wait_for_selector('[data-testid="stApp"][data-test-script-state="notRunning"]', timeout=PATIENCE_S * 1000)
        self.page.wait_for_function("document.querySelectorAll('[data-testid=stSkeleton]').length === 0", timeout=PATIENCE_S * 1000)
        self.page.wait_for_timeout(300)

    def _asked(self, url: str) -> None:
        if not url.startswith(("data:", "blob:", f"http://{THIS_MACHINE}", f"ws://{THIS_MACHINE}")):
            self.outside.append(url)

    def _said(self, kind: str, text: str, url: str) -> None:
        if kind in ("error", "warning") and not (LOOKING_FOR_ITS_SERVER in url and "404" in text):
            self.complaints.append(f"{kind}: {text} ({url})")
