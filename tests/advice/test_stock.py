from dataclasses import replace
from datetime import timedelta
from math import comb

import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.advice.budget import budget_curve
from pipelines.advice.case import Estimate
from pipelines.advice.counts import poisson
from pipelines.advice.positions_ahead import Ahead
from pipelines.advice.shelf import Shelf
from pipelines.advice.shelves_served import unserved
from pipelines.advice.stock import Question, shelves
from pipelines.advice.stock_rows import stock_rows
from pipelines.advice.yard import Yard
from pipelines.terms.answers import names_of
from pipelines.terms.settings import Settings
from tests.advice.made import TODAY, believed, derived, drawn_lives, even_use, fleet, positions, records, unhurried, weibull
from tests.advice.test_due import running

LIVES = derived("lives", *({**running(100.0, engine=f"e{n}"), "vessel_id": f"v{n}"} for n in range(10)))
YARD, SETTINGS = Yard(), Settings()
PART = {"part_id": "p1", "component": "part", "on_hand": 0, "lead_time_d": 30.0, "unit_cost": 20.0}


def asked(*parts, of=None, plan=(), lives=LIVES, here=None, use=None, yard=YARD, settings=SETTINGS, **tables):
    estimates = [] if of is None else [Estimate("part", None, of, lives)]
    here = positions("part") if here is None else here
    made = fleet(here, plan=records("plan", *plan), engine_use=even_use(10) if use is None else use, **tables)
    return Question(records("parts", *(parts or [PART])), made, lives, estimates, TODAY, settings, yard)


def held(*parts, horizon=120, **more):
    settings = replace(more.pop("settings", Settings()), horizon_days=horizon)
    return shelves(asked(*parts, settings=settings, **more))


def rows(shelves_held, settings=SETTINGS):
    return stock_rows(shelves_held, settings, TODAY)


def shelf(**more):
    plain = Shelf("p", "part", None, 0, 0, 1, 10.0, poisson(2.0), poisson(8.0), "")
    return replace(plain, **more)


def test_exponential_lives_without_a_plan_give_poisson_demand():
    (one,) = held(of=weibull(1, 300))
    mean = 10 * 240 * 120 / 365.25 / 300
    exact = poisson(mean).probability
    assert one.season.mean == pytest.approx(mean, rel=0.005)
    assert one.season.probability[:20] == pytest.approx(exact[:20], abs=0.002)
    assert one.lead.mean == pytest.approx(mean / 4, rel=0.005)


def test_planned_renewals_come_when_they_are_due():
    plan = [{"component": "part", "every_h": 150.0}]
    assert held(of=weibull(9, 1e6), plan=plan, horizon=30)[0].season.mean == pytest.approx(0, abs=1e-6)
    assert held(of=weibull(9, 1e6), plan=plan, horizon=120)[0].season.mean == pytest.approx(10, abs=1e-6)


def test_a_season_of_several_renewals_counts_them_all():
    plan = [{"component": "part", "every_h": 25.0}]
    assert held(of=weibull(9, 1e6), plan=plan, horizon=121)[0].season.mean == pytest.approx(10 * (1 + 79 // 25), abs=2)


def test_planned_renewals_on_months_count_too():
    plan = [{"component": "part", "every_months": 6.0}]
    assert held(of=weibull(9, 1e6), plan=plan, horizon=20)[0].season.mean == pytest.approx(0, abs=1e-6)
    assert held(of=weibull(9, 1e6), plan=plan, horizon=60)[0].season.mean == pytest.approx(10, abs=1e-6)


def test_a_laid_up_winter_asks_only_for_what_falls_due_by_the_calendar():
    winter = even_use(10, 240.0, months=(3, 4, 5))
    uneven = winter.with_columns(
        hours_per_day=pl.when((pl.col("engine_id") == "e1") & (pl.col("month_of_year") == 7)).then(0.01).otherwise("hours_per_day")
    )
    for use in (winter, uneven):
        (one,) = held(of=weibull(3, 400), plan=[{"component": "part", "every_h": 140.0, "every_months": 8.0}], horizon=120, use=use)
        assert one.season.mean == pytest.approx(10, abs=0.1)


def test_old_parts_ask_for_more_than_young_ones():
    def at(age):
        lives = LIVES.with_columns(low_h=pl.lit(age))
        return held(of=weibull(3, 400), lives=lives)[0].season.mean

    assert at(50.0) < at(200.0) < at(350.0)


def test_doubt_about_the_law_widens_the_demand():
    few, many = (held(of=believed(drawn_lives(2.5, 300, 300, count)))[0].season for count in (12, 400))
    assert few.quantile(0.95) - few.quantile(0.05) > many.quantile(0.95) - many.quantile(0.05)


def test_parts_that_are_down_are_asked_for_at_once():
    lives = LIVES.with_columns(ending=pl.lit("found failed"))
    (one,) = held({**PART, "lead_time_d": 1.0}, of=weibull(3, 1e6), lives=lives)
    assert one.lead.mean == pytest.approx(10, abs=1e-6)


def test_damage_from_outside_adds_its_own_rate():
    damaged = derived("lives", *({**running(ending="outside damage", months=10), "engine_id": f"x{n}"} for n in range(6)))
    lives = pl.concat([LIVES, damaged])
    (one,) = held(of=weibull(9, 1e6), lives=lives, horizon=90)
    assert one.season.mean == pytest.approx(6 / (16 * 100) * 10 * 240 * 90 / 365.25, rel=0.01)
    assert one.mean_by_sort["damage_demand"] == pytest.approx(one.season.mean)


def test_several_pieces_a_fit_multiply_the_demand():
    one, four = held(of=weibull(1, 300))[0], held({**PART, "quantity_per_fit": 4}, of=weibull(1, 300))[0]
    assert four.season.mean == pytest.approx(4 * one.season.mean)
    assert four.reorder_point(0.95) % 4 == 0


@unhurried
@given(st.floats(0.1, 30), st.floats(0.6, 0.999))
def test_the_reorder_point_is_the_smallest_that_keeps_the_level(mean, level):
    one = shelf(lead=poisson(mean))
    least = one.reorder_point(level)
    assert one.lead.chance_up_to(least) >= level - 1e-9
    assert one.lead.chance_up_to(least - 1) < level


@unhurried
@given(st.integers(0, 30), st.integers(0, 10), st.integers(1, 12), st.floats(0.1, 20))
def test_orders_are_whole_packs_that_reach_the_season_and_no_more(on_hand, on_order, pack, mean):
    one = shelf(on_hand=on_hand, on_order=on_order, pack=pack, season=poisson(mean), lead=poisson(mean / 4))
    quantity, up_to = one.order_quantity(0.95), one.order_up_to(0.95)
    assert quantity % pack == 0
    if quantity:
        assert up_to <= one.position + quantity < up_to + pack
    else:
        assert one.position > one.reorder_point(0.95) or one.position >= up_to


def test_what_is_on_order_is_not_ordered_again():
    first = shelf().order_quantity(0.95)
    assert first > 0
    assert shelf(on_order=first).order_quantity(0.95) == 0


def test_bases_hold_for_themselves_and_a_common_shelf_for_the_rest():
    here = pl.concat([positions("part", 6), positions("part", 4, base="south", engine_id=None, hours_engine_id="e1")])
    north, common = held({**PART, "base": "north"}, {**PART, "part_id": "p2"}, of=weibull(1, 300), here=here)
    assert common.season.mean == pytest.approx(north.season.mean * 4 / 6, rel=0.01)


def test_a_part_for_one_model_leaves_the_others_to_the_part_for_any():
    here = pl.concat([positions("part", 6), positions("part", 4, engine_model="M60")])
    own, rest = held({**PART, "engine_model": "M60"}, {**PART, "part_id": "p2"}, of=weibull(1, 300), here=here)
    assert rest.season.mean == pytest.approx(own.season.mean * 6 / 4, rel=0.01)


def test_parts_for_the_same_places_are_taken_as_a_kit_and_say_so():
    oil, element = held(PART, {**PART, "part_id": "p2"}, of=weibull(1, 300))
    assert oil.season.mean == pytest.approx(element.season.mean)
    assert "p2" in oil.note
    assert "p1" in element.note


def test_odd_parts_get_an_answer_with_its_reason():
    nothing = held({**PART, "component": "other"})[0]
    assert nothing.season.mean == 0
    assert "No engine or boat" in nothing.note
    at_once = held({**PART, "lead_time_d": 0.0}, of=weibull(1, 300))[0]
    assert at_once.reorder_point(0.95) == 0
    assert "no lead time" in at_once.note
    new = held(lives=LIVES.clear())[0]
    assert "No life of part is known" in new.note
    assert "age of 10 parts of 10" in new.note


def test_a_part_with_no_life_still_has_its_planned_renewals():
    plan = [{"component": "part", "every_h": 60.0}]
    (one,) = held(lives=LIVES.clear(), plan=plan)
    assert one.season.mean == pytest.approx(10 * 120 * 240 / 365.25 / 60, rel=0.01)


def test_parts_of_unknown_age_are_spread_over_all_ages_not_taken_at_one():
    plan = [{"component": "part", "every_h": 100.0}]
    (one,) = held(lives=LIVES.clear(), plan=plan, horizon=60)
    share = 60 * 240 / 365.25 / 100
    assert one.season.mean == pytest.approx(10 * share, rel=0.02)
    assert one.season.probability[:10] == pytest.approx([comb(10, n) * share**n * (1 - share) ** (10 - n) for n in range(10)], abs=0.02)


def test_a_part_on_a_boat_without_hours_is_reckoned_in_months():
    here = positions("part", hours_engine_id=None)
    lives = LIVES.with_columns(low_h=pl.lit(None, pl.Float64))
    (one,) = held(of=weibull(1, 12, "months"), here=here, lives=lives)
    assert one.season.mean == pytest.approx(10 * 120 / (365.25 / 12) / 12, rel=0.01)


def test_rows_have_the_columns_of_the_answer_and_count_whole_pieces():
    told = rows(held({**PART, "pack_size": 5}, of=weibull(1, 300)))
    assert told.columns == names_of("stock")
    row = told.row(0, named=True)
    assert row["order_quantity"] % 5 == 0
    assert row["order_cost"] == row["order_quantity"] * 20
    assert row["demand_low"] <= row["mean_demand"] <= row["demand_high"]
    assert 0 <= row["probability_of_stock_out"] <= 1
    assert rows([]).columns == names_of("stock")


def test_a_higher_service_level_holds_more():
    one = held(of=weibull(1, 300))
    low, high = (rows(one, replace(Settings(), service_level=level)) for level in (0.8, 0.99))
    assert low["reorder_point"][0] < high["reorder_point"][0]


def test_money_goes_first_where_it_saves_the_most_shortfall():
    cheap, dear = shelf(part_id="a", unit_cost=1.0), shelf(part_id="b", unit_cost=100.0)
    curve = budget_curve([cheap, dear])
    steps = curve["spend"].diff().drop_nulls().to_list()
    assert steps[:5] == [1.0] * 5
    assert curve["service_level"].is_sorted()
    assert curve["service_level"][-1] > 0.999


@unhurried
@given(st.lists(st.tuples(st.floats(0.2, 6), st.integers(1, 40)), min_size=2, max_size=3))
def test_no_other_list_of_the_same_money_serves_better(parts):
    """Greedy buying of single pieces is the best there is at every sum that it spends (Sherbrooke 1968), compared with trying all lists."""
    several = [shelf(part_id=str(n), season=poisson(mean), unit_cost=float(cost)) for n, (mean, cost) in enumerate(parts)]
    curve = budget_curve(several)
    spend, level = curve.row(min(3, curve.height - 1))
    wanted = sum(one.season.mean for one in several)
    lists = np.stack(np.meshgrid(*[np.arange(6)] * len(several)), axis=-1).reshape(-1, len(several))
    affordable = lists[lists @ np.array([one.unit_cost for one in several]) <= spend + 1e-9]
    best = max(1 - sum(one.season.shortfall(int(n)) for one, n in zip(several, row, strict=True)) / wanted for row in affordable)
    assert level >= best - 1e-9


def test_nothing_asked_for_gives_an_empty_curve():
    assert budget_curve([]).is_empty()


def test_a_part_that_two_components_take_has_the_demand_of_both():
    here = pl.concat([positions("part", 6), positions("other", 4)])
    lives = pl.concat([LIVES, LIVES.with_columns(component=pl.lit("other"))])
    made = fleet(here, plan=records("plan"), engine_use=even_use(10))
    laws = [Estimate(name, None, weibull(1, scale), lives) for name, scale in (("part", 300), ("other", 150))]
    both, one, other = (
        shelves(Question(records("parts", {**PART, "component": name}), made, lives, laws, TODAY, SETTINGS, YARD))[0]
        for name in ("part; other", "part", "other")
    )
    assert both.season.mean == pytest.approx(one.season.mean + other.season.mean)
    assert both.positions == 10


def test_a_part_of_two_models_leaves_the_third_alone():
    here = pl.concat([positions("part", 3), positions("part", 3, engine_model="M60"), positions("part", 4, engine_model="M90")])
    two, all_of_them = held({**PART, "engine_model": "M40;M60"}, of=weibull(1, 300), here=here)[0], held(of=weibull(1, 300), here=here)[0]
    assert two.positions == 6
    assert two.season.mean == pytest.approx(0.6 * all_of_them.season.mean)


def test_positions_that_no_recorded_part_is_for_are_counted():
    here = pl.concat([positions("part", 6), positions("other", 4)])
    question = asked(PART, here=here)
    assert unserved(question.rules, question.present).rows() == [("other", "north", 4)]
    assert unserved([], question.present)["positions"].sum() == 10


def test_the_season_takes_its_shape_from_the_hours_of_the_fleet():
    summer = even_use(10, 240.0, months=(7, 8))
    (one,) = held({**PART, "on_hand": 4}, of=weibull(1, 60), use=summer)
    chances = dict(one.out_by_month(TODAY))
    june, july, august = (chances[day] for day in sorted(chances)[:3])
    assert june == pytest.approx(0, abs=1e-9)
    assert 0.1 < july < august


def test_doubt_about_how_much_the_boats_are_out_widens_the_demand():
    sure, doubtful = (held(of=weibull(1, 20), yard=Yard(use_sd=sd))[0].season for sd in (0.0, 0.3))
    assert doubtful.mean == pytest.approx(sure.mean, rel=0.06)
    assert doubtful.quantile(0.95) - doubtful.quantile(0.05) > 1.3 * (sure.quantile(0.95) - sure.quantile(0.05))


def renewed(ages):
    rows = ({**running(float(age), months=10, ending="planned", engine=f"x{n}"), "vessel_id": f"x{n}"} for n, age in enumerate(ages))
    return pl.concat([LIVES, derived("lives", *rows)])


def test_a_yard_that_renews_late_uses_less_and_is_told_so():
    plan = [{"component": "part", "every_h": 120.0}]
    prompt, late = (held(of=weibull(9, 1e6), plan=plan, lives=renewed([age] * 30))[0] for age in (120.0, 175.0))
    assert late.season.mean < prompt.season.mean
    assert "of the interval late" in late.note
    assert "Planned renewals" not in prompt.note


def test_without_an_interval_what_was_kept_so_far_counts_unless_the_plan_says_otherwise():
    lives = renewed([120.0] * 30).with_columns(low_months=pl.col("low_months") * (1 + 0.05 * pl.int_range(pl.len())))
    silent = held(of=weibull(9, 1e6), lives=lives)[0]
    told = held(of=weibull(9, 1e6), lives=lives, plan=[{"component": "part"}])[0]
    assert silent.season.mean == pytest.approx(10, abs=1)
    assert "taken as renewed so far, about every 120 h" in silent.note
    assert told.season.mean == pytest.approx(0, abs=1e-6)
    assert "failures only" in told.note


def test_last_year_counts_the_same_days_and_only_what_took_a_part():
    def ended(days_ago, ending):
        return {**running(ending=ending, engine=f"y{days_ago}"), "ended_on": TODAY - timedelta(days=days_ago)}

    begun = {**running(), "began_on": TODAY - timedelta(days=900), "ended_on": TODAY - timedelta(days=800)}
    years = derived(
        "lives", begun, ended(300, "planned"), ended(320, "failed"), ended(310, "withdrawn"), ended(100, "failed"), ended(500, "failed")
    )
    assert held({**PART, "quantity_per_fit": 4}, lives=pl.concat([LIVES, years]))[0].last_year == 8
    assert held()[0].last_year is None


def test_a_part_whose_engines_are_all_withdrawn_says_since_when():
    gone = LIVES.with_columns(ending=pl.lit("withdrawn"))
    (one,) = held(of=weibull(1, 300), lives=gone)
    assert one.season.mean == 0
    assert one.obsolete.startswith("Obsolete: every engine or boat that took it has been withdrawn, the last on 2026-06-01")


def test_a_thousand_boats_gathered_tell_the_same_as_one_by_one(monkeypatch):
    rng = np.random.default_rng(3)
    count = 300
    lives = derived(
        "lives", *({**running(float(age), engine=f"e{n}"), "vessel_id": f"v{n}"} for n, age in enumerate(rng.uniform(0, 150, count)))
    )
    more = {
        "of": weibull(2.5, 300),
        "lives": lives,
        "here": positions("part", count),
        "use": even_use(count),
        "plan": [{"component": "part", "every_h": 150.0}],
    }
    (gathered,) = held(**more)
    monkeypatch.setattr(Ahead, "gathered", lambda ahead: ahead)
    (apart,) = held(**more)
    assert gathered.season.mean == pytest.approx(apart.season.mean, rel=0.01)
    assert gathered.season.quantile(0.95) == pytest.approx(apart.season.quantile(0.95), rel=0.02)
