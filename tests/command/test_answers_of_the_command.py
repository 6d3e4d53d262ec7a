"""Each verb's JSON is what the contract says: the head first, then rows with exactly its keys."""

import csv
import io

import polars as pl
import pytest

from pipelines.command.main import main
from pipelines.terms.answers import names_of
from pipelines.terms.causes import UNKNOWN
from tests.support.small_fleet import ask

HEAD = ["as_of", "ledger_version", "records", "left_out"]
VERDICTS = {
    "renew at interval",
    "renew on condition",
    "run to failure, keep a spare",
    "keep the maker's interval",
    "improve the fitting",
    "test for hidden failure",
    "too little to say",
}


@pytest.mark.parametrize("verb", ["rates", "lives", "fits", "intervals", "due", "stock"])
def test_an_answer_begins_with_its_head_and_its_rows_have_the_keys_of_the_contract(verb, taken, capsys):
    told = ask(capsys, verb, "--ledger", taken)
    assert list(told)[:4] == HEAD
    assert told["rows"]
    assert all(list(row) == names_of(verb) for row in told["rows"])


def test_rates_hold_exposure_and_shares_that_add_to_one_with_unknown_as_a_row(taken, capsys):
    told = ask(capsys, "rates", "--ledger", taken)
    assert told["exposure_h"] > 0
    assert sum(row["share"] for row in told["rows"]) == pytest.approx(1)
    assert UNKNOWN in {row["group"] for row in told["rows"]}


@pytest.mark.parametrize("by", ["cause", "system", "symptom", "component", "remedy", "class", "base", "model", "vessel", "month"])
def test_every_grouping_counts_every_call_once(by, taken, capsys):
    rows = ask(capsys, "rates", "--ledger", taken, "--by", by)["rows"]
    calls = ask(capsys, "rates", "--ledger", taken, "--by", "cause")["records"]
    assert sum(row["events"] for row in rows) == calls


def test_failures_of_parts_are_counted_from_lives(taken, capsys):
    rows = ask(capsys, "rates", "--ledger", taken, "--of", "failures", "--by", "component")["rows"]
    lives = ask(capsys, "lives", "--ledger", taken)["rows"]
    failed = [life for life in lives if life["ending"] in ("failed", "found failed")]
    assert sum(row["events"] for row in rows) == len(failed)


def test_a_season_and_a_base_narrow_what_is_counted(taken, capsys):
    whole = ask(capsys, "rates", "--ledger", taken, "--by", "base")
    base = whole["rows"][0]["group"]
    one = ask(capsys, "rates", "--ledger", taken, "--base", base)
    assert one["records"] == whole["rows"][0]["events"]
    month = ask(capsys, "rates", "--ledger", taken, "--by", "month")["rows"][5]
    in_it = ask(capsys, "rates", "--ledger", taken, "--since", f"{month['group']}-01", "--until", f"{month['group']}-28")
    assert in_it["records"] <= month["events"]


def test_every_life_points_to_rows_and_has_an_ending_of_the_contract(taken, capsys):
    rows = ask(capsys, "lives", "--ledger", taken)["rows"]
    endings = {"failed", "found failed", "planned", "condition", "opportunistic", "outside damage", "withdrawn", "running"}
    assert {row["ending"] for row in rows} <= endings
    assert len({row["life_id"] for row in rows}) == len(rows)
    ended_by_a_row = [row for row in rows if row["ending"] not in ("running", "withdrawn")]
    assert all(row["evidence"] for row in ended_by_a_row)


def test_lives_of_a_fit_are_its_failures_intervals_and_suspensions(taken, capsys):
    for row in ask(capsys, "fits", "--ledger", taken)["rows"]:
        assert row["lives"] == row["failures"] + row["interval_censored"] + row["suspended"]
        assert row["posterior"]["scale_low"] <= row["posterior"]["scale"] <= row["posterior"]["scale_high"]


def test_fits_by_a_column_of_the_fleets_own(taken, capsys):
    rows = ask(capsys, "fits", "--ledger", taken, "--by", "fuel_source", "--component", "start battery", "--clock", "months")["rows"]
    assert all(set(row["group"]) == {"fuel_source"} for row in rows)


def test_verdicts_are_words_of_the_contract_each_with_a_reason(taken, capsys):
    rows = ask(capsys, "intervals", "--ledger", taken)["rows"]
    assert {row["verdict"] for row in rows} <= VERDICTS
    assert all(row["reason"] and row["basis"] for row in rows)


def test_a_binding_limit_is_never_passed(taken, capsys):
    for row in ask(capsys, "intervals", "--ledger", taken)["rows"]:
        if row["limit_binding"] and row["limit_h"] is not None:
            assert row["renew_h"] is not None
            assert row["renew_h"] <= row["limit_h"]
        if row["limit_binding"] and row["limit_months"] is not None:
            assert row["renew_months"] is not None
            assert row["renew_months"] <= row["limit_months"]


def test_a_what_if_changes_the_answer_and_keeps_nothing(taken, tmp_path, capsys):
    costs = tmp_path / "costs.csv"
    costs.write_text("component,planned_cost,failure_cost\nraw-water pump impeller,100,101\n")
    before = ask(capsys, "intervals", "--ledger", taken, "--component", "raw-water pump impeller")["rows"]
    what_if = ask(capsys, "intervals", "--ledger", taken, "--component", "raw-water pump impeller", "--costs", costs)["rows"]
    after = ask(capsys, "intervals", "--ledger", taken, "--component", "raw-water pump impeller")["rows"]
    assert before == after
    assert what_if != before


def test_every_due_task_has_its_caution(taken, capsys):
    assert all(row["caution"] for row in ask(capsys, "due", "--ledger", taken, "--within", "90d")["rows"])


def test_due_dates_go_into_a_calendar(taken, tmp_path, capsys):
    ask(capsys, "due", "--ledger", taken, "--calendar", tmp_path / "due.ics")
    assert (tmp_path / "due.ics").read_text().startswith("BEGIN:VCALENDAR")


def test_orders_come_in_whole_packs_and_the_budget_curve_rises(taken, capsys):
    told = ask(capsys, "stock", "--ledger", taken)
    levels = [step["service_level"] for step in told["budget_curve"]]
    assert levels == sorted(levels)
    assert all(isinstance(row["order_quantity"], int) and row["order_quantity"] >= 0 for row in told["rows"])


def test_a_budget_is_never_passed_and_more_money_never_orders_less(taken, capsys):
    lists = [ask(capsys, "stock", "--ledger", taken, "--horizon", "300d", "--budget", money)["rows"] for money in (200, 2000)]
    spent = [sum(row["order_cost"] for row in rows) for rows in lists]
    assert spent[0] <= 200
    assert spent[1] <= 2000
    assert all(more["order_quantity"] >= less["order_quantity"] for less, more in zip(*lists, strict=True))


def test_as_of_knows_nothing_later(taken, capsys):
    then = ask(capsys, "lives", "--ledger", taken, "--as-of", "2023-07-01")
    assert then["as_of"] == "2023-07-01"
    assert all(row["ended_on"] <= "2023-07-01" for row in then["rows"])


def test_records_account_for_every_row(taken, capsys):
    for row in ask(capsys, "records", "--ledger", taken)["rows"]:
        assert row["rows_in"] == row["accepted"] + row["repeated"] + row["superseded"] + row["left_out"]


def test_csv_holds_the_same_figures_as_json(taken, capsys):
    told = ask(capsys, "rates", "--ledger", taken)["rows"]
    assert main(["rates", "--ledger", str(taken), "--format", "csv"]) == 0
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    assert [float(row["rate"]) for row in rows] == [row["rate"] for row in told]


def test_a_table_of_lives_from_outside_needs_no_ledger(tmp_path, capsys):
    # NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.1.3: 20 units on test, 10 failed, 10 still running at 500 hours.
    failed = [54, 187, 216, 240, 244, 335, 361, 373, 375, 386]
    rows = [{"low": age, "high": age, "count": 1} for age in failed] + [{"low": 500, "high": None, "count": 10}]
    pl.DataFrame(rows).write_csv(tmp_path / "lives.csv")
    told = ask(capsys, "fits", "--lives", tmp_path / "lives.csv")
    assert told["rows"][0]["shape"] == pytest.approx(1.7208, abs=5e-5)
    assert told["rows"][0]["scale"] == pytest.approx(606.5276, rel=1e-4)
    assert told["rows"][0]["log_likelihood"] == pytest.approx(-75.135, abs=5e-4)


@pytest.mark.parametrize("clock", ["hours", "months"])
def test_lives_as_they_are_written_out_are_fitted_to_the_same_figures(taken, tmp_path, capsys, clock):
    assert main(["lives", "--ledger", str(taken), "--format", "csv"]) == 0
    (tmp_path / "lives.csv").write_text(capsys.readouterr().out)
    outside = {row["group"]["group"]: row for row in ask(capsys, "fits", "--lives", tmp_path / "lives.csv", "--clock", clock)["rows"]}
    inside = {row["component"]: row for row in ask(capsys, "fits", "--ledger", taken, "--clock", clock)["rows"]}
    shared = [name for name, row in inside.items() if row["shape"] is not None]
    assert len(shared) > 1
    for name in shared:
        assert outside[name]["lives"] == inside[name]["lives"]
        assert outside[name]["shape"] == pytest.approx(inside[name]["shape"], rel=1e-3)
        assert outside[name]["scale"] == pytest.approx(inside[name]["scale"], rel=1e-3)
