from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.advice.budget import level_at, list_at, lists_compared, order_within, purchases
from pipelines.advice.case import Costs
from pipelines.advice.counts import NOTHING, poisson
from pipelines.advice.day_lattice import lattice, month_ends
from pipelines.advice.demand import Wanted
from pipelines.advice.holding import holding_cost, slow_mover, waiting_cost
from pipelines.advice.shelf import Shelf
from pipelines.advice.stock_rows import stock_rows, use_told
from pipelines.advice.waiting import UNKNOWN_WAIT, Waiting, waiting_of
from pipelines.terms.settings import Settings
from tests.advice.made import TODAY, unhurried

DAYS = np.arange(10.0, 121.0, 10.0)


def shelf(mean=6.0, **more):
    """A part asked for evenly through 120 days, at random."""
    demands = tuple(poisson(mean * day / 120) for day in DAYS)
    wanted = Wanted(DAYS, demands, failing=mean)
    plain = Shelf("p", "part", None, 0, 0, 1, 50.0, poisson(mean / 4), poisson(mean), "", wanted=wanted, positions=20, lead_days=30.0)
    return replace(plain, **more)


def test_the_chance_of_having_run_out_rises_month_by_month():
    one = shelf(on_hand=4)
    told = one.out_by_month(TODAY)
    assert [day for day, _ in told] == [date(2026, 6, 30), date(2026, 7, 31), date(2026, 8, 31)]
    assert [chance for _, chance in told] == sorted(chance for _, chance in told)
    assert told[1][1] == pytest.approx(1 - poisson(6.0 * 60 / 120).chance_up_to(4), abs=0.02)


def test_dates_of_running_out_are_where_the_chance_passes():
    one = shelf(on_hand=4)
    early, even = one.out_on(TODAY, 0.05), one.out_on(TODAY, 0.5)
    assert early is not None
    assert even is not None
    assert early < even
    day = (even - TODAY).days
    assert 1 - poisson(6.0 * day / 120).chance_up_to(4) == pytest.approx(0.5, abs=0.02)


def test_the_last_day_to_order_is_a_lead_time_before_and_never_past():
    early = shelf(on_hand=6).out_on(TODAY, 0.05)
    assert early is not None
    assert shelf(on_hand=6).order_by(TODAY, 0.95) == early - timedelta(days=30)
    assert shelf(on_hand=0).order_by(TODAY, 0.95) == TODAY
    assert shelf(on_hand=60).order_by(TODAY, 0.95) is None


def test_a_full_shelf_does_not_run_out_and_an_unread_one_has_no_date():
    assert shelf(on_hand=60).out_on(TODAY, 0.05) is None
    assert replace(shelf(), wanted=Wanted(np.empty(0), ())).out_on(TODAY, 0.05) is None


def test_what_is_on_order_counts_as_if_it_were_here():
    assert shelf(on_hand=1, on_order=3).out_on(TODAY, 0.5) == shelf(on_hand=4).out_on(TODAY, 0.5)


@unhurried
@given(st.floats(0.2, 12), st.integers(0, 20))
def test_what_is_left_and_what_is_missing_balance(mean, pieces):
    demand = poisson(mean)
    assert pieces - demand.left(pieces) + demand.shortfall(pieces) == pytest.approx(demand.mean)
    assert demand.left(pieces) >= 0


def test_holding_costs_the_rate_on_what_lies_there():
    settings = replace(Settings(), carrying_rate=0.365250)
    assert holding_cost(replace(shelf(0.0), season=NOTHING), 3, settings) == pytest.approx(0.36525 * 50 * 3 * 120 / 365.25)
    assert 0 < holding_cost(shelf(), 6, settings) < 0.36525 * 50 * 6 * 120 / 365.25


def test_only_failures_make_a_boat_wait():
    waiting = Waiting(400.0, "")
    all_fail = waiting_cost(shelf(waiting=waiting), 2)
    half = waiting_cost(shelf(waiting=waiting, wanted=Wanted(DAYS, shelf().wanted.demands, failing=3, planned=3)), 2)
    assert all_fail == pytest.approx(poisson(6.0).shortfall(2) * 400)
    assert all_fail is not None
    assert half == pytest.approx(all_fail / 2)
    assert waiting_cost(shelf(), 2) is None


def test_what_waiting_costs_comes_from_the_setting_else_from_a_failure_else_is_said_not_to_be_known():
    costs = Costs(80.0, 600.0)
    by_day = replace(Settings(), waiting_cost_per_day=100.0)
    assert waiting_of(costs, 14.0, by_day).money == 1400
    assert waiting_of(costs, 14.0, replace(by_day, expedited_days=2.0)).money == 200
    assert waiting_of(costs, 14.0, Settings()).money == 520
    assert waiting_of(None, 14.0, Settings()) is UNKNOWN_WAIT
    assert waiting_of(Costs(80.0, 80.0), 14.0, Settings()) is UNKNOWN_WAIT


@pytest.mark.parametrize(("unit_cost", "hold"), [(20.0, "one"), (20_000.0, "none")])
def test_a_slow_part_is_held_where_that_costs_less_than_waiting(unit_cost, hold):
    slow = shelf(0.1, unit_cost=unit_cost, waiting=Waiting(500.0, "A day is dear."))
    said, why = slow_mover(slow, Settings(), "EUR")
    assert said == hold
    assert why is not None
    hold_cost, saved = 0.2 * unit_cost * 120 / 365.25, poisson(0.1).mean - poisson(0.1).shortfall(1)
    assert f"{hold_cost:,.2f} EUR" in why
    assert f"{saved * 500:,.2f} EUR" in why


def test_a_part_that_moves_and_one_that_nothing_takes_are_no_slow_movers():
    assert slow_mover(shelf(6.0, waiting=Waiting(500.0, "")), Settings()) == (None, None)
    assert slow_mover(shelf(0.1, obsolete="Nothing takes it."), Settings()) == (None, None)
    assert slow_mover(shelf(0.1), Settings()) == (None, UNKNOWN_WAIT.because)


def test_a_set_of_plugs_is_held_as_a_set():
    plugs = shelf(0.1, quantity=4.0, season=poisson(0.1).times(4), waiting=Waiting(500.0, ""))
    assert "one set of 4 pieces" in (slow_mover(plugs, Settings())[1] or "")


def test_missing_renewals_of_sets_are_counted_in_sets():
    one, four = shelf(season=poisson(6.0)), shelf(season=poisson(6.0).times(4), quantity=4.0)
    assert four.missing(8) == pytest.approx(one.missing(2))
    assert four.events == pytest.approx(one.events)


def test_a_wide_range_is_told_in_steps_and_a_narrow_one_piece_by_piece():
    assert [step["pieces"] for step in use_told(poisson(1.0))] == list(range(6))
    wide = use_told(poisson(900.0))
    assert len(wide) <= 45
    assert wide[-1]["chance"] >= 0.999


def test_purchases_begin_where_things_stand_and_every_budget_is_a_beginning_of_them():
    held = [shelf(part_id="a", unit_cost=10.0), shelf(2.0, part_id="b", unit_cost=35.0, pack=2)]
    bought = purchases(held)
    first = bought.row(0, named=True)
    assert first["part_id"] is None
    assert first["service_level"] == pytest.approx(0.0, abs=1e-9)
    last = {}
    for money in range(0, 400, 10):
        rows = list_at(bought, float(money))
        assert rows["order_cost"].sum() <= money
        now = dict(zip(rows["part_id"], rows["order_quantity"], strict=True))
        assert all(now.get(part, 0) >= pieces for part, pieces in last.items())
        assert now.get("b", 0) % 2 == 0
        last = now
    assert level_at(bought, 0.0) == first["service_level"]


def test_the_list_of_a_budget_stands_in_the_rows():
    held = [shelf(part_id="a", unit_cost=10.0), shelf(2.0, part_id="b", unit_cost=35.0)]
    rows = order_within(stock_rows(held, Settings(), TODAY), purchases(held), 45.0)
    assert rows["order_cost"].sum() <= 45
    assert rows["order_quantity"].to_list() == [4, 0]


def test_two_of_everything_and_last_year_are_beaten_at_the_same_money_and_the_same_service():
    held = [
        shelf(8.0, part_id="a", unit_cost=10.0, last_year=5),
        shelf(0.1, part_id="b", unit_cost=300.0, last_year=1),
        shelf(3.0, part_id="c", unit_cost=20.0, last_year=2),
    ]
    bought = purchases(held)
    for name, spend, service, same_money, same_service in lists_compared(held, bought, 0.95).iter_rows():
        if name != "wanted level of each part":
            assert same_money > service + 0.05
            assert same_service < spend / 2
    unknown = [replace(one, last_year=None) for one in held]
    assert "what last year took" not in lists_compared(unknown, bought, 0.95)["list"]


def test_nothing_asked_for_has_neither_purchases_nor_lists():
    idle = [shelf(0.0, season=NOTHING)]
    assert purchases(idle).is_empty()
    assert lists_compared(idle, purchases(idle), 0.95).is_empty()


def test_every_day_read_is_an_edge_and_cells_are_no_longer_than_asked():
    told = lattice([30.0, 45.5, 183.0])
    assert told.days.tolist() == [30.0, 45.5, 183.0]
    assert np.diff(told.edges).max() <= 183 / 32 + 1e-9
    assert (np.diff(told.edges) > 0).all()


@unhurried
@given(st.dates(date(2020, 1, 1), date(2030, 12, 31)), st.integers(1, 800))
def test_month_ends_are_the_last_days_of_all_months_within(day, days):
    expected = [day + timedelta(days=n) for n in range(1, days + 1) if (day + timedelta(days=n + 1)).day == 1]
    assert month_ends(day, days) == expected
