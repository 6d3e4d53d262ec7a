"""How far a long reading is, shown on standard error where a person sits there, and nowhere else."""

import io
import sys

import pytest

from pipelines.command.progress import Bar, bar


class Terminal(io.StringIO):
    """Standard error that somebody looks at."""

    def isatty(self) -> bool:
        return True


def looked_at(monkeypatch: pytest.MonkeyPatch) -> Terminal:
    seen = Terminal()
    monkeypatch.setattr(sys, "stderr", seen)
    return seen


def test_half_a_file_is_half_a_bar(monkeypatch: pytest.MonkeyPatch):
    terminal = looked_at(monkeypatch)
    Bar()("tickets.csv", 50, 100)
    told = terminal.getvalue()
    assert told.startswith("\rtickets.csv")
    assert told.count("=") == 15
    assert told.endswith(" 50%")


def test_a_file_that_is_done_leaves_an_empty_line(monkeypatch: pytest.MonkeyPatch):
    terminal = looked_at(monkeypatch)
    show = Bar()
    show("tickets.csv", 99, 100)
    show("tickets.csv", 100, 100)
    assert terminal.getvalue().endswith("\r\x1b[2K")


def test_an_empty_file_is_done_at_once(monkeypatch: pytest.MonkeyPatch):
    terminal = looked_at(monkeypatch)
    Bar()("empty.csv", 0, 0)
    assert "=" not in terminal.getvalue()


def test_a_file_that_grew_meanwhile_is_never_more_than_whole(monkeypatch: pytest.MonkeyPatch):
    terminal = looked_at(monkeypatch)
    Bar()("tickets.csv", 130, 100)
    assert "=" not in terminal.getvalue()


def test_only_a_terminal_gets_a_bar(monkeypatch: pytest.MonkeyPatch):
    looked_at(monkeypatch)
    assert isinstance(bar(), Bar)
    monkeypatch.setattr(sys, "stderr", io.StringIO())
    assert bar() is None
