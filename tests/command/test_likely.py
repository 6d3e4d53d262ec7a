"""`towless likely`: the causes of a call now, in order."""

import pytest

from pipelines.terms.answers import names_of
from tests.support.small_fleet import ask, refuse


def test_the_likely_causes_stand_in_order_and_add_to_one(taken, capsys):
    told = ask(capsys, "likely", "--boat", "V02", "--symptom", "overheats", "--ledger", taken)
    rows = told["rows"]
    assert list(rows[0]) == names_of("likely")
    assert sum(row["probability"] for row in rows) == pytest.approx(1)
    assert rows[-1]["cause"] == "unknown"
    assert all(row["low"] <= row["probability"] <= row["high"] for row in rows)
    assert all(row["check_first"] and row["bring"] and row["caution"] for row in rows)
    assert (told["vessel_id"], told["symptom"]) == ("V02", "overheats")


def test_a_boat_goes_by_its_name_and_a_symptom_by_a_word_of_the_trade(taken, capsys):
    by_number = ask(capsys, "likely", "--boat", "V02", "--symptom", "stops under way", "--ledger", taken)
    by_words = ask(capsys, "likely", "--boat", "plover", "--symptom", "Conked out", "--ledger", taken)
    assert by_words == by_number


@pytest.mark.parametrize(
    ("words", "said"),
    [(["--boat", "V0Z", "--symptom", "overheats"], "'V0Z'"), (["--boat", "V02", "--symptom", "overhetas"], "The nearest is 'overheats'")],
)
def test_an_unknown_boat_or_symptom_is_refused_with_the_nearest(taken, capsys, words, said):
    assert said in refuse(capsys, 2, "likely", *words, "--ledger", taken)


def test_what_was_known_on_an_earlier_day_is_all_that_counts(taken, capsys):
    then = ask(capsys, "likely", "--boat", "V02", "--symptom", "overheats", "--as-of", "2023-05-01", "--ledger", taken)
    now = ask(capsys, "likely", "--boat", "V02", "--symptom", "overheats", "--ledger", taken)
    assert then["calls_like_it"] < now["calls_like_it"]
