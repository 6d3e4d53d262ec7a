"""What stands on each paper."""

from datetime import date
from typing import TypeVar

import polars as pl
import pytest

from pipelines.exports.papers.blocks import BOX, Bars, Bullets, Cautions, Sheet, Table, Words
from pipelines.exports.papers.boat_cards import fuel_of
from pipelines.exports.papers.boats import Boat, Engine, boats_of
from pipelines.exports.papers.briefing import NO_CALLS, briefing_sheet
from pipelines.exports.papers.plan import differs, plan_sheet
from pipelines.exports.papers.season import Report, Year, season_report
from pipelines.exports.papers.shelf import order_sheets, shelf_sheets
from pipelines.exports.papers.work import job_cards, pick_list_sheets
from pipelines.exports.papers.written import counted, figure, interval, share, span
from pipelines.terms.briefing import ADVICE
from pipelines.terms.causes import CAUSES, Remedy
from pipelines.terms.cautions import CAUTIONS

Kind = TypeVar("Kind")
BOAT = Boat("V1", "Teal", "day boat", "North", "salt", 60.0, (Engine("E1", "single", "Hesk 20", "petrol", 812.4),))
DUE = {
    "engine_id": "E1",
    "vessel_id": "V1",
    "component": "water-separating fuel filter",
    "position": None,
    "task": "renew",
    "fitted_on": date(2024, 5, 1),
    "age_h": 120.0,
    "age_months": 18.0,
    "due_on": date(2025, 6, 1),
    "overdue": True,
}
PICKED = {"vessel_id": "V1", "component": DUE["component"], "part_id": "P7", "pieces": 2.0, "on_hand": 1}


def blocks(sheet: Sheet, sort: type[Kind]) -> list[Kind]:
    return [block for block in sheet.blocks if isinstance(block, sort)]


def calls(*causes, remedy="crew briefing"):
    day = date(2025, 7, 1)
    rows = [{"cause": cause, "remedy": remedy, "outcome": "towed", "downtime_h": 2.0, "cost": 50.0, "called_on": day} for cause in causes]
    schema = {"cause": pl.String, "remedy": pl.String, "outcome": pl.String, "downtime_h": pl.Float64, "cost": pl.Float64}
    return pl.DataFrame(rows, schema={**schema, "called_on": pl.Date})


def test_a_job_card_has_the_task_its_parts_and_its_cautions():
    (card,) = job_cards([BOAT], pl.DataFrame([DUE]), pl.DataFrame([PICKED]), {DUE["component"]: "Fuel filter"}, 30)
    tasks, takes = blocks(card, Table)
    assert tasks.rows[0][:4] == (BOX, "Renew", "Fuel filter", "E1")
    assert "2025-06-01 overdue" in tasks.rows[0]
    assert takes.rows == ((BOX, "Fuel filter", "P7", "2", "1"),)
    assert CAUTIONS["petrol vapour"] in blocks(card, Cautions)[0].lines


def test_a_boat_with_nothing_due_has_no_card_and_a_fleet_with_nothing_due_is_told():
    (card,) = job_cards([BOAT], pl.DataFrame([DUE]).clear(), pl.DataFrame([PICKED]).clear(), {}, 30)
    assert blocks(card, Words)[0].text.startswith("Nothing is due")


def test_no_task_stands_on_a_card_without_its_caution():
    unknown = {**DUE, "component": "bow thruster of their own"}
    (card,) = job_cards([BOAT], pl.DataFrame([unknown]), pl.DataFrame([PICKED]).clear(), {}, 30)
    assert blocks(card, Cautions)[0].lines == (CAUTIONS["afloat"],)


def test_an_engine_stands_on_the_boat_it_sits_on_now():
    vessels = pl.DataFrame(
        [{"vessel_id": v, "name": "", "vessel_class": "", "base": "", "water": "", "tank_l": None} for v in ("V1", "V2")]
    )
    engines = pl.DataFrame({"engine_id": ["E1"], "engine_model": ["Hesk 20"], "fuel": ["petrol"]})
    moved = {"engine_id": ["E1", "E1"], "vessel_id": ["V1", "V2"], "place": ["single"] * 2, "to_on": [date(2024, 1, 1), None]}
    boats = boats_of(vessels, engines, pl.DataFrame(moved), pl.DataFrame({"engine_id": ["E1"], "hours": [10.0]}))
    assert [len(boat.engines) for boat in boats] == [0, 1]


def test_the_pick_list_names_the_boats_and_what_is_short():
    picks = pl.DataFrame(
        [{"base": "North", "component": "x", "part_id": "P1", "pieces": 3.0, "on_hand": 1, "short": 2.0, "boats": ["V1", "V2"]}]
    )
    (sheet,) = pick_list_sheets(picks, {}, 30)
    assert blocks(sheet, Table)[0].rows[0] == (BOX, "x", "P1", "3", "1", "2", "V1, V2")
    assert "1 line is short" in blocks(sheet, Words)[0].text


# The rule of thirds of power-boat seamanship: a third out, a third back, a third in reserve (common practice, no source).
def test_a_third_of_the_tank_at_the_thirsty_end_says_how_far_out_a_boat_may_go():
    trips = pl.DataFrame({"vessel_id": ["V1"] * 6, "engine_h": [2.0] * 6, "fuel_l": [10.0] * 6, "distance_nm": [12.0] * 6})
    fuel = fuel_of(BOAT, trips, 0.95)
    assert fuel.burn.value == fuel.burn.high == 5.0
    assert fuel.hours_out == pytest.approx(60 / 3 / 5)
    assert fuel.miles_out == pytest.approx(4 * 6)


def test_with_fewer_than_five_trips_no_range_is_given():
    trips = pl.DataFrame({"vessel_id": ["V1"] * 4, "engine_h": [2.0] * 4, "fuel_l": [10.0] * 4, "distance_nm": [12.0] * 4})
    assert fuel_of(BOAT, trips, 0.95).hours_out is None


def test_what_strands_this_fleet_stands_at_the_top_of_its_briefing():
    sheet = briefing_sheet(calls("fuel exhausted", "fuel exhausted", "lanyard pulled", "coil failed", "unknown"), "North")
    assert [bar.label for bar in blocks(sheet, Bars)[0].bars] == ["fuel exhausted", "lanyard pulled"]
    said = [line for block in blocks(sheet, Bullets) for line in block.lines]
    assert said[0] == ADVICE["fuel exhausted"].words
    assert blocks(sheet, Words)[0].text == (
        "Of 4 rescue calls with a known cause, 3 were of a kind that a crew can prevent (75 %); of 1 more the cause is not known."
    )


def test_a_fleet_without_calls_is_still_briefed():
    sheet = briefing_sheet(calls(), "")
    assert blocks(sheet, Words)[0].text == NO_CALLS
    assert blocks(sheet, Bullets)


def test_every_cause_that_a_crew_can_prevent_has_words_for_them():
    crew = {code for code, cause in CAUSES.items() if cause.remedies[0] in (Remedy.BRIEFING, Remedy.PRE_DEPARTURE)}
    assert crew <= set(ADVICE) <= set(CAUSES)


def verdict(**changes):
    row = {
        "component": "drive belt",
        "group": None,
        "verdict": "renew at interval",
        "renew_h": 500.0,
        "renew_months": None,
        "current_h": None,
        "current_months": None,
        "range_h": [450.0, 560.0],
        "saving_per_year": 900.0,
        "saving_low": 400.0,
        "saving_high": 1400.0,
        "pays_probability": 0.97,
        "failures": 5,
        "reason": "It wears.",
    }
    return row | changes


def test_the_plan_for_signature_lists_only_what_differs():
    same = verdict(component="anodes", renew_h=None, renew_months=12.0, current_months=12.0)
    sheet = plan_sheet(pl.DataFrame([verdict(), same]), {}, "EUR")
    assert [row[1] for row in blocks(sheet, Table)[0].rows] == ["drive belt"]
    assert "1 part of 2" in blocks(sheet, Words)[0].text


def test_what_is_not_known_is_never_put_forward_for_signature():
    assert pl.DataFrame([verdict(verdict="too little to say")]).filter(differs()).is_empty()


def report(year_calls, before_calls):
    first, last = date(2024, 12, 1), date(2025, 11, 30)
    year = Year(first, last, year_calls, year_calls.height, 1000.0, 300.0)
    before = Year(first, last, before_calls, before_calls.height, 1000.0, 300.0)
    work = pl.DataFrame(
        {"action": ["renew"], "reason": [None], "tasks": [3]}, schema={"action": pl.String, "reason": pl.String, "tasks": pl.Int64}
    )
    overdue = pl.DataFrame({"task": ["renew"], "tasks": [2]})
    account = {"rows_in": 10, "accepted": 7, "repeated": 1, "superseded": 1, "left_out": 1}
    return Report(year, before, 5, work, overdue, 1, account, 0.95, "EUR")


# Garwood (1936), as tabled in Ulm (1990), Am J Epidemiol 131(2): 373-375: 4 events have 95 % limits 1.0899 and 10.2416.
def test_the_season_report_gives_the_rate_with_exact_limits_and_unknown_causes_as_a_line_of_their_own():
    sheet = season_report(report(calls("fuel exhausted", "fuel exhausted", "unknown", "coil failed"), calls("unknown")), "")
    row = blocks(sheet, Table)[0].rows[0]
    assert row[1] == "4"
    assert row[4:6] == ("4.00", "1.09 to 10.24")
    assert blocks(sheet, Bars)[0].bars[-1].label == "cause not known"
    assert blocks(sheet, Bars)[0].bars[-1].words == "1 (25 %)"


def test_a_season_without_calls_is_reported_too():
    said = [block.text for block in blocks(season_report(report(calls(), calls()), ""), Words)]
    assert "No rescue call came in." in said


def stock(**changes):
    row = {"part_id": "P1", "component": "drive belt", "base": "North", "on_hand": 1, "on_order": 0, "reorder_point": 2, "order_up_to": 4}
    row |= {"demand_low": 0.0, "demand_high": 4.0, "probability_of_stock_out": 0.2, "order_quantity": 4, "order_cost": 40.0}
    return row | {"supplier": "agent", "pack_size": 2, "unit_cost": 10.0} | changes


def test_an_order_list_has_a_sheet_a_supplier_and_counts_packs():
    sheets = order_sheets(pl.DataFrame([stock(), stock(supplier=None, part_id="P2")]), {}, "EUR")
    assert [sheet.about for sheet in sheets] == ["agent", "no supplier named"]
    assert blocks(sheets[0], Table)[0].rows[0] == (BOX, "P1", "drive belt", "North", "1", "0", "4", "2", "10.00", "40.00")
    assert "All suppliers together: 80.00 EUR." in blocks(sheets[0], Words)[0].text


def test_what_a_supplier_was_asked_for_already_stands_below_the_order():
    (sheet,) = order_sheets(pl.DataFrame([stock(), stock(part_id="P2", on_order=3, order_quantity=0)]), {}, "EUR")
    assert blocks(sheet, Table)[1].rows == (("P2", "drive belt", "North", "3"),)


def test_nothing_to_order_is_said():
    (sheet,) = order_sheets(pl.DataFrame([stock(order_quantity=0)]), {}, "EUR")
    assert "Nothing has to be ordered" in blocks(sheet, Words)[0].text


def test_the_shelf_list_has_a_sheet_a_base_and_room_to_count():
    sheets = shelf_sheets(pl.DataFrame([stock(), stock(base="South")]), {})
    assert [sheet.about for sheet in sheets] == ["North", "South"]
    assert blocks(sheets[0], Table)[0].columns[-1].head == "counted"


@pytest.mark.parametrize(
    ("said", "words"),
    [
        (figure(None), "–"),
        (figure(1234.56, 1, "h"), "1,234.6 h"),
        (span(None, None), "–"),
        (span(3, float("inf")), "3 to …"),
        (share(0.001), "under 1 %"),
        (share(0.999), "over 99 %"),
        (share(0.0), "0 %"),
        (interval(150, 12), "150 h or 12 months"),
        (interval(None, None), "only when it fails"),
        (counted(1, "call", "calls"), "1 call"),
    ],
)
def test_figures_on_paper(said, words):
    assert said == words
