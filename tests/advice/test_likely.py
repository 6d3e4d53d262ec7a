"""The likely causes of a call, in order."""

from datetime import date

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.advice.likely import (
    AGE_TELLS,
    ANOTHER,
    FURTHEST,
    LikelyCause,
    Situation,
    likely_causes,
    part_factor,
    rate_factor,
    symptom_shares,
)
from pipelines.terms.causes import CAUSES, SYMPTOMS, UNKNOWN
from pipelines.terms.first_checks import FIRST_CHECKS

HOT = "overheats"
JULY = date(2025, 7, 9)
HERE = Situation("V1", "day boat", "North", HOT, JULY)


def calls(*told: tuple[str, str]) -> pl.DataFrame:
    rows = [{"symptom": symptom, "cause": cause, "called_on": JULY, "vessel_class": "day boat", "base": "North"} for symptom, cause in told]
    words = dict.fromkeys(("symptom", "cause", "vessel_class", "base"), pl.String)
    return pl.DataFrame(rows, schema={**words, "called_on": pl.Date})


def watched(*rows: tuple[str, date, str, str, float]) -> pl.DataFrame:
    schema = {"vessel_id": pl.String, "month": pl.Date, "vessel_class": pl.String, "base": pl.String, "days": pl.Float64}
    return pl.DataFrame(list(rows), schema=schema, orient="row")


def chances(*rows: tuple[str, str, float | None]) -> pl.DataFrame:
    return pl.DataFrame(list(rows), schema={"vessel_id": pl.String, "component": pl.String, "chance": pl.Float64}, orient="row")


def of(causes: list[LikelyCause]) -> dict[str, float]:
    return {one.cause: one.probability for one in causes}


# A Dirichlet prior with multinomial counts has the posterior mean (n + a) / (N + A): Gelman et al. (2013), Bayesian Data Analysis,
# 3rd ed., section 3.4.
def test_shares_are_the_posterior_mean_of_a_dirichlet():
    before, after = symptom_shares([], HOT), symptom_shares(["weed in intake"] * 6, HOT)
    assert after["weed in intake"] == pytest.approx((6 + 4 * before["weed in intake"]) / (6 + 4))
    assert after["thermostat stuck"] == pytest.approx(4 * before["thermostat stuck"] / 10)


def test_with_no_call_on_record_the_trades_tree_speaks():
    causes = likely_causes(HERE, calls(), watched(), chances())
    assert set(of(causes)) - {ANOTHER, UNKNOWN} <= {code for code, cause in CAUSES.items() if HOT in cause.symptoms}
    assert causes[-1].probability == pytest.approx(0.5)


def test_what_the_fleet_saw_outweighs_the_tree():
    causes = likely_causes(HERE, calls(*[(HOT, "weed in intake")] * 30), watched(), chances())
    assert causes[0].cause == "weed in intake"
    assert causes[0].probability > 0.8


def test_calls_whose_cause_never_came_to_light_stay_unknown_and_are_not_shared_out():
    told = [(HOT, "weed in intake")] * 20
    alone, beside = (of(likely_causes(HERE, calls(*told, *more), watched(), chances())) for more in ([], [(HOT, UNKNOWN)] * 60))
    assert beside[UNKNOWN] == pytest.approx(61 / 82)
    assert beside["weed in intake"] / (1 - beside[UNKNOWN]) == pytest.approx(alone["weed in intake"] / (1 - alone[UNKNOWN]))


def test_a_call_coded_mechanical_tells_nothing_and_counts_as_unknown():
    said = of(likely_causes(HERE, calls(*[(HOT, "mechanical, not further stated")] * 8), watched(), chances()))
    assert "mechanical, not further stated" not in said
    assert said[UNKNOWN] == pytest.approx(9 / 10)


def test_an_old_part_is_likelier_than_the_same_part_fresh():
    told = calls(*[(HOT, "impeller failed"), (HOT, "thermostat stuck")] * 10)
    fleet = chances(
        ("V1", "raw-water pump impeller", 0.09),
        ("V2", "raw-water pump impeller", 0.01),
        ("V1", "thermostat", 0.02),
        ("V2", "thermostat", 0.02),
    )
    said = of(likely_causes(HERE, told, watched(), fleet))
    assert said["impeller failed"] == pytest.approx(1.8**AGE_TELLS * said["thermostat stuck"], rel=1e-6)


def test_a_boat_without_the_part_cannot_have_it_fail():
    told = calls(*[(HOT, "belt broken")] * 9)
    assert "belt broken" not in of(likely_causes(HERE, told, watched(), chances(("V2", "drive belt", 0.1)), hardly=0.0))


def test_a_part_that_nobody_tracks_counts_as_on_the_fleets_average():
    assert part_factor("heat exchanger", "V1", chances(("V1", "thermostat", 0.2))) == 1.0


def test_an_unknown_age_counts_as_the_average():
    assert part_factor("thermostat", "V1", chances(("V1", "thermostat", None), ("V2", "thermostat", 0.2))) == 1.0


def test_no_part_outruns_the_fleet_without_bound():
    fleet = chances(("V1", "thermostat", 0.9), *((f"V{n}", "thermostat", 0.0001) for n in range(2, 60)))
    assert part_factor("thermostat", "V1", fleet) == pytest.approx(FURTHEST**AGE_TELLS)


def test_a_base_with_more_than_its_share_raises_a_cause_and_few_calls_raise_it_little():
    seen = watched(("V1", date(2025, 7, 1), "day boat", "North", 100.0), ("V2", date(2025, 7, 1), "day boat", "South", 100.0))
    few, many = (rate_factor("ran aground", HERE.marks, calls(*[(HOT, "ran aground")] * n), seen) for n in (2, 200))
    assert 1 < few < many < 2


# Two equal halves of the exposure and all calls in one: the rate there is twice the fleet's, which is where many calls lead.
def test_many_calls_lead_to_the_plain_ratio_of_rates():
    seen = watched(("V1", date(2025, 7, 1), "day boat", "North", 100.0), ("V2", date(2025, 7, 1), "day boat", "South", 100.0))
    assert rate_factor("ran aground", HERE.marks, calls(*[(HOT, "ran aground")] * 100_000), seen) == pytest.approx(2, rel=1e-3)


@given(
    told=st.lists(st.tuples(st.sampled_from(sorted(SYMPTOMS)), st.sampled_from(sorted(CAUSES))), max_size=40),
    symptom=st.sampled_from(sorted(SYMPTOMS)),
    chance=st.floats(0, 1),
)
def test_the_chances_of_any_call_add_to_one(told, symptom, chance):
    situation = Situation("V1", None, "North", symptom, JULY)
    causes = likely_causes(situation, calls(*told), watched(), chances(("V1", "thermostat", chance), ("V2", "thermostat", 0.3)))
    assert sum(one.probability for one in causes) == pytest.approx(1)
    assert causes[-1].cause == UNKNOWN


def test_every_cause_has_something_to_check_and_to_bring():
    assert set(FIRST_CHECKS) == set(CAUSES)
    assert all(one.check and one.bring for one in FIRST_CHECKS.values())


def test_nobody_on_the_telephone_is_told_to_open_anything_hot_or_reach_for_the_propeller():
    said = " ".join(one.check.lower() for one in FIRST_CHECKS.values())
    assert not any(word in said for word in ("remove the", "undo", "unscrew", "take off the cover", "open the cap", "reach in"))
