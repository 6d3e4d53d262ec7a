"""Batches, fitters and meters: told when they stand out, and the exact chance behind it."""

from datetime import date

import numpy as np
import polars as pl
import pytest
from scipy import stats

from pipelines.advice.early_groups import early_groups, hypergeometric
from pipelines.advice.standing import standing_still


def lives(batch: list[str], early: list[bool], done_by: list[str] | None = None) -> pl.DataFrame:
    return pl.DataFrame(
        {
            "component": ["drive belt"] * len(batch),
            "ending": ["failed" if one else "planned" for one in early],
            "entry_months": [0.0] * len(batch),
            "low_months": [1.0 if one else 12.0 for one in early],
            "high_months": [1.0 if one else None for one in early],
            "ended_on": [date(2025, 5, 1)] * len(batch),
            "batch": batch,
            "done_by": done_by or ["AB"] * len(batch),
        }
    )


def test_the_chance_is_scipy_s_hypergeometric():
    ours = hypergeometric(12, 9, 200)
    assert ours == pytest.approx(stats.hypergeom.pmf(np.arange(10), 200, 9, 12))


def test_a_batch_of_which_half_fails_early_is_told_with_what_was_to_be_expected():
    (found,) = early_groups(lives(["B7"] * 10 + ["B8"] * 90, [True] * 5 + [False] * 95))
    assert (found.kind, found.name, found.lives, found.early) == ("batch", "B7", 10, 5)
    assert found.expected == pytest.approx(0.5)


def test_a_batch_like_the_others_is_not():
    assert not early_groups(lives(["B7"] * 50 + ["B8"] * 50, [True] * 3 + [False] * 47 + [True] * 3 + [False] * 47))


def test_a_life_that_came_under_observation_late_says_nothing_of_early_failures():
    seen_late = lives(["B7"] * 10 + ["B8"] * 90, [True] * 5 + [False] * 95).with_columns(entry_months=pl.lit(6.0))
    assert not early_groups(seen_late)


USE = pl.DataFrame({"engine_id": ["E1"] * 12, "month_of_year": range(1, 13), "hours_per_day": [1.0] * 12})
NO_TRIPS = pl.DataFrame(schema={"engine_id": pl.String, "on_date": pl.Date})


def readings(*hours: float) -> pl.DataFrame:
    days = [date(2025, month, 1) for month in range(4, 4 + len(hours))]
    return pl.DataFrame({"engine_id": ["E1"] * len(hours), "on_date": days, "meter_h": hours})


def test_a_meter_that_stands_still_while_the_boat_goes_out_is_told():
    trips = pl.DataFrame({"engine_id": ["E1"], "on_date": [date(2025, 5, 20)]})
    (found,) = standing_still(readings(100.0, 130.0, 130.0), USE, trips)
    assert (found.since, found.last_read, found.outings) == (date(2025, 5, 1), date(2025, 6, 1), 1)
    assert found.expected_h == pytest.approx(31)


def test_a_month_without_trips_may_be_a_boat_laid_up():
    assert not standing_still(readings(100.0, 130.0, 130.0), USE, NO_TRIPS)


def test_a_meter_that_runs_is_not_told():
    assert not standing_still(readings(100.0, 130.0, 160.0), USE, NO_TRIPS)
