from datetime import date

import numpy as np
import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipelines.errors import NoFigure, UnknownWord
from pipelines.fits.rate_table import FLEET_WIDE, NO_HOURS, NOT_KNOWN, OWN_HOURS, failure_rate_table, rate_table
from pipelines.fits.rates import rate_with_limits, share_with_limits

MAY, JUNE = date(2024, 5, 1), date(2024, 6, 1)
GROUPS = {"vessel_class": str, "base": str, "engine_model": str}


def watched(*rows: tuple) -> pl.DataFrame:
    """Engine, boat, month, days, hours, class, base, model."""
    schema = {"engine_id": str, "vessel_id": str, "month": pl.Date, "days": float, "engine_h": float} | GROUPS
    return pl.DataFrame(rows, schema=schema, orient="row")


def called(*rows: tuple) -> pl.DataFrame:
    """Boat, month, cause, base, model of each call."""
    schema = {"vessel_id": str, "month": pl.Date, "cause": str, "base": str, "engine_model": str}
    frame = pl.DataFrame(rows, schema=schema, orient="row")
    return frame.with_columns(vessel_class=pl.lit("launch"), system=pl.lit("fuel"), symptom=pl.lit("stops under way"))


# Two boats at Northquay, one of them with two engines; one at Eastbay that never called.
FLEET = watched(
    ("E1", "V1", MAY, 31, 100.0, "launch", "Northquay", "M20"),
    ("E2", "V1", MAY, 31, 120.0, "launch", "Northquay", "M20"),
    ("E3", "V2", MAY, 31, 80.0, "launch", "Northquay", "M30"),
    ("E3", "V2", JUNE, 30, 200.0, "launch", "Northquay", "M30"),
    ("E4", "V3", JUNE, 15, 500.0, "dory", "Eastbay", "M30"),
)
CALLS = called(
    ("V1", MAY, "fuel exhausted", "Northquay", None),
    ("V1", MAY, "fuel exhausted", "Northquay", "M20"),
    ("V2", JUNE, "belt broken", "Northquay", "M30"),
    ("V2", JUNE, None, "Northquay", "M30"),
)


def row(table: pl.DataFrame, name: str) -> dict:
    return table.filter(pl.col("name") == name).row(0, named=True)


def test_causes_are_set_against_the_whole_fleets_hours():
    table = rate_table(CALLS, FLEET, "cause")
    exhausted = row(table, "fuel exhausted")
    plain = rate_with_limits(2, 1_000)
    assert (exhausted["events"], exhausted["exposure_h"], exhausted["share"]) == (2, 1_000, 0.5)
    assert (exhausted["rate"], exhausted["low"], exhausted["high"]) == pytest.approx((plain.value, plain.low, plain.high))
    assert (exhausted["share_low"], exhausted["share_high"]) == pytest.approx((share_with_limits(2, 4).low, share_with_limits(2, 4).high))
    assert exhausted["note"] == ""


def test_unknown_is_a_row_of_its_own_at_the_end():
    table = rate_table(CALLS, FLEET, "cause")
    assert table["name"].to_list() == ["fuel exhausted", "belt broken", "unknown"]
    assert (row(table, "unknown")["events"], row(table, "unknown")["shrunken_rate"], row(table, "unknown")["note"]) == (1, None, NOT_KNOWN)
    assert table["share"].sum() == pytest.approx(1)


def test_bases_have_their_own_hours_and_one_without_a_call_is_a_row_too():
    table = rate_table(CALLS, FLEET, "base")
    assert table.select("name", "events", "exposure_h").rows() == [("Northquay", 4, 500), ("Eastbay", 0, 500)]
    quiet = row(table, "Eastbay")
    assert (quiet["rate"], quiet["low"]) == (0, 0)
    assert quiet["high"] == pytest.approx(rate_with_limits(0, 500).high)
    assert 0 < quiet["shrunken_rate"] < row(table, "Northquay")["rate"]


def test_a_call_on_a_boat_with_two_engines_counts_once_against_both_engines_hours():
    boat = row(rate_table(CALLS, FLEET, "vessel"), "V1")
    assert (boat["events"], boat["exposure_h"], boat["rate"]) == (2, 220, pytest.approx(2 / 220 * 1_000))


def test_a_call_that_names_no_engine_has_the_model_that_all_the_boats_engines_share():
    table = rate_table(CALLS, FLEET, "model")
    assert table.select("name", "events", "exposure_h").rows() == [("M20", 2, 220), ("M30", 2, 780)]


def test_a_call_on_a_boat_with_unlike_engines_has_no_model():
    mixed = FLEET.with_columns(engine_model=pl.when(pl.col("engine_id") == "E2").then(pl.lit("M40")).otherwise("engine_model"))
    unknown = row(rate_table(CALLS, mixed, "model"), "unknown")
    assert (unknown["events"], unknown["rate"]) == (1, None)
    assert unknown["note"] == f"{NOT_KNOWN} {NO_HOURS}"


def test_boat_days_count_a_boat_with_two_engines_once():
    table = rate_table(CALLS, FLEET, "base")
    assert row(table, "Northquay")["per_boat_day"] == pytest.approx(4 / 92)
    assert row(rate_table(CALLS, FLEET, "cause"), "belt broken")["per_boat_day"] == pytest.approx(1 / 107)


def test_months_stand_in_order():
    table = rate_table(CALLS, FLEET, "month")
    assert table.select("name", "events", "exposure_h").rows() == [("2024-05", 2, 300), ("2024-06", 2, 700)]


def test_calls_where_hours_are_not_known_count_but_not_in_the_rate():
    unread = FLEET.with_columns(engine_h=pl.when(pl.col("engine_id") == "E2").then(None).otherwise("engine_h"))
    exhausted = row(rate_table(CALLS, unread, "cause"), "fuel exhausted")
    assert (exhausted["events"], exhausted["share"], exhausted["exposure_h"], exhausted["rate"]) == (2, 0.5, 780, 0)
    assert exhausted["note"] == "2 of 2 happened where hours are not known: they count here, not in the rate."


def test_without_hours_there_are_counts_and_shares_and_the_reason():
    table = rate_table(CALLS, FLEET.with_columns(engine_h=pl.lit(None, pl.Float64)), "cause")
    assert table.select("rate", "low", "high", "shrunken_rate").null_count().rows() == [(3, 3, 3, 3)]
    assert table["share"].sum() == pytest.approx(1)
    assert row(table, "belt broken")["note"] == NO_HOURS
    assert row(table, "belt broken")["per_boat_day"] > 0


def test_trips_are_counted_where_they_are_on_record():
    trips = pl.DataFrame({"vessel_id": ["V1"] * 10 + ["V2"] * 5 + ["V9"], "month": [MAY] * 10 + [JUNE] * 5 + [MAY]})
    assert row(rate_table(CALLS, FLEET, "cause", trips=trips), "fuel exhausted")["per_trip"] == pytest.approx(2 / 15)
    by_base = rate_table(CALLS, FLEET, "base", trips=trips)
    assert row(by_base, "Northquay")["per_trip"] == pytest.approx(4 / 15)
    assert row(by_base, "Eastbay")["per_trip"] is None
    assert rate_table(CALLS, FLEET, "cause")["per_trip"].null_count() == 3


def test_no_calls_yet_still_bounds_the_rate_of_each_boat():
    table = rate_table(CALLS.clear(), FLEET, "vessel")
    assert table["rate"].to_list() == [0, 0, 0]
    assert (table["high"] > 0).all()
    assert table["share"].null_count() == table["shrunken_rate"].null_count() == 3


def test_calls_but_nothing_watched_have_shares():
    table = rate_table(CALLS, FLEET.clear(), "base")
    assert table.select("name", "events", "share", "rate").rows() == [("Northquay", 4, 1.0, None)]


def test_nothing_at_all_is_a_reason():
    with pytest.raises(NoFigure, match="No calls and no days watched"):
        rate_table(CALLS.clear(), FLEET.clear(), "cause")


def test_an_unknown_grouping_is_told_with_those_known():
    with pytest.raises(UnknownWord, match=r"--by colour: not a grouping of rates\. Known: cause, system"):
        rate_table(CALLS, FLEET, "colour")


@settings(deadline=None, max_examples=40)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(["V1", "V2", "V3", "V9"]), st.sampled_from([MAY, JUNE]), st.sampled_from(["belt broken", "swamped", None, " "])
        ),
        min_size=1,
        max_size=30,
    ),
    st.sampled_from(["cause", "system", "symptom", *OWN_HOURS]),
)
def test_events_add_up_and_rates_lie_in_their_limits_whatever_the_grouping(calls, by):
    table = rate_table(called(*((boat, month, cause, "Northquay", None) for boat, month, cause in calls)), FLEET, by)
    assert table["events"].sum() == len(calls)
    assert table["share"].sum() == pytest.approx(1)
    known = table.drop_nulls("rate")
    assert ((known["low"] <= known["rate"]) & (known["rate"] <= known["high"])).all()
    assert (table["rate"].is_null() == (table["exposure_h"] <= 0)).all()
    assert table["name"].n_unique() == table.height


def test_many_groups_are_shrunk_and_the_smallest_most():
    draw = np.random.default_rng(6)
    hours = draw.uniform(20, 400, 60)
    fleet = watched(*((f"E{at}", f"V{at}", MAY, 31, hours[at], "launch", "Northquay", "M20") for at in range(60)))
    events = np.repeat(np.arange(60), draw.poisson(draw.gamma(2, 0.01, 60) * hours))
    table = rate_table(called(*((f"V{at}", MAY, "swamped", "Northquay", "M20") for at in events)), fleet, "vessel")
    pull = np.abs(table["shrunken_rate"].to_numpy() - table["rate"].to_numpy())
    small = table["exposure_h"].to_numpy() < 100
    assert (pull > 0).all()
    assert np.median(pull[small]) > np.median(pull[~small])


LIFE_SCHEMA = {"life_id": str, "vessel_id": str, "component": str, "ended_on": pl.Date, "ending": str, "cause": str, "base": str}
LIFE_SCHEMA |= {"entry_h": float, "low_h": float, "high_h": float, "entry_months": float, "low_months": float}


def life(
    at: int, component: str, ending: str, low: float | None, high: float | None, base: str = "Northquay", cause: str | None = None
) -> dict:
    told = {"life_id": f"L{at}", "vessel_id": "V1", "component": component, "ended_on": date(2024, 6, 9), "ending": ending, "base": base}
    return told | {"cause": cause, "entry_h": 0.0, "low_h": low, "high_h": high, "entry_months": 0.0, "low_months": 1.5}


LIVES = pl.DataFrame(
    [
        life(1, "drive belt", "failed", 300, 300, cause="belt broken"),
        life(2, "drive belt", "condition", 200, 240),
        life(3, "drive belt", "failed", None, None),
        life(4, "bilge pump", "found failed", 100, 400, base="Eastbay"),
        life(5, "bilge pump", "running", 500, None, base="Eastbay"),
        life(6, "start battery", "running", 600, None),
    ],
    schema=LIFE_SCHEMA,
)


def test_a_component_fails_per_hour_of_its_own_positions():
    table = failure_rate_table(LIVES, "component")
    assert table.select("name", "events", "exposure_h").rows() == [
        ("drive belt", 2, 500),
        ("bilge pump", 1, 900),
        ("start battery", 0, 600),
    ]
    belt = row(table, "drive belt")
    assert belt["rate"] == pytest.approx(2)
    assert belt["note"] == "1 of 2 happened where hours are not known: they count here, not in the rate."
    assert belt["per_boat_day"] is None


def test_failures_by_other_words_are_set_against_all_positions_or_their_own():
    assert row(failure_rate_table(LIVES, "cause"), "belt broken")["exposure_h"] == 2_000
    assert row(failure_rate_table(LIVES, "system"), "hull")["events"] == 1
    assert row(failure_rate_table(LIVES, "base"), "Eastbay")["rate"] == pytest.approx(1 / 900 * 1_000)
    months = failure_rate_table(LIVES, "month")
    assert months["exposure_h"].sum() == pytest.approx(2_000)
    assert row(months, "2024-06")["events"] == 3


def test_months_in_which_no_boat_ran_are_no_rows():
    ran = watched(("E1", "V1", JUNE, 30, 50.0, "launch", "Northquay", "M20"), ("E1", "V1", MAY, 31, 0.0, "launch", "Northquay", "M20"))
    assert failure_rate_table(LIVES, "month", engine_months=ran)["name"].to_list() == ["2024-06"]


def test_the_symptom_of_a_failure_and_an_empty_table_have_a_reason():
    with pytest.raises(NoFigure, match="symptom of a failure stands on the call"):
        failure_rate_table(LIVES, "symptom")
    with pytest.raises(NoFigure, match="No lives"):
        failure_rate_table(LIVES.clear(), "cause")


def test_every_grouping_of_the_command_is_known():
    assert [*FLEET_WIDE, *OWN_HOURS] == ["cause", "system", "symptom", "component", "remedy", "class", "base", "model", "vessel", "month"]
