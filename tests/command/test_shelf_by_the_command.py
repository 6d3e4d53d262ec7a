"""`towless stock --ordered --received --counted`: what is written down, told, refused and brought back."""

import pytest

from pipelines.command.main import main
from tests.support.small_fleet import ask, refuse


def shelf(capsys, ledger) -> dict[tuple[str, str | None], int]:
    return {(row["part_id"], row["base"]): row["on_hand"] for row in ask(capsys, "stock", "--ledger", ledger)["rows"]}


def a_part(capsys, ledger) -> tuple[str, str]:
    """The first part that lies on several shelves, and one of its bases."""
    held = list(shelf(capsys, ledger))
    part = next(part for part, _ in held if sum(one == part for one, _ in held) > 1)
    return part, next(base for one, base in held if one == part and base)


def test_a_count_is_written_down_told_kept_in_the_history_and_undone(own_ledger, capsys):
    part, base = a_part(capsys, own_ledger)
    before = shelf(capsys, own_ledger)
    found = before[part, base] + 3
    words = ["stock", "--counted", part, str(found), "--base", base, "--by", "foreman", "--because", "spring count"]
    assert main([*words, "--ledger", str(own_ledger)]) == 0
    said = capsys.readouterr().err
    assert f"{part} at {base}: {found} counted." in said
    assert "3 pieces more than that explains" in said
    assert shelf(capsys, own_ledger) == before | {(part, base): found}
    versions = ask(capsys, "records", "--history", "parts", f"{part}/{base}", "--ledger", own_ledger)["rows"]
    assert (versions[-1]["taken_by"], versions[-1]["fate"]) == ("foreman", "accepted")
    assert "spring count" in versions[-1]["raw"]
    assert main(["intake", "--undo", str(versions[-1]["import_id"]), "--ledger", str(own_ledger)]) == 0
    capsys.readouterr()
    assert shelf(capsys, own_ledger) == before


@pytest.mark.slow
def test_what_is_received_is_on_the_shelf_and_no_longer_ordered(own_ledger, capsys):
    part, base = a_part(capsys, own_ledger)
    before = shelf(capsys, own_ledger)[part, base]
    words = ["--base", base, "--by", "foreman", "--ledger", str(own_ledger)]
    assert main(["stock", "--ordered", part, "4", *words]) == 0
    assert "4 pieces ordered" in capsys.readouterr().err
    assert main(["stock", "--received", part, "4", *words]) == 0
    assert f"{before + 4} on the shelf" in capsys.readouterr().err
    assert shelf(capsys, own_ledger)[part, base] == before + 4


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--counted", "P9999", "2", "--by", "foreman"], "no part of that number"),
        (["--counted", "P1000", "-2", "--by", "foreman"], "'-2'"),
        (["--received", "P1000", "2.3", "--by", "foreman"], "pieces come whole"),
        (["--received", "P1000", "2"], "say who"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(taken, capsys, words, said):
    assert said in refuse(capsys, 2, "stock", *words, "--ledger", taken)
