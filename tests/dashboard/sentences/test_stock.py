"""Sentences of What to stock: what is not known is said, money steps are round, a form's words name the part."""

import pytest

from dashboard.sentences.kit import instead_words, kit_words
from dashboard.sentences.shelf import button_words, field_label, stands_words
from dashboard.sentences.stock import coming_words, part_words, step_of, top_of
from tests.dashboard import invented, invented_stock

KIT = invented_stock.kits().extra["kits"][0]


def test_a_part_that_does_not_run_out_says_so_and_one_without_use_says_why():
    coil, pump = invented.stock().row(1, named=True), invented.stock().row(3, named=True)
    assert "stays below 5\u00a0% all season" in part_words(coil, "EUR", 0.95)
    assert part_words(pump, "EUR", 0.95) == r"**0 on the shelf**. no lives yet\: no demand can be given"


def test_nothing_on_order_is_not_said():
    assert coming_words(invented.stock().tail(2)) == ""


@pytest.mark.parametrize(("most", "step"), [(0.0, 1.0), (84.0, 1.0), (350.0, 5.0), (4_700.0, 50.0), (60_000.0, 500.0)])
def test_money_moves_in_round_steps(most: float, step: float):
    assert step_of(most) == step


def test_the_slider_ends_at_a_round_sum_that_holds_the_curve():
    top = top_of(invented.purchases())
    assert top >= 84
    assert top % step_of(84.0) == 0


def test_a_kit_of_nothing_says_so():
    none = KIT | {"items": [invented_stock.item("propeller", aboard=False)], "spend": 0.0}
    assert kit_words(none, "EUR").startswith("**Nothing to carry within these limits.**")
    assert "for 20\u00a0EUR a boat, 80\u00a0EUR for 4 boats" in kit_words(KIT, "EUR")


def test_tows_are_shared_out_without_sharing_out_the_unknown():
    assert instead_words(KIT["gaps"]) == (
        "Of its tows: 25\u00a0% by the kit, 20\u00a0% by a check before casting off or a word to the crew, 50\u00a0% never came to light."
    )


def test_the_form_names_the_part_the_list_and_who_counted_last():
    row = invented_stock.standing().row(1, named=True)
    assert field_label(row) == r"**COIL\-2** Ignition coil"
    assert stands_words(row) == "list: 5 on the shelf · counted 5 on 1 Sep 2025 by nobody named"
    assert button_words("counted", 0) == "Nothing to write down yet"
    assert button_words("received", 2) == "Write down 2 parts received"
