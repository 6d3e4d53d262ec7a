"""Habits, doubt about use, adoptions: what a forecast rests on."""

from datetime import date

import numpy as np
import polars as pl
import pytest

from pipelines.advice.adoptions import changes
from pipelines.advice.habits import habits
from pipelines.advice.season_use import USUAL, use_doubt
from pipelines.advice.watching import UseClock
from pipelines.fits.rates import rate_ratio


def test_parts_renewed_a_quarter_late_are_kept_until_then():
    rows = 40
    lives = pl.DataFrame(
        {
            "component": ["impeller"] * rows,
            "ending": ["planned"] * rows,
            "entry_h": [0.0] * rows,
            "low_h": np.linspace(240, 260, rows),
            "entry_months": [0.0] * rows,
            "low_months": [5.0] * rows,
            "every_h": [200.0] * rows,
            "every_months": [12.0] * rows,
        }
    )
    yard = habits(lives)
    assert set(yard) == {"", "impeller"}
    kept = yard["impeller"].kept(np.array([1.0, 1.15, 1.25, 1.4, 5.0]))
    assert kept[0] == kept[1] == 1.0
    assert 0.2 < kept[2] < 0.8
    assert kept[3] < 0.1
    assert kept[4] < 1e-3


def months(rates: list[float]) -> pl.DataFrame:
    days = [date(2020 + year, month, 1) for year in range(len(rates)) for month in range(1, 13)]
    return pl.DataFrame({"month": days, "days": [30.0] * len(days), "engine_h": [30.0 * rate for rate in rates for _ in range(12)]})


def test_seasons_that_differ_widen_the_doubt_about_use_and_one_alone_leaves_the_usual():
    assert use_doubt(months([1.0]), lambda day: str(day.year)) == pytest.approx(USUAL)
    assert use_doubt(months([1.0, 2.0, 1.0, 2.0]), lambda day: str(day.year)) > 2 * USUAL
    assert use_doubt(months([1.0] * 6), lambda day: str(day.year)) < USUAL


def test_before_and_after_an_adoption_are_compared_by_the_exact_ratio():
    lives = pl.DataFrame(
        {
            "component": ["belt"] * 12,
            "engine_model": [None] * 12,
            "base": ["North Quay"] * 12,
            "began_on": [date(2022, 1, 1)] * 10 + [date(2023, 1, 1)] * 2,
            "ended_on": [date(2023, 1, 1)] * 10 + [date(2024, 1, 1)] * 2,
            "entry_months": [0.0] * 12,
            "ending": ["failed"] * 5 + ["planned"] * 5 + ["failed", "running"],
        },
        schema_overrides={"engine_model": pl.String},
    ).with_columns(ended_on=pl.when(pl.col("began_on") == date(2022, 1, 1)).then(pl.date(2022, 12, 31)).otherwise("ended_on"))
    plan = pl.DataFrame(
        {
            "component": ["belt"],
            "task": [None],
            "engine_model": [None],
            "base": ["North Quay"],
            "every_h": [100.0],
            "every_months": [None],
            "adopted_on": [date(2023, 1, 1)],
        },
        schema_overrides={"task": pl.String, "engine_model": pl.String, "every_months": pl.Float64},
    )
    (found,) = changes(plan, lives, UseClock({}), date(2024, 1, 1), 0.95)
    exact = rate_ratio(1, found.after_years, 5, found.before_years, 0.95)
    assert (found.before, found.after) == (5, 1)
    assert (found.before_years, found.after_years) == pytest.approx((9.97, 2.0), abs=0.02)
    assert (found.ratio, found.low, found.high) == pytest.approx((exact.value, exact.low, exact.high))
    assert not list(changes(plan, lives, UseClock({}), date(2023, 2, 1), 0.95))
