"""The kit of a type of boat on small tables: what is counted, what is barred, what has no price or weight, what covers the rest."""

from datetime import date

import polars as pl
import pytest

from pipelines.advice.kit import NO_PRICE, NO_TOW, NOT_FOR_CREW, BoatType, Kit, Limits, Stores, kit_of
from pipelines.advice.kit_gaps import CREW_CLEARS, NEVER_AFLOAT, NOT_TOLD, gaps
from pipelines.advice.kit_tows import SHARE_CALLS, tows_by_type, with_faults, with_tow_share
from pipelines.terms.cautions import CAUTIONS
from pipelines.terms.components import CATALOGUE, PETROL_VAPOUR, PROPELLER
from tests.advice.made import catalogue, derived, records

OPEN, CABIN = "open boat · M40", "cabin boat · D3"
MONTH = date(2025, 6, 1)


def calls(*told: tuple[str, str | None, str | None, str | None], vessel: str = "v1", symptom: str = "stops under way") -> pl.DataFrame:
    """Calls as (cause, component, outcome, _) of one boat in one month."""
    rows = [
        {"row_id": n, "vessel_id": vessel, "called_on": MONTH, "month": MONTH, "symptom": symptom}
        | {"cause": cause, "component": component, "outcome": outcome}
        for n, (cause, component, outcome, _) in enumerate(told)
    ]
    return derived("calls", *rows)


def times(number: int, cause: str, component: str | None = None, outcome: str | None = "towed") -> list[tuple]:
    return [(cause, component, outcome, None)] * number


def months(**boats: float) -> pl.DataFrame:
    """Watched boat-years by boat; v1 is an open boat, any other a cabin boat."""
    return pl.DataFrame(
        [
            {"vessel_id": boat, "month": MONTH, "days": years * 365.25, "boat_type": OPEN if boat == "v1" else CABIN}
            for boat, years in boats.items()
        ]
    )


def fitted(*parts: str, boat_type: str = OPEN) -> pl.DataFrame:
    return pl.DataFrame(
        {"boat_type": [boat_type] * len(parts), "component": list(parts)}, schema={"boat_type": pl.String, "component": pl.String}
    )


def stores(prices: dict[str, float], weights: dict[str, float] | None = None, bar: tuple[str, ...] = ()) -> Stores:
    """Built-in catalogue with the fleet's prices and weights; `bar`: parts a crew may not fit, whatever the catalogue says."""
    known = [
        {"component": code, "crew_can_fit": one.crew_can_fit and code not in bar, "safety": one.safety} for code, one in CATALOGUE.items()
    ]
    return Stores(
        catalogue(*known),
        records("components", *({"component": name, "weight_kg": weight} for name, weight in (weights or {}).items())),
        records("parts", *({"part_id": name, "component": name, "unit_cost": price} for name, price in prices.items())),
    )


def kit(told: pl.DataFrame, parts: tuple[str, ...], held: Stores, limits: Limits | None = None, years: float = 10.0) -> Kit:
    places = fitted(*parts)
    tows = tows_by_type(told, months(v1=years), places, 0.9)
    return kit_of(BoatType(OPEN, "open boat", "M40", ("M40",), 3, parts), tows, held, limits or Limits())


def aboard(made: Kit) -> list[str]:
    return [item.name for item in made.aboard]


def test_the_tows_an_item_stops_are_the_tows_of_its_fault_a_boat_and_season():
    made = kit(calls(*times(8, "plugs fouled", "spark plugs")), ("spark plugs",), stores({"spark plugs": 40.0}))
    assert made.aboard[0].tows == pytest.approx(0.8)
    assert made.stopped == pytest.approx(made.expected)


def test_a_call_that_was_fixed_aboard_is_no_tow_and_one_that_does_not_say_counts_as_its_share():
    told = calls(*times(6, "plugs fouled", "spark plugs"), *times(2, "plugs fouled", "spark plugs", "fixed aboard"))
    silent = calls(
        *times(6, "plugs fouled", "spark plugs"),
        *times(2, "plugs fouled", "spark plugs", "fixed aboard"),
        *times(4, "plugs fouled", "spark plugs", None),
    )
    assert with_tow_share(with_faults(told))["tow"].sum() == 6
    share = (6 + SHARE_CALLS * 0.75) / (8 + SHARE_CALLS)
    assert with_tow_share(with_faults(silent))["tow"].sum() == pytest.approx(6 + 4 * share)
    nobody_says = calls(*times(3, "plugs fouled", "spark plugs", None))
    assert with_tow_share(with_faults(nobody_says))["tow"].sum() == pytest.approx(3)


def test_what_a_crew_may_not_fit_is_never_aboard_and_says_so():
    told = calls(*times(20, "thermostat stuck", "thermostat"), *times(1, "plugs fouled", "spark plugs"))
    made = kit(told, ("thermostat", "spark plugs"), stores({"thermostat": 1.0, "spark plugs": 40.0}))
    assert aboard(made) == ["spark plugs"]
    uncovered = gaps(made).row(by_predicate=pl.col("fault") == "thermostat", named=True)
    assert (uncovered["covered"], uncovered["why_not"]) == (False, NOT_FOR_CREW)
    assert uncovered["share"] == pytest.approx(20 / 21)


def test_the_fleets_own_no_outranks_the_catalogue():
    told = calls(*times(5, "belt broken", "drive belt"))
    assert aboard(kit(told, ("drive belt",), stores({"drive belt": 40.0}))) == ["drive belt"]
    assert aboard(kit(told, ("drive belt",), stores({"drive belt": 40.0}, bar=("drive belt",)))) == []


def test_within_a_budget_what_has_no_price_is_listed_and_not_bought():
    told = calls(*times(5, "belt broken", "drive belt"), *times(3, "plugs fouled", "spark plugs"))
    held = stores({"spark plugs": 40.0})
    assert aboard(kit(told, ("drive belt", "spark plugs"), held)) == ["drive belt", "spark plugs"]
    made = kit(told, ("drive belt", "spark plugs"), held, Limits(money=100.0))
    assert {item.name: item.note for item in made.items if item.tows} == {"spark plugs": "", "drive belt": NO_PRICE}
    assert [one.price for one in made.curve] == [0.0, 40.0]


def test_an_unknown_weight_is_carried_and_told_never_guessed():
    told = calls(*times(5, "belt broken", "drive belt"), *times(3, "plugs fouled", "spark plugs"))
    made = kit(
        told, ("drive belt", "spark plugs"), stores({"drive belt": 40.0, "spark plugs": 40.0}, {"drive belt": 0.3}), Limits(weight=0.2)
    )
    assert [(item.name, item.weight) for item in made.aboard] == [("spark plugs", None)]
    assert made.choice.weight == 0.0


def test_pieces_and_price_are_those_of_one_fitting_on_that_model():
    parts = records(
        "parts",
        {"part_id": "a", "component": "spark plugs", "engine_model": "M40", "unit_cost": 9.5, "quantity_per_fit": 4.0},
        {"part_id": "b", "component": "spark plugs", "engine_model": "M60", "unit_cost": 99.0},
        {"part_id": "c", "component": "spark plugs", "unit_cost": 50.0},
    )
    held = stores({})
    assert Stores(held.catalogue, held.components, parts).price("spark plugs", ["M40"]) == (38.0, 4)
    assert Stores(held.catalogue, held.components, parts).price("spark plugs", ["M20"]) == (50.0, 1)


def test_fire_and_fuel_leaks_are_no_crews_job_whatever_part_they_name():
    told = pl.concat(
        [calls(*times(4, "fuel leak", "fuel hose")), calls(*times(2, "unknown", "fuel hose"), symptom="fire, smoke or fuel smell")]
    )
    made = kit(told, ("fuel hose",), stores({"fuel hose": 50.0}))
    assert aboard(made) == []
    assert made.items[0].note == NO_TOW
    row = gaps(made).row(0, named=True)
    assert (row["fault"], row["why_not"], row["share"]) == ("fire, smoke or fuel smell", NEVER_AFLOAT, 1.0)


def test_unknown_is_a_row_of_its_own_and_all_shares_add_to_one():
    told = calls(*times(6, "unknown"), *times(2, "uncoded"), *times(2, "mechanical, not further stated"), *times(10, "fuel exhausted"))
    rows = gaps(kit(told, (), stores({})))
    unknown = rows.row(by_predicate=pl.col("fault") == "unknown", named=True)
    assert (unknown["share"], unknown["why_not"]) == (pytest.approx(0.5), NOT_TOLD)
    assert rows["share"].sum() == pytest.approx(1)
    fuel = rows.row(by_predicate=pl.col("fault") == "fuel exhausted", named=True)
    assert fuel["remedy"] == "pre-departure check"
    assert "dip" in fuel["covered_by"]


def test_a_part_that_is_only_ever_struck_is_a_matter_of_briefing():
    rows = gaps(kit(calls(*times(3, "unknown", "propeller")), (), stores({})))
    assert rows.row(0, named=True)["remedy"] == "crew briefing"
    assert "marked water" in rows.row(0, named=True)["covered_by"]


def test_a_strainer_is_cleared_by_the_crew_and_no_spare_of_it_is_carried():
    made = kit(calls(*times(4, "weed in intake", "raw-water strainer")), ("raw-water strainer",), stores({"raw-water strainer": 20.0}))
    assert "raw-water strainer" not in [item.name for item in made.items]
    assert gaps(made)["why_not"].to_list() == [CREW_CLEARS]


def test_types_of_few_calls_borrow_and_a_part_nobody_called_for_says_how_bad_it_could_be():
    told = pl.concat([calls(*times(30, "plugs fouled", "spark plugs"), vessel="v2"), calls(*times(1, "plugs fouled", "spark plugs"))])
    places = pl.concat([fitted("spark plugs", "bilge pump"), fitted("spark plugs", boat_type=CABIN)])
    tows = tows_by_type(told, months(v1=2.0, v2=10.0), places, 0.9)
    of = {(row["boat_type"], row["fault"]): row for row in tows.to_dicts()}
    assert 0.5 < of[OPEN, "spark plugs"]["rate"] < 3.0
    assert of[OPEN, "bilge pump"]["rate"] == 0.0
    assert of[OPEN, "bilge pump"]["high"] > 0
    assert (CABIN, "bilge pump") not in of


def test_a_type_that_was_never_watched_borrows_all_it_has():
    told = calls(*times(6, "plugs fouled", "spark plugs"))
    places = pl.concat([fitted("spark plugs"), fitted("spark plugs", boat_type=CABIN)])
    of = {
        row["boat_type"]: row
        for row in tows_by_type(told, months(v1=10.0), places, 0.9).filter(pl.col("fault") == "spark plugs").to_dicts()
    }
    assert of[CABIN]["rate"] == pytest.approx(0.6)
    assert (of[CABIN]["boat_years"], of[CABIN]["calls"]) == (0.0, 0)


def test_every_item_carries_its_cautions():
    made = kit(
        calls(*times(3, "hub worn", "propeller hub"), *times(3, "plugs fouled", "spark plugs")),
        ("propeller hub", "spark plugs"),
        stores({}),
    )
    told = {item.name: item.caution for item in made.items}
    assert CAUTIONS[PROPELLER] in told["propeller hub"]
    assert CAUTIONS[PETROL_VAPOUR] in told["spark plugs"]
    assert all(caution for caution in told.values())
