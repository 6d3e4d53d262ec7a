"""Spare boats by month: rates times use times downtime, worked out apart on a small fleet."""

from datetime import date

import polars as pl
import pytest
from scipy.stats import nbinom

from pipelines.advice.spare_boats import BOAT_DAYS, HOURS, LAID_UP, Wish, months_ahead, past_of, spare_boat_rows
from pipelines.errors import NoFigure
from tests.advice.made import derived

YEAR = 2025
WISH = Wish(date(2025, 12, 31))
DAYS = {month: 30.0 for month in range(1, 13)}


def boats(count=20, base: str | None = "north", vessel_class: str | None = "launch", first=0) -> pl.DataFrame:
    numbers = range(first, first + count)
    return pl.DataFrame({"vessel_id": [f"v{n}" for n in numbers], "engine_id": [f"e{n}" for n in numbers]}).with_columns(
        base=pl.lit(base, pl.String), vessel_class=pl.lit(vessel_class, pl.String)
    )


def watched(held: pl.DataFrame, hours=60.0, season=range(5, 10)) -> pl.DataFrame:
    """Every boat watched through a year; its hours run in some months only."""
    months = pl.DataFrame({"month": [date(YEAR, month, 1) for month in range(1, 13)]})
    run = pl.when(pl.col("month").dt.month().is_in(list(season))).then(pl.lit(hours, pl.Float64)).otherwise(0.0)
    return held.drop("engine_id").join(months, how="cross").with_columns(days=pl.lit(30.0), engine_h=run)


def stops(held: pl.DataFrame, each=2, downtime=24.0, month=7) -> pl.DataFrame:
    """So many stoppages of each boat in one month; downtimes half and one and a half times the mean."""
    names = held["vessel_id"].to_list() * each
    hours = [downtime * (0.5 + n % 2) for n in range(len(names))]
    return pl.DataFrame(
        {"vessel_id": names, "month": [date(YEAR, month, 1)] * len(names), "downtime_h": hours}, schema_overrides={"downtime_h": pl.Float64}
    )


def use(held: pl.DataFrame, hours_a_day=2.0, season=range(5, 10)) -> pl.DataFrame:
    rows = [
        {"engine_id": engine, "month_of_year": month, "hours_per_day": hours_a_day if month in season else 0.0}
        for engine in held["engine_id"]
        for month in range(1, 13)
    ]
    return derived("engine_use", *rows)


def rows_of(held, seen=None, stopped=None, ahead=None, wish=WISH, use_sd=0.0) -> pl.DataFrame:
    past = past_of(stops(held) if stopped is None else stopped, watched(held) if seen is None else seen, held)
    return spare_boat_rows(past, held, use(held) if ahead is None else ahead, use_sd, wish)


def in_month(rows: pl.DataFrame, month: int) -> dict:
    return rows.filter(pl.col("month").dt.month() == month).row(0, named=True)


def even_stops(held: pl.DataFrame, each=1) -> pl.DataFrame:
    return pl.concat([stops(held, each, month=month) for month in range(5, 10)])


def test_boats_down_are_stoppages_a_day_times_downtime_in_days():
    # 20 boats stop once in 60 h each and are out for a day; at 2 h a day that is 2 / 3 of a boat at once.
    july = in_month(rows_of(boats(), stopped=even_stops(boats())), 7)
    assert july["boats_down"] == pytest.approx(20 * 2 / 60, rel=0.02)
    assert july["stoppages"] == pytest.approx(20 * 2 / 60 * 31, rel=0.02)
    assert july["boat_days_lost"] == pytest.approx(july["boats_down"] * 31)
    assert july["low"] < july["boats_down"] < july["high"]


def test_spare_boats_are_a_quantile_of_the_negative_binomial_distribution():
    # Doubts: the rate, 100 events and a half; the month, the same (all months alike); the mean of 100 downtimes.
    held = boats()
    times = even_stops(held)["downtime_h"].to_numpy()
    spread = (1 + 1 / 100.5) ** 2 * (1 + times.var(ddof=1) / 100 / times.mean() ** 2) * 1.01 - 1
    july = in_month(rows_of(held, stopped=even_stops(held), use_sd=0.0997513), 7)
    exact = nbinom(1 / spread, 1 / (1 + spread * july["boats_down"]))
    assert july["spares_needed"] == exact.ppf(0.95)
    assert july["chance_enough"] == pytest.approx(exact.cdf(july["spares_needed"]), abs=1e-3)


def test_what_one_more_spare_boat_covers_is_the_chance_of_more_days_by_days():
    july = in_month(rows_of(boats(), stopped=even_stops(boats())), 7)
    assert july["one_more_covers"] == pytest.approx((1 - july["chance_enough"]) * 31, rel=1e-6)
    assert july["boat_days_short"] >= july["one_more_covers"]


def test_a_month_laid_up_needs_no_spare_boat_and_says_so():
    january = in_month(rows_of(boats(), stopped=even_stops(boats())), 1)
    assert (january["boats_down"], january["spares_needed"], january["chance_enough"]) == (0.0, 0, 1.0)
    assert january["note"] == LAID_UP


def test_more_certainty_takes_more_spare_boats():
    held = boats()
    needs = [
        in_month(rows_of(held, stopped=even_stops(held), wish=Wish(WISH.as_of, level)), 7)["spares_needed"] for level in (0.5, 0.9, 0.999)
    ]
    assert needs[0] < needs[1] < needs[2]


def test_a_day_of_hire_that_has_ten_hours_makes_more_days_of_the_same_downtime():
    held = boats()
    by_clock, by_hire = (in_month(rows_of(held, stopped=even_stops(held), wish=Wish(WISH.as_of, hours_a_day=h)), 7) for h in (24.0, 10.0))
    assert by_hire["boats_down"] == pytest.approx(2.4 * by_clock["boats_down"])


def test_the_fleet_as_one_pool_needs_no_more_than_its_groups_together():
    held = pl.concat([boats(8), boats(8, base="south", first=8), boats(4, vessel_class="cruiser", first=16)])
    rows = rows_of(held, stopped=even_stops(held)).filter(pl.col("month").dt.month() == 7)
    pool, groups = rows.filter(pl.col("group").is_null()), rows.filter(pl.col("group").is_not_null())
    assert pool["boats"].item() == groups["boats"].sum() == 20
    assert pool["boats_down"].item() == pytest.approx(groups["boats_down"].sum())
    assert pool["spares_needed"].item() <= groups["spares_needed"].sum()


def test_one_group_alone_is_told_once():
    rows = rows_of(boats(), stopped=even_stops(boats()))
    assert rows.height == 12
    assert rows["group"].null_count() == 0


def test_without_hours_stoppages_are_counted_by_boat_days_and_the_season_by_the_calls_alone():
    held = boats(40)
    seen = watched(held).with_columns(engine_h=pl.lit(None, pl.Float64))
    past = past_of(even_stops(held), seen, held)
    assert past.unit == BOAT_DAYS
    rows = spare_boat_rows(past, held, use(held).clear(), 0.0, WISH)
    assert in_month(rows, 7)["boats_down"] == pytest.approx(40 / 30, rel=0.1)
    assert in_month(rows, 1)["boats_down"] < 0.1


def test_hours_count_where_nearly_all_are_known():
    held = boats(40)
    seen = watched(held).with_columns(engine_h=pl.when(pl.col("vessel_id") != "v1").then("engine_h"))
    past = past_of(even_stops(held), seen, held)
    assert past.unit == HOURS
    assert past.rates.rate[0] == pytest.approx(1 / 60, rel=0.02)


def test_an_engine_whose_use_is_not_known_is_taken_to_run_as_the_others_do():
    held = boats()
    known = use(held).filter(pl.col("engine_id") != "e0")
    assert in_month(rows_of(held, stopped=even_stops(held), ahead=known), 7) == in_month(rows_of(held, stopped=even_stops(held)), 7)


def test_boats_without_base_or_class_are_a_group():
    held = boats(base=None, vessel_class=None)
    july = in_month(rows_of(held, stopped=even_stops(held)), 7)
    assert july["group"] == {"base": None, "vessel_class": None}
    assert july["boats"] == 20


def test_a_stoppage_without_downtime_counts_with_the_mean_of_the_others():
    held = boats()
    stopped = even_stops(held)
    half = stopped.with_columns(downtime_h=pl.when(pl.int_range(pl.len()) % 4 > 1).then("downtime_h"))
    full, part = (in_month(rows_of(held, stopped=one), 7) for one in (stopped, half))
    assert part["boats_down"] == pytest.approx(full["boats_down"])
    assert part["high"] > full["high"]


def test_without_downtimes_there_is_no_figure():
    with pytest.raises(NoFigure):
        rows_of(boats(), stopped=even_stops(boats()).with_columns(downtime_h=pl.lit(None, pl.Float64)))


def test_the_running_month_is_told_for_the_days_it_has_left():
    assert months_ahead(date(2025, 7, 20))[:2] == [(date(2025, 7, 1), 11), (date(2025, 8, 1), 31)]
    assert months_ahead(date(2025, 12, 31))[0] == (date(2026, 1, 1), 31)
    assert len(months_ahead(date(2024, 2, 28))) == 12
