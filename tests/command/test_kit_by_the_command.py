"""`towless stock --kit`: the keys of the contract, sets within their limits, and what is refused."""

import pytest

from pipelines.command.main import main
from pipelines.terms.answers import names_of
from pipelines.terms.kit import SAFETY_GEAR
from tests.support.small_fleet import ask, refuse


def test_a_kit_keeps_within_its_limits_and_tells_what_it_leaves(taken, capsys):
    told = ask(capsys, "stock", "--kit", "--kit-budget", "90", "--kit-weight", "2", "--ledger", taken)
    assert told["kits"]
    assert list(told["rows"][0]) == names_of("kit")
    for kit in told["kits"]:
        aboard = [item for item in kit["items"] if item["aboard"]]
        assert sum(item["price"] for item in aboard) == pytest.approx(kit["spend"])
        assert kit["spend"] <= 90
        assert sum(item["weight_kg"] or 0 for item in aboard) <= 2
        assert kit["tows_stopped"] == pytest.approx(sum(item["tows_stopped"] for item in aboard))
        assert sum(gap["share"] for gap in kit["gaps"]) == pytest.approx(1)
        assert "unknown" in [gap["fault"] for gap in kit["gaps"]]
        assert kit["curve"][0] == {"spend": 0.0, "weight_kg": 0.0, "tows_stopped": 0.0}
        assert all(item["caution"] for item in kit["items"])


def test_more_money_never_stops_fewer_tows(taken, capsys):
    stopped = []
    for money in ("0", "60", "5000"):
        told = ask(capsys, "stock", "--kit", "--kit-budget", money, "--ledger", taken)
        stopped.append([kit["tows_stopped"] for kit in told["kits"]])
    assert all(few <= more <= most for few, more, most in zip(*stopped, strict=True))
    assert set(stopped[0]) == {0.0}


def test_the_table_says_that_safety_gear_is_no_matter_of_the_count(taken, capsys):
    assert main(["stock", "--kit", "--ledger", str(taken)]) == 0
    said = capsys.readouterr()
    assert SAFETY_GEAR in said.err
    assert "What no kit covers" in said.out
    assert "licensed technician" in said.out


@pytest.mark.parametrize(
    ("words", "said"),
    [(["--kit-budget", "-5"], "'-5' is not a number of 0 or more"), (["--kit-weight", "heavy"], "'heavy'")],
)
def test_a_limit_that_cannot_be_is_refused(taken, capsys, words, said):
    with pytest.raises(SystemExit) as ended:
        main(["stock", "--kit", *words, "--ledger", str(taken)])
    assert ended.value.code == 2
    assert said in capsys.readouterr().err


def test_filters_that_keep_no_boat_are_refused_with_the_way_out(taken, capsys):
    told = refuse(capsys, 2, "stock", "--kit", "--class", "no such class", "--ledger", taken)
    assert "'no such class': no vessel class of that name in the records." in told
    assert "Known: " in told
