"""What is said of patterns: plain, never surer than the figures, words from the records as words."""

import polars as pl
import pytest

from dashboard.sentences.lives import do_groups_differ, group_lines, how_it_fails, how_well_it_fits
from dashboard.sentences.patterns import (
    adding_up_words,
    boats_words,
    break_words,
    cost_words,
    moving_causes,
    preventable_words,
    ratio_words,
    season_words,
    trend_words,
)
from dashboard.sentences.plain import UNBROKEN
from tests.dashboard import invented, invented_patterns


def test_a_trend_that_chance_could_make_is_said_to_be_none():
    assert trend_words(invented_patterns.trend()).startswith("**No steady rise or fall:**")
    assert f"−3{UNBROKEN}% (−10{UNBROKEN}% to +5{UNBROKEN}%); chance alone" in trend_words(invented_patterns.trend())


@pytest.mark.parametrize(("per_year", "way"), [(1.3, "rises"), (0.7, "falls")])
def test_a_trend_beyond_chance_is_told_with_its_limits(per_year: float, way: str):
    trend = invented_patterns.trend() | {"per_year": per_year, "low": per_year - 0.1, "high": per_year + 0.1, "p_value": 0.001}
    assert f"**The rate {way}:**" in trend_words(trend)


def test_months_that_differ_by_more_than_chance_are_said_to():
    assert "2.5 times as much as by chance" in trend_words(invented_patterns.trend() | {"dispersion": 2.5})


def test_a_change_of_coding_is_told_with_its_month_and_words_stay_words():
    (told,) = break_words(invented_patterns.trend())
    assert "2024\\-05" in told
    hostile = {"breaks": [{"told": "![x](http://far.example/a.png)"}]}
    assert "![" not in break_words(hostile)[0]


def test_only_a_cause_beyond_chance_allowing_for_all_that_were_looked_at_is_named():
    told = moving_causes(invented_patterns.trend())
    assert "**fuel exhausted** −40" in told
    assert "seized" not in told
    assert moving_causes({"causes": []}) == ""


def test_seasons_name_the_worst_months_only_if_months_differ_and_never_a_thin_one():
    assert "August and July" in season_words(invented_patterns.seasons())
    assert "do not differ" in season_words(invented_patterns.seasons() | {"p_value": 0.4})


def test_a_boat_that_stands_out_is_named_beside_how_many_would_by_chance():
    told = boats_words(invented_patterns.boats())
    assert told.startswith("**V1 stands out:**")
    assert "1 boat is worth a look; of 4 like boats" in told
    alike = invented_patterns.boats()["rows"].with_columns(standing=pl.lit("as the fleet"))
    assert boats_words({"rows": alike}).startswith("**No boat stands out**")


def test_calls_add_up_faster_slower_or_steadily():
    steady = invented_patterns.recurrence()
    assert "neither faster nor slower" in adding_up_words(steady)
    for statistic, way in ((4.0, "faster"), (-4.0, "slower")):
        assert f"**{way}**" in adding_up_words(steady | {"laplace": {"statistic": statistic, "p_value": 1e-4}})
    assert "**750 EUR a boat**" in cost_words(invented_patterns.costs(), "EUR")


def test_a_pattern_without_figures_says_why():
    for words in (trend_words, season_words, boats_words, adding_up_words):
        assert "No hours here" in words({"note": "No hours here"})


def test_two_rows_whose_ratio_may_be_one_are_not_told_apart():
    ratio = invented_patterns.ratio("a", "b")
    assert ratio_words(ratio) == "**a: 1.30 times the rate of b** (0.80 to 2.10). Chance alone could make that difference."
    assert ratio_words(ratio | {"low": 1.1}).endswith("That is more than chance.")
    assert "endless" in ratio_words(ratio | {"ratio": float("inf"), "high": float("inf")})
    assert "No rate" in ratio_words(ratio | {"ratio": None, "note": "No rate"})


def test_each_remedy_has_its_share_with_limits():
    told = preventable_words(invented.rates(), "calls")
    assert f"- unknown: **40{UNBROKEN}%** (32{UNBROKEN}% to 49{UNBROKEN}%)" in told
    assert told.startswith("Of 151 calls")


def test_it_is_never_told_as_certain_that_a_part_wears_out():
    row = invented.fits().row(0, named=True) | {"wears_out_probability": 1.0}
    assert f"It wears out: over 99{UNBROKEN}% sure." in how_it_fails(row)


def test_a_line_that_does_not_fit_says_where_and_what_to_trust():
    assert "describes the failures" in how_well_it_fits(invented_patterns.goodness(), "hours")
    told = how_well_it_fits(invented_patterns.goodness(0.003), "hours")
    assert "between 400 and 600 engine hours 15 failed, more than the 7.0 it expects" in told
    assert how_well_it_fits(invented_patterns.goodness(None), "hours") == r"Too few\."


def test_groups_that_differ_are_told_with_the_one_most_beyond_its_share():
    told = do_groups_differ(invented_patterns.comparison("belt"))
    assert "The groups differ** by more than chance" in told
    assert r"MD\-35, 12 failed where 8.0 would" in told
    assert "no difference between the 2 groups" in do_groups_differ(invented_patterns.comparison("belt", 0.6))
    assert do_groups_differ(invented_patterns.comparison("belt", None)) == r"One group only\."


def test_a_group_is_named_by_itself():
    rows = invented.fits().with_columns(pl.lit({"engine_model": "TP-20"}, pl.Struct({"engine_model": pl.String})).alias("group"))
    assert group_lines(rows)["line"].unique().to_list() == ["TP-20"]
