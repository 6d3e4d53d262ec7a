import polars as pl
import pytest

from pipelines.fits.code_learning import Examples, held_back, suggest

ROPE = ["rope cut off the prop", "line round the prop", "prop fouled by a line", "rope on prop again", "cut a rope away"]
DRY = ["tank dry", "no fuel in the tank", "took a can out, tank dry", "ran dry near the weir", "tank was dry"]
EXAMPLES = Examples(ROPE * 6 + DRY * 6, ["rope"] * 30 + ["fuel"] * 30, ["rope round propeller"], ["rope"])


def test_a_text_gets_the_code_of_texts_like_it_with_its_words_and_how_often_that_was_right():
    told = suggest(EXAMPLES, ["rope round the prop", "tank dry again"])
    assert told["code"].to_list() == ["rope", "fuel"]
    assert all(0.9 < chance < 1 for chance in told["confidence"])
    assert "rope" in told["evidence"][0].split("; ")
    assert told["evidence"][1] == "dry; tank"


def test_a_text_whose_words_say_nothing_gets_no_code():
    assert suggest(EXAMPLES, ["wind got up"]).row(0) == (None, None, None)


def test_too_few_coded_rows_suggest_nothing():
    assert suggest(Examples(ROPE, ["rope"] * 5), ["rope"]).row(0) == (None, None, None)


def test_a_fact_is_used_but_is_no_evidence_of_its_own():
    texts = [f"stopped symptom={seen}" for seen in ("hot", "dead")] * 20
    told = suggest(Examples(texts, ["water", "power"] * 20), ["stopped symptom=hot"])
    assert told["evidence"].to_list() in ([None], ["stopped"])


def test_codes_given_at_random_are_never_suggested_surely():
    texts = [f"{word} seen" for word in ("alpha", "beta", "gamma", "delta")] * 25
    codes = [str((place * 7919) % 5) for place in range(100)]
    assert (held_back(Examples(texts, codes))["confidence"] < 0.7).all()


def test_a_phrase_met_twice_is_not_sure_however_well_others_are_known():
    met = Examples(
        [*ROPE * 20, *DRY * 20, "second time this month", "second time this week"], ["rope"] * 100 + ["fuel"] * 100 + ["weed"] * 2
    )
    told = suggest(met, ["second time this month", "tank dry"])
    assert told["confidence"][0] is None or told["confidence"][0] < 0.75
    assert told["confidence"][1] > 0.9


def test_the_same_rows_give_the_same_suggestions():
    assert suggest(EXAMPLES, ROPE).equals(suggest(EXAMPLES, ROPE))


def test_confidence_is_how_often_held_back_rows_were_right():
    mixed = Examples(ROPE * 20 + DRY * 20, (["rope"] * 4 + ["fuel"]) * 20 + ["fuel"] * 100)
    told = held_back(mixed)
    right = (told["given"] == told["code"]).mean()
    assert told["confidence"].mean() == pytest.approx(right, abs=0.05)
    assert isinstance(told, pl.DataFrame)
