from datetime import date

import numpy as np
import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from pipelines.errors import NoFigure
from pipelines.fits.recurrence import Histories, histories, histories_of_calls, mean_cumulative
from tests.fits.published_frames import published_frame


def valve_seats() -> Histories:
    data = published_frame("valveseat")
    events = data.filter(pl.col("replacement") == 1).select(boat="engine", age="days")
    return histories(events, data.group_by(boat="engine").agg(end=pl.col("days").max()))


# Nelson & Doganaksoy (1989), 41 engines; mean and robust error by R's survfit with id, and by Lawless & Nadeau (1995).
def test_the_published_mean_of_valve_seat_replacements_is_met():
    table = published_frame("mean_cumulative_expected")
    ours = mean_cumulative(valve_seats())
    assert_allclose(ours["age"], table["time"])
    assert_allclose(ours["at_risk"], table["n_risk"])
    assert_allclose(ours["events"], table["n_events"])
    assert_allclose(ours["mean"], table["mcf"], atol=1e-9)
    assert_allclose(ours["se"], table["se_robust"], rtol=1e-6)


# As above, limits on the scale of the logarithm (R's survfit).
@pytest.mark.parametrize(
    ("age", "mean", "low", "high"),
    [
        (61, 0.0243902439, 0.003519323474, 0.1690336231),
        (200, 0.2682926829, 0.1525139183, 0.4719632446),
        (404, 0.6835365854, 0.4628905205, 1.009358029),
        (604, 1.059718685, 0.752563945, 1.492236904),
        (653, 1.542687514, 1.038285851, 2.292128668),
    ],
)
def test_the_published_limits_are_met(age, mean, low, high):
    row = mean_cumulative(valve_seats()).filter(pl.col("age") <= age).row(-1, named=True)
    assert (row["mean"], row["low"], row["high"]) == pytest.approx((mean, low, high), rel=1e-5)


def drawn(seed: int, boats: int) -> tuple[pl.DataFrame, pl.DataFrame]:
    draw = np.random.default_rng(seed)
    start = np.where(draw.random(boats) < 0.4, draw.uniform(0, 40, boats), 0.0)
    end = start + draw.uniform(5, 80, boats)
    number = draw.poisson(draw.gamma(2, 1.5, boats))
    boat = np.repeat(np.arange(boats), number)
    age = np.ceil(draw.uniform(start[boat], end[boat]))
    inside = (age > start[boat]) & (age <= end[boat])
    events = pl.DataFrame({"boat": boat[inside], "age": age[inside], "amount": draw.uniform(50, 900, inside.sum())})
    return events, pl.DataFrame({"boat": np.arange(boats), "start": start, "end": end})


def naive_mean(events: pl.DataFrame, watched: pl.DataFrame) -> list[tuple[float, float, float]]:
    """Age, mean and robust variance, boat by boat and age by age."""
    ages, rows, mean = events["age"].unique().sort().to_list(), [], 0.0
    ahead = dict.fromkeys(watched["boat"].to_list(), 0.0)
    for age in ages:
        at = events.filter(pl.col("age") == age)
        seen = watched.filter((pl.col("start") < age) & (pl.col("end") >= age))["boat"].to_list()
        step = float(at["amount"].sum()) / len(seen)
        mean += step
        for boat in seen:
            ahead[boat] += (float(at.filter(pl.col("boat") == boat)["amount"].sum()) - step) / len(seen)
        rows.append((age, mean, sum(gap**2 for gap in ahead.values())))
    return rows


@pytest.mark.parametrize("seed", range(4))
def test_counting_boat_by_boat_gives_the_same_costs_with_delayed_watches(seed):
    events, watched = drawn(seed, 30)
    ours = mean_cumulative(histories(events, watched))
    assert_allclose(ours.select("age", "mean", pl.col("se") ** 2).to_numpy(), naive_mean(events, watched), rtol=1e-9)


def test_more_boats_than_are_taken_at_once_add_up():
    events, watched = drawn(9, 600)
    ours = mean_cumulative(histories(events, watched))
    assert_allclose(ours.select("mean", pl.col("se") ** 2).to_numpy(), [row[1:] for row in naive_mean(events, watched)], rtol=1e-8)


@settings(deadline=None, max_examples=50)
@given(st.lists(st.tuples(st.integers(0, 5), st.integers(1, 20)), max_size=25))
def test_the_mean_never_falls_and_lies_in_its_limits(pairs):
    events = pl.DataFrame(
        {"boat": [pair[0] for pair in pairs], "age": [pair[1] for pair in pairs]}, schema={"boat": pl.Int64, "age": pl.Int64}
    )
    ours = mean_cumulative(histories(events, pl.DataFrame({"boat": range(6), "end": [20] * 6})))
    assert (ours["mean"].diff().drop_nulls() > 0).all()
    assert ((ours["low"] <= ours["mean"]) & (ours["mean"] <= ours["high"])).all()
    assert ours.height == len({pair[1] for pair in pairs})
    if pairs:
        assert ours["mean"][-1] == pytest.approx(len(pairs) / 6)


def test_limits_from_boats_that_differ_are_wider_than_poisson_ones_would_be():
    events = pl.DataFrame({"boat": [0] * 12 + [1], "age": [*range(1, 13), 5]})
    ours = mean_cumulative(histories(events, pl.DataFrame({"boat": range(10), "end": [20] * 10})))
    assert ours["se"][-1] > 1.5 * np.sqrt(13) / 10


def test_calls_are_followed_through_the_days_their_boat_was_watched():
    watched = pl.DataFrame(
        {
            "engine_id": ["E1", "E2", "E1", "E3"],
            "vessel_id": ["V1", "V1", "V1", "V2"],
            "month": [date(2024, 4, 1), date(2024, 4, 1), date(2024, 6, 1), date(2024, 5, 1)],
            "days": [20.0, 20.0, 10.0, 31.0],
            "engine_h": [9.0, None, 9.0, 9.0],
        }
    )
    called_on = [date(2024, 4, 10), date(2024, 4, 11), date(2024, 6, 10), date(2024, 6, 11), date(2024, 5, 1)]
    calls = pl.DataFrame({"vessel_id": ["V1", "V1", "V1", "V1", "V9"], "called_on": called_on, "cost": [9.0, 100.0, None, 9.0, 9.0]})
    followed, left_out = histories_of_calls(calls, watched)
    assert (followed.start.tolist(), followed.end.tolist()) == ([10, 30], [71, 61])
    assert (followed.age.tolist(), followed.amount.tolist(), left_out) == ([11, 71], [1, 1], 3)
    assert histories_of_calls(calls, watched, cost=True)[0].amount.tolist() == [100, 0]
    with pytest.raises(NoFigure, match="No boat was watched"):
        histories_of_calls(calls, watched.clear())


EVENT = pl.DataFrame({"boat": ["a"], "age": [5.0]})


@pytest.mark.parametrize(
    ("events", "watched", "told"),
    [
        (EVENT, {"boat": ["a"], "end": [4.0]}, "a, event at 5.0: not within the time"),
        (EVENT, {"boat": ["a"], "start": [5.0], "end": [9.0]}, "not within the time"),
        (EVENT, {"boat": ["b"], "end": [9.0]}, "not within the time"),
        (EVENT, {"boat": ["a"], "end": [0.0]}, "No boat was watched"),
        (EVENT, {"boat": ["a", "a"], "end": [9.0, 9.0]}, "more than one watch"),
        (EVENT.with_columns(amount=pl.lit(float("inf"))), {"boat": ["a"], "end": [9.0]}, "1 such"),
    ],
)
def test_events_outside_their_watch_are_refused(events, watched, told):
    with pytest.raises(NoFigure, match=told):
        histories(events, pl.DataFrame(watched))
