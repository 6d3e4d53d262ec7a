"""Serving: this machine only, nothing asked of the internet, a taken port said in words."""

import socket
from pathlib import Path

import pytest
from streamlit import config, net_util
from streamlit.web import bootstrap

from dashboard import serve as serving
from dashboard.serve import APP, LEDGER_VARIABLE, SETTINGS_VARIABLE, options, refuse_taken_port, serve
from pipelines.errors import WrongInput


def test_a_port_in_use_is_refused_with_another_to_try():
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(WrongInput, match=f"port {port}: cannot be listened on .*--port {port + 1}"):
            refuse_taken_port("127.0.0.1", port)


@pytest.mark.parametrize("port", [0, -1, 65536])
def test_a_port_that_cannot_be_is_refused(port: int):
    with pytest.raises(WrongInput, match="ports go from 1 to 65535"):
        refuse_taken_port("127.0.0.1", port)


def test_an_address_of_another_machine_is_refused():
    with pytest.raises(WrongInput, match="cannot be listened on"):
        refuse_taken_port("192.0.2.7", 8501)  # RFC 5737: an address for documentation, nobody's


def test_by_default_only_this_machine_can_connect():
    assert serve.__defaults__ == ("127.0.0.1", 8501)


@pytest.mark.parametrize(
    ("host", "shown"), [("127.0.0.1", "127.0.0.1"), ("0.0.0.0", "127.0.0.1"), ("::", "localhost"), ("10.0.0.4", "10.0.0.4")]
)
def test_the_address_is_named_so_that_streamlit_need_not_ask_the_internet_for_it(host: str, shown: str):
    assert options(host, 8501, open_browser=False)["browser_serverAddress"] == shown


def test_a_browser_is_opened_only_where_there_is_a_screen(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(serving, "has_screen", lambda: True)
    assert not options("127.0.0.1", 8501, open_browser=True)["server_headless"]
    assert options("127.0.0.1", 8501, open_browser=False)["server_headless"]
    monkeypatch.setattr(serving, "has_screen", lambda: False)
    assert options("127.0.0.1", 8501, open_browser=True)["server_headless"]


@pytest.fixture
def started(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, object]]:
    """What the server would have been started with."""
    calls: list[dict[str, object]] = []
    monkeypatch.setattr(bootstrap, "run", lambda script, **rest: calls.append({"script": script, **rest}))
    monkeypatch.setattr(config, "_main_script_path", None)
    monkeypatch.setenv(LEDGER_VARIABLE, "")
    monkeypatch.setenv(SETTINGS_VARIABLE, "")
    return calls


def test_the_pages_are_served_with_our_settings_from_any_folder(
    started: list[dict[str, object]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    monkeypatch.chdir(tmp_path)
    assert serve(Path("fleet.duckdb"), port=18765, open_browser=False) == 0
    assert started[0]["script"] == str(APP)
    assert config.get_option("browser.gatherUsageStats") is False
    assert config.get_option("client.showErrorLinks") is False
    assert config.get_option("client.toolbarMode") == "minimal"
    assert config.get_option("theme.light.backgroundColor") == "#FBF8F0"
    assert "http://127.0.0.1:18765" in capsys.readouterr().out


def test_the_ledger_and_the_settings_are_named_whole(started: list[dict[str, object]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.chdir(tmp_path)
    serve(Path("fleet.duckdb"), port=18765, settings=Path("ours.toml"), open_browser=False)
    assert serving.os.environ[LEDGER_VARIABLE] == str(tmp_path / "fleet.duckdb")
    assert serving.os.environ[SETTINGS_VARIABLE] == str(tmp_path / "ours.toml")
    assert started


def test_starting_asks_nothing_of_the_internet(started: list[dict[str, object]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(net_util, "get_external_ip", lambda: pytest.fail("asked for this machine's own address"))
    serve(tmp_path / "fleet.duckdb", host="0.0.0.0", port=18765, open_browser=False)
    bootstrap._print_url(is_running_hello=False)
    assert started
