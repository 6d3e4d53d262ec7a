"""The JSON of rates and fits holds what the screens show, and the same figures."""

from pathlib import Path
from typing import Any

import pytest

from dashboard import readings
from dashboard.readings import Scope
from pipelines.exports.answer import plain
from tests.support.screens import showing
from tests.support.small_fleet import ask

pytestmark = pytest.mark.slow


def alike(one: Any, other: Any) -> bool:
    """Whether two answers are one, but for the order in which hours were summed."""
    if isinstance(one, dict):
        return one.keys() == other.keys() and all(alike(one[key], other[key]) for key in one)
    if isinstance(one, list):
        return len(one) == len(other) and all(map(alike, one, other))
    return one == pytest.approx(other, rel=1e-6, abs=1e-12) if isinstance(one, float) else one == other


@pytest.mark.parametrize("of", ["calls", "failures"])
def test_the_patterns_of_the_command_are_those_of_the_screen(of: str, taken: str, capsys: pytest.CaptureFixture[str]):
    told = ask(capsys, "rates", "--ledger", taken, "--of", of)
    with showing(Path(taken)):
        shown = readings.ask("rates", Scope(), of=of, by="cause", with_patterns=True)
    assert {"trend", "seasons", "boats"} <= set(told)
    for key in shown.extra:
        assert alike(told[key], plain(shown.extra[key])), key
    assert alike(told["rows"], plain(shown.rows))


def test_the_shares_of_the_remedies_add_to_one_and_lie_within_their_limits(taken: str, capsys: pytest.CaptureFixture[str]):
    rows = ask(capsys, "rates", "--ledger", taken, "--by", "remedy")["rows"]
    assert sum(row["share"] for row in rows) == pytest.approx(1)
    assert all(row["share_low"] <= row["share"] <= row["share_high"] for row in rows)


def test_what_stands_behind_each_fit_is_that_of_the_screen(taken: str, capsys: pytest.CaptureFixture[str]):
    told = ask(capsys, "fits", "--ledger", taken, "--by", "model")
    assert [(row["component"], row["group"]) for row in told["details"]] == [(row["component"], row["group"]) for row in told["rows"]]
    component = max(told["rows"], key=lambda row: row["failures"])["component"]
    with showing(Path(taken)):
        shown = readings.split_fits(Scope(), component, "hours", "model")
    assert [row for row in told["details"] if row["component"] == component] == plain(shown.extra["details"])
    assert [row for row in told["comparisons"] if row["component"] == component] == plain(shown.extra["comparisons"])


def test_a_fitted_line_goes_through_the_b10_of_its_row(taken: str, capsys: pytest.CaptureFixture[str]):
    told = ask(capsys, "fits", "--ledger", taken)
    held = [(row, behind) for row, behind in zip(told["rows"], told["details"], strict=True) if behind["line"] and not behind["from_age"]]
    assert held
    for row, behind in held:
        before = [point for point in behind["line"] if point["age"] <= row["b10"]]
        after = [point for point in behind["line"] if point["age"] >= row["b10"]]
        assert not before or before[-1]["surviving"] >= 0.9 - 1e-9
        assert not after or after[0]["surviving"] <= 0.9 + 1e-9


def test_two_rows_are_compared_by_the_command_and_said_in_words(taken: str, capsys: pytest.CaptureFixture[str]):
    bases = [row["group"] for row in ask(capsys, "rates", "--ledger", taken, "--by", "base")["rows"]][:2]
    told = ask(capsys, "rates", "--ledger", taken, "--by", "base", "--compare", *bases)["ratio"]
    assert told["low"] <= told["ratio"] <= told["high"]
    with showing(Path(taken)):
        behind = readings.ask("counted", Scope(), of="calls", by="base").rows
    assert behind.filter(behind["group"] == bases[0]).height > 0
