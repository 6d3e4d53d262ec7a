"""What the pages say: plain, with the chance it rests on, nothing sounded surer than it is."""

import re
from datetime import date
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

import dashboard
from dashboard.sentences import how_to_read
from dashboard.sentences.account import balance, kind_lines, rests_on
from dashboard.sentences.advice import advice_lines, beside_it, every, headline, most_saved_first, saving
from dashboard.sentences.calls import how_often, rate_lines, what_would_help
from dashboard.sentences.lives import how_it_fails, life_lines, most_failed_first, notes_of, read_otherwise_words
from dashboard.sentences.plain import UNBROKEN, as_day, counted, day, figure, heading, is_share, literal, money, percent, places, row_name
from dashboard.sentences.work import cautions, due_words, order_of, order_words, shelf_lines
from pipelines.terms.cautions import CAUTIONS
from tests.dashboard import invented


def fit(**changes: Any) -> dict[str, Any]:
    return {**invented.fits().row(0, named=True), **changes}


def verdict(place: int = 0, **changes: Any) -> dict[str, Any]:
    return {**invented.intervals().row(place, named=True), **changes}


@pytest.mark.parametrize(
    ("value", "told"), [(None, "–"), (0.0, "0"), (0.0713, "0.071"), (3.44, "3.4"), (57.2, "57"), (12340.4, "12,340"), (-26.4, "-26")]
)
def test_figures_have_as_many_places_as_matter(value: float | None, told: str):
    assert figure(value) == told


@pytest.mark.parametrize(("share", "told"), [(0.0, "0 %"), (0.004, "under 1 %"), (0.4, "40 %"), (0.994, "over 99 %"), (1.0, "100 %")])
def test_a_chance_is_never_told_as_certain_unless_it_is(share: float, told: str):
    assert percent(share) == told.replace(" %", f"{UNBROKEN}%")


def test_money_has_its_currency_and_a_sign_that_does_not_break_off():
    assert money(-1142.4, "EUR") == f"−1,142{UNBROKEN}EUR"
    assert money(3.0, "") == "3"
    assert money(None, "EUR") == "–"


def test_days_are_written_so_that_nobody_swaps_day_and_month():
    assert day(date(2025, 3, 4)) == day("2025-03-04") == "4 Mar 2025"
    assert day(None) == "–"
    assert as_day("2025-03-04T00:00:00") == date(2025, 3, 4)


@pytest.mark.parametrize(("column", "told"), [("exposure_h", "exposure, h"), ("age_months", "age, months"), ("due_on", "due on")])
def test_headings_have_their_unit_after_a_comma(column: str, told: str):
    assert heading(column) == told


def test_a_count_has_its_noun_in_the_right_number():
    assert [counted(number, "call", "calls") for number in (0, 1, 1200)] == ["0 calls", "1 call", "1,200 calls"]


def test_words_from_the_records_cannot_become_markup():
    assert literal("![x](http://far.example/a.png)") == r"\!\[x\]\(http\:\/\/far\.example\/a\.png\)".replace(r"\/", "/")
    assert literal("# not\na heading") == r"\# not a heading"
    assert literal("<b>bold</b>") == r"\<b\>bold\</b\>"


@given(st.text())
def test_no_sign_that_markdown_knows_stands_bare(word: str):
    told = literal(word)
    assert "\n" not in told
    bare = told.replace("\\\\", "")
    assert all(bare[place - 1] == "\\" for place, sign in enumerate(bare) if sign in "`*_[]<>#$:~|" and place)


def test_a_row_is_named_by_its_part_and_its_group():
    assert row_name("drive belt", None) == "drive belt"
    assert row_name("drive belt", {"engine_model": "MD-35", "water": None}) == "drive belt · MD-35"


def test_calls_are_told_with_hours_and_the_unknown():
    told = how_often(invented.rates(), 40250.0, "calls")
    assert told.startswith("**151 calls** in **40,250** engine hours: one in every 267 hours.")
    assert "For 61 of them (40" in told
    assert "not shared out" in told


def test_without_hours_no_rate_is_told():
    told = how_often(invented.rates(), None, "failures")
    assert told.startswith("**151 failures**, with hours unknown.")
    assert "one in every" not in told


def test_where_every_cause_is_known_unknown_is_not_named():
    assert "nobody" not in how_often(invented.rates().filter(pl.col("group") != "unknown"), 40250.0, "calls")


def test_the_remedy_that_would_have_prevented_most_is_named_and_unknown_is_not_one():
    remedies = invented.rates().head(2).with_columns(pl.Series("group", ["unknown", "crew briefing"]))
    assert what_would_help(remedies).startswith("The largest share could have been prevented by **crew briefing**: 34, or 36")
    assert what_would_help(remedies.head(1)) == ""


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({}, "It wears out: 99"),
        ({"wears_out_probability": 0.6}, "It may wear out (chance 60"),
        ({"wears_out_probability": 0.1}, "It fails at random (chance that it wears out only 10"),
        ({"wears_out_probability": 0.02, "posterior": {"shape_high": 0.9}}, "It fails young (chance that it wears out only 2"),
        ({"failures": 1, "interval_censored": 0}, "Too few to say."),
        ({"wears_out_probability": None}, "Too few to say."),
    ],
)
def test_how_a_part_fails_is_told_with_its_chance(changes: dict[str, Any], told: str):
    assert told in how_it_fails(fit(**changes))


def test_the_age_by_which_one_in_ten_has_failed_has_its_limits():
    assert "One in ten has failed by **204 engine hours** (171 to 240)." in how_it_fails(fit())
    assert "One in ten" not in how_it_fails(fit(b10=None))


def test_what_a_curve_rests_on_is_counted():
    told = notes_of(fit())
    assert "212 lives: 37 failed at a known age, 25 between two, 150 had not failed" in told
    assert "31 were already in use" in told
    assert notes_of(fit(note=None)).endswith("records begin.")


def test_lines_of_parts_keep_every_row():
    assert life_lines(invented.fits())["line"].to_list() == invented.fits()["component"].to_list()


@pytest.mark.parametrize(
    ("hours", "months", "told"),
    [(190.0, 18.0, "190 h or 18 months"), (None, 1.0, "1 month"), (120.0, None, "120 h"), (None, None, "when it fails")],
)
def test_an_interval_is_told_in_a_few_words(hours: float | None, months: float | None, told: str):
    assert every(hours, months) == told


def test_the_verdict_stands_first_with_what_to_do():
    assert headline(verdict()) == "**Renew at interval: 190 h or 18 months**, whichever comes first"
    assert headline(verdict(1)) == "**Run to failure, keep a spare: when it fails**"


def test_present_interval_and_limit_stand_beside_the_advice():
    assert beside_it(verdict()) == "Now: 300 h or 12 months · Limit: 250 h or 24 months"
    assert beside_it(verdict(1)) == "Now: when it fails · Limit: none on record"
    assert "(not binding)" in beside_it(verdict(2))
    assert "Look every 100 h or 6 months" in beside_it(verdict(2))
    assert "Test every 1 month" in beside_it(verdict(3))


def test_advice_past_a_limit_asks_for_the_written_approval():
    assert "keep the written approval at hand" in beside_it(verdict(2, renew_h=510.0))
    assert "keep the written approval at hand" not in beside_it(verdict(2))
    assert "written approval" in beside_it(verdict(1, limit_h=500.0, limit_binding=False))


def test_a_saving_has_limits_and_the_chance_that_renewing_pays():
    told = saving(verdict(), "EUR").replace(UNBROKEN, " ")
    assert told.startswith("Saves **1,142 EUR a year** over 48 positions (310 EUR to 2,230 EUR) against today's interval.")
    assert told.endswith("waiting for the failure: 98 %.")


def test_without_a_saving_none_is_told():
    assert saving(verdict(5), "EUR") == "No saving can be given; the reason says why."


def test_where_nothing_changes_there_is_nothing_to_save():
    assert saving(verdict(1), "EUR") == "It is what you do today, so there is nothing to save."


def test_verdicts_that_save_most_and_parts_that_failed_most_stand_first():
    assert most_saved_first(invented.intervals())["component"].to_list()[:2] == ["raw-water pump impeller", "bilge pump"]
    assert most_failed_first(invented.fits())["failures"].to_list() == [37, 22, 1]


def test_of_many_causes_those_not_known_are_always_drawn():
    rows = pl.DataFrame({"group": ["a", "b", "c", "uncoded", "unknown"], "events": [9, 3, 8, 1, 2]})
    assert rate_lines(rows, 2)["group"].to_list() == ["a", "c", "unknown", "uncoded"]
    assert rate_lines(rows)["group"].to_list() == ["a", "c", "b", "unknown", "uncoded"]


@pytest.mark.parametrize(("largest", "decimals"), [(40250.5, 0), (128.1, 1), (12.5, 2), (0.4, 3), (4.0, 0), (None, 0)])
def test_large_figures_are_shown_with_fewer_decimals(largest: float | None, decimals: int):
    assert places(pl.Series("figures", [largest], pl.Float64)) == decimals


def test_shares_are_shown_in_per_cent():
    assert [name for name in ("share", "pays_probability", "rate", "service_level") if is_share(name)] == [
        "share",
        "pays_probability",
        "service_level",
    ]


def test_every_verdict_has_its_line():
    lines = advice_lines(invented.intervals())
    assert lines.height == invented.intervals().height
    assert lines["advice"][1] == "when it fails"


def test_what_is_overdue_is_told_with_its_boats():
    assert due_words(invented.due(), 30) == "**5 jobs are overdue** on 4 boats; 10 jobs fall due in the next 30 days."
    assert due_words(invented.due().filter(~pl.col("overdue")), 14).startswith("**Nothing is overdue**; 10 jobs")


def test_each_caution_is_told_once_with_its_parts():
    vapour, hot = CAUTIONS["petrol vapour"], CAUTIONS["hot and moving parts"]
    rows = pl.DataFrame(
        {
            "component": ["fuel filter", "drive belt", "fuel filter", "spark plugs"],
            "caution": [vapour, f"Its age is not known. {hot}", vapour, f"{vapour} {hot}"],
        }
    )
    assert [told.replace("\\", "") for told in cautions(rows)] == [
        f"{vapour} **fuel filter, spark plugs**",
        f"{hot} **drive belt, spark plugs**",
        "Its age is not known. **drive belt**",
    ]


def test_orders_are_whole_pieces_with_their_cost():
    assert order_words(invented.stock(), "EUR").replace(UNBROKEN, " ") == "**Order 13 pieces of 2 parts** for 263 EUR."
    assert order_words(invented.stock().filter(pl.col("order_quantity") == 0), "EUR").startswith("**Nothing to order now:**")
    assert [order_of(row) for row in invented.stock().to_dicts()] == ["order 9", "enough", "order 4", "cannot say"]


def test_parts_to_order_stand_first_on_the_shelf():
    assert shelf_lines(invented.stock())["line"].to_list()[0] == "raw-water pump impeller IMP-1 · Eelgrass Quay"


def test_the_account_is_told_as_a_sum_that_adds_up():
    assert balance(invented.reconciliation()).startswith(
        "**15,960 rows came in** = 15,465 accepted + 332 repeated + 53 superseded + 110 left out."
    )
    assert kind_lines(invented.reconciliation())["kind"][2] == "service tickets"


def test_a_page_says_what_it_rests_on():
    head = {"as_of": "2025-09-30", "ledger_version": 4, "records": 6415, "left_out": 43}
    assert rests_on(head) == "As of 30 Sep 2025 · ledger version 4 · 6,415 records used, 43 left out"


def test_every_picture_on_a_screen_has_its_way_to_read_it():
    house = Path(dashboard.__file__).parent
    files = sorted([*house.glob("screens/*.py"), *house.glob("controls/*.py")])
    screens = [re.sub(r"def (picture|beneath)\(", "", file.read_text(encoding="utf-8")) for file in files]
    shown = sum(len(re.findall(r"\bpicture\(", text)) for text in screens)
    told = sum(len(re.findall(r"\bbeneath\(\s*\w+\.[A-Z_]+,", text)) for text in screens)
    assert shown == told > 0
    texts = {name for name, text in vars(how_to_read).items() if name.isupper() and isinstance(text, str)}
    assert {name for text in screens for name in re.findall(r"how_to_read\.([A-Z_]+)[,)}]", text)} == texts


def test_money_has_two_places_unless_all_of_it_is_whole():
    assert places(pl.Series("order_cost", [55.8, 139.5]), is_money=True) == 2
    assert places(pl.Series("order_cost", [1_200.0, 30.0]), is_money=True) == 0


def test_how_much_hangs_on_a_rule_is_said_beside_the_figure():
    ruled = {"reading": "as it is ruled", "lives": 0, "b10": 310.0, "scale": 700.0}
    other = {"reading": "renewals on condition with a fraction of 1", "lives": 4, "b10": 290.0, "scale": 660.0}
    assert read_otherwise_words([ruled, other], "hours") == (
        "One in ten has failed by 310 engine hours as it is ruled; renewals on condition with a fraction of 1 (4): 290."
    )
    assert read_otherwise_words([], "hours") == ""
    assert read_otherwise_words([{**ruled, "b10": None}, other], "hours") == ""
