"""What was planted in the sample fleet comes back out of its messy records."""

import json
from datetime import date
from pathlib import Path

import pytest

import sample_fleet
from pipelines.fits.coding_breaks import coding_breaks
from pipelines.fits.trend import monthly_counts
from pipelines.flow import answering, estimating
from pipelines.flow.copies import current_copy
from pipelines.flow.sample import take_in_sample
from pipelines.terms.scope import Scope
from pipelines.terms.settings import Settings

PLANTED = json.loads((Path(sample_fleet.__file__).parent / "truths.json").read_text(encoding="utf-8"))
PARTS = {part["component"]: part for part in PLANTED["parts"]}
ENOUGH_FAILURES = 5


@pytest.fixture(scope="module")
def copy(tmp_path_factory):
    ledger = tmp_path_factory.mktemp("sample") / "sample.duckdb"
    take_in_sample(ledger, Settings())
    with current_copy(ledger, Settings()) as copy:
        yield copy


@pytest.fixture(scope="module")
def verdicts(copy):
    return {row["component"]: row for row in answering.intervals(copy, Scope(), Settings()).rows.to_dicts()}


def fits(copy, clock):
    """Fits of the parts whose truth is on this one clock, with enough failures to be asked about."""
    rows = answering.fits(copy, Scope(), Settings(), clock=clock).rows.to_dicts()
    on_clock = [row for row in rows if PARTS.get(row["component"], {}).get("clock") == clock and not PARTS[row["component"]]["early_share"]]
    return [row for row in on_clock if row["failures"] + row["interval_censored"] >= ENOUGH_FAILURES]


def scales_of(part, clock):
    """The planted scale of the hardest- and the easiest-living boats."""
    factors = [1.0, *(factor for words in part["factors"].values() for factor in words.values())]
    return part[clock]["scale"] * min(factors), part[clock]["scale"] * max(factors)


def test_nine_in_ten_posterior_limits_hold_the_planted_scale(copy):
    asked = [(row, clock) for clock in ("hours", "months") for row in fits(copy, clock)]
    held = 0
    for row, clock in asked:
        least, most = scales_of(PARTS[row["component"]], clock)
        held += row["posterior"]["scale_low"] <= most and row["posterior"]["scale_high"] >= least
    assert len(asked) >= 10
    # Limits at 90 %: of 13 parts 9 or fewer would hold in 1 of 60 fleets.
    assert held >= 0.75 * len(asked)


def test_wear_is_told_from_chance(copy):
    for row in [*fits(copy, "hours"), *fits(copy, "months")]:
        pattern = PARTS[row["component"]]["pattern"]
        if pattern == "random":
            assert row["wears_out_probability"] < 0.9, row["component"]
        elif row["failures"] >= 10:
            assert row["wears_out_probability"] > 0.9, row["component"]


@pytest.mark.parametrize(("component", "clock"), [("start battery", "months"), ("water-separating fuel filter", "hours")])
def test_the_clock_of_a_part_is_found_and_the_other_alone_is_ruled_out(copy, component, clock):
    matter = estimating.matter_of(copy, Scope(component=component))
    found = estimating.estimates_of(matter, (), Settings())[0].posterior
    assert PARTS[component]["clock"] == clock
    assert found is not None
    weights = {name: found.weight_of(clock=name) for name in ("hours", "months", "both")}
    assert max(weights, key=lambda name: weights[name]) == clock
    # Wear on both clocks holds wear on either as its limit, so lives on one clock cannot rule it out.
    assert sum(weight for name, weight in weights.items() if name not in (clock, "both")) < 0.01


def test_no_random_part_is_told_to_be_renewed(verdicts):
    random = [component for component, part in PARTS.items() if part["pattern"] == "random" and not part["hidden"]]
    assert len(random) >= 3
    for component in random:
        assert (verdicts[component]["renew_h"], verdicts[component]["renew_months"]) == (None, None), component


def test_bad_fitting_is_called_bad_fitting(verdicts):
    early = [component for component, part in PARTS.items() if part["early_share"] > 0]
    assert early
    assert {verdicts[component]["verdict"] for component in early} == {"improve the fitting"}


def test_hidden_functions_get_a_test(verdicts):
    hidden = [component for component, part in PARTS.items() if part["hidden"]]
    assert hidden
    for component in hidden:
        assert verdicts[component]["verdict"] == "test for hidden failure"
        assert verdicts[component]["test_months"] is not None


def test_the_month_in_which_causes_were_coded_differently_is_found(copy):
    calls, months = (copy.frame(f"select * from derived.{table}") for table in ("calls", "engine_months"))
    found = [step.month.isoformat() for step in coding_breaks(monthly_counts(calls, months, "cause"))]
    assert any(abs((date.fromisoformat(month) - date.fromisoformat(PLANTED["coding_changed_on"])).days) <= 92 for month in found), found
