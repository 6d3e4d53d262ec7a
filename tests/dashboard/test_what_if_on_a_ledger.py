"""What-if, turning points and what was adopted before, on a ledger made of messy records."""

from pathlib import Path

import polars as pl

from dashboard import readings
from dashboard.charts.turning_points import turning_chart
from dashboard.readings import Scope, Supposed
from dashboard.sentences.advice import saving_otherwise
from dashboard.sentences.what_if import IS_ONE, adopted_lines, against_records, turning_lines
from tests.dashboard import invented
from tests.support.screens import open_screen, run, showing

IMPELLER = "raw-water pump impeller"
TURNS = pl.DataFrame(
    {
        "assumption": ["cost of a failure", "engine hours a year"],
        "unit": ["EUR", "h"],
        "verdict_below": ["run to failure, keep a spare", None],
        "verdict_above": [None, None],
        "now": [600.0, 240.0],
        "least": [150.0, 60.0],
        "most": [2400.0, 960.0],
        "turns_below": [200.0, None],
        "turns_above": [None, None],
    },
    schema_overrides={"verdict_above": pl.String, "turns_above": pl.Float64},
)


def test_a_what_if_stands_in_the_address_and_is_plainly_marked(small_ledger: Path):
    address = {"component": IMPELLER, "what-if": f"of={IMPELLER.replace(' ', '+')}&failure_cost=5000&nonsense=1&year_h=x"}
    page = open_screen("when_to_renew", small_ledger, address)
    assert not page.exception
    assert page.warning[0].value.startswith(IS_ONE)
    kept = page.query_params["what-if"]
    assert (kept if isinstance(kept, str) else kept[0]) == address["what-if"].split("&nonsense")[0]
    page.number_input(key=f"what if {IMPELLER} failure_cost").set_value(None)
    run(page, small_ledger)
    assert not page.warning
    assert "what-if" not in page.query_params


def test_a_what_if_of_another_part_is_left_alone(small_ledger: Path):
    page = open_screen("when_to_renew", small_ledger, {"component": IMPELLER, "what-if": "of=gearbox&failure_cost=5000"})
    assert not page.exception
    assert not page.warning


def test_nothing_supposed_gives_the_advice_of_the_records_and_keeps_nothing(small_ledger: Path):
    with showing(small_ledger):
        before = small_ledger.read_bytes()
        recorded = readings.ask("intervals", Scope(component=IMPELLER)).rows.row(0, named=True)
        would = readings.what_if(Scope(), IMPELLER, recorded["group"], Supposed())
        dearer = readings.what_if(Scope(), IMPELLER, recorded["group"], Supposed(failure_cost=1e5))
        assert small_ledger.read_bytes() == before
    assert would is not None
    assert dearer is not None
    assert (would["verdict"], would["renew_h"], would["reason"]) == (recorded["verdict"], recorded["renew_h"], recorded["reason"])
    assert dearer["run_to_failure_cost_rate"] > recorded["run_to_failure_cost_rate"]


def test_the_turn_of_each_assumption_is_said_with_its_value():
    told = turning_lines(TURNS)
    assert told["line"].to_list() == ["cost of a failure: 600 EUR", "engine hours a year: 240 h"]
    assert told["said"].to_list() == ["turns below 200", "does not turn"]
    assert told.select("from", "to").row(1) == (0.25, 4.0)
    assert told["from"][0] == 200 / 600


def test_the_picture_of_turns_has_a_bar_a_line_and_a_stroke_where_it_turns():
    drawn = turning_chart(turning_lines(TURNS)).to_dict()
    encoded = [layer["encoding"]["x"].get("field") for layer in drawn["layer"]]
    assert encoded[-4:] == ["from", "at_below", "at_above", "here"]
    assert drawn["layer"][-1]["encoding"]["x"]["scale"]["domain"] == [0.25, 4.0]


def test_what_was_adopted_is_said_with_who_why_and_what_became_of_it():
    now, old = adopted_lines(invented.adoptions())
    assert now.startswith("**200 h or 18 months**, 1 Mar 2026 by yard office: winter review · in force.")
    assert "Advised then: renew at interval" in now
    assert old == "**when it fails**, 1 Mar 2020 · replaced."


def test_the_advice_of_the_records_stands_beside_a_what_if():
    row = {"verdict": "renew at interval", "renew_h": 200.0, "renew_months": None}
    assert "would stay" in against_records(row, dict(row))
    assert "By the records: renew at interval, 200 h." in against_records(row, row | {"renew_h": 300.0})


def test_savings_over_failing_and_over_the_limit_are_said_with_their_limits():
    row = {"saving_over_failure": 900.0, "saving_over_failure_low": 100.0, "saving_over_failure_high": 1500.0, "saving_over_limit": None}
    told = saving_otherwise(row, "EUR").replace("\u00a0", " ")
    assert told == " Saved a year against waiting for the failure: 900 EUR (100 EUR to 1,500 EUR)."
    assert saving_otherwise({}, "EUR") == ""
