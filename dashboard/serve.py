"""Serving the dashboard: Streamlit on this machine, with nothing asked of the internet and nothing sent there.

In: a ledger, where to listen. Out: a running server until it is stopped; an error in words where the port is taken.
Works from any folder: the settings of the pages lie beside `app.py` and travel with it.
Elsewhere: the pages (`app`).
"""

import os
import socket
import sys
from pathlib import Path

from dashboard.sign_in import SIGN_IN_VARIABLE, read_roles
from pipelines.errors import WrongInput

APP = Path(__file__).with_name("app.py")
LEDGER_VARIABLE = "TOWLESS_LEDGER"
SETTINGS_VARIABLE = "TOWLESS_SETTINGS"
NOBODY_ASKED = (
    "Sign-in is off: whoever reaches this address can read and change the ledger. Turn it on with --sign-in FILE (README.md, Shared use)."
)
THIS_MACHINE = "127.0.0.1"
ONLY_HERE = (THIS_MACHINE, "localhost", "::1")
PORT = 8501
PORTS = range(1, 65536)


def serve(
    ledger: Path,
    host: str = THIS_MACHINE,
    port: int = PORT,
    *,
    settings: Path | None = None,
    sign_in: Path | None = None,
    open_browser: bool = True,
) -> int:
    """Serve the dashboard of `ledger` until it is stopped, and return the exit code.

    Parameters
    ----------
    ledger
        The ledger; it need not be there yet, the pages then say how to make one.
    host
        Address to listen on; the default can be reached from this machine only.
    port
        Port to listen on.
    settings
        A settings file; `None`: the defaults.
    sign_in
        A sign-in file; `None`: nobody is asked who they are.
    open_browser
        Open the page in a browser where this machine has a screen.

    Raises
    ------
    WrongInput
        If the port cannot be listened on.
    WrongSettings
        If the sign-in file is wrong.
    """
    refuse_taken_port(host, port)
    if sign_in is not None:
        read_roles(sign_in)
        os.environ[SIGN_IN_VARIABLE] = str(sign_in.resolve())
    elif host not in ONLY_HERE:
        print(NOBODY_ASKED, file=sys.stderr, flush=True)
    os.environ[LEDGER_VARIABLE] = str(ledger.resolve())
    if settings is not None:
        os.environ[SETTINGS_VARIABLE] = str(settings.resolve())
    print(f"The dashboard of {ledger} is at http://{_shown(host)}:{port} until you press Ctrl+C.", flush=True)
    _run(options(host, port, open_browser=open_browser, sign_in=sign_in))
    return 0


def _run(flags: dict[str, object]) -> None:
    """Run the server in this process, as `streamlit run` would."""
    from streamlit import config  # here, because it takes a second to load and every other verb of the command does without
    from streamlit.web import bootstrap

    config._main_script_path = str(APP)  # so that the settings beside the script are read
    bootstrap.load_config_options(flags)
    bootstrap.run(str(APP), is_hello=False, args=[], flag_options=flags)


def options(host: str, port: int, *, open_browser: bool, sign_in: Path | None = None) -> dict[str, object]:
    """Return the options of the server that a call decides; all others stand in the settings beside the script.

    The address for the browser is named, because Streamlit otherwise asks the internet for this machine's own.
    """
    secrets: dict[str, object] = {"secrets_files": [str(sign_in.resolve())]} if sign_in else {}
    return secrets | {
        "server_address": host,
        "server_port": port,
        "server_headless": not (open_browser and has_screen()),
        "browser_serverAddress": _shown(host),
        "browser_gatherUsageStats": False,
    }


def has_screen() -> bool:
    """Return whether a browser can be opened here: not on a server without a display."""
    return os.name == "nt" or bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")) or os.uname().sysname == "Darwin"


def refuse_taken_port(host: str, port: int) -> None:
    """Raise `WrongInput` if `port` on `host` cannot be listened on."""
    if port not in PORTS:
        raise WrongInput(f"port {port}: ports go from 1 to 65535. Try: towless serve --port {PORT}")
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as trial:
        if os.name != "nt":
            trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)  # a port just let go is not a port in use
        try:
            trial.bind((host, port))
        except OSError as fault:
            raise WrongInput(
                f"{host}, port {port}: cannot be listened on ({fault.strerror}). Stop what uses it, or try: towless serve --port {port + 1}"
            ) from fault


def _shown(host: str) -> str:
    """Return the address a browser on this machine uses: of a server that listens everywhere, this machine's own."""
    return {"0.0.0.0": THIS_MACHINE, "::": "localhost"}.get(host, host)
