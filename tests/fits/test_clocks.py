"""A part's own clock is told from its lives, and lives without hours still speak on months."""

import numpy as np
import polars as pl
import pytest

from pipelines.fits.clocks import posterior_of
from pipelines.fits.known_figures import KnownFigures
from pipelines.terms.settings import Prior

NOTHING_KNOWN = KnownFigures()


def lives_on(clock: str, count: int = 120, seed: int = 5) -> pl.DataFrame:
    """Weibull lives on one clock of boats whose hours a month differ fourfold, watched for 60 months."""
    chance = np.random.default_rng(seed)
    rate = chance.uniform(10, 40, count)
    months = 30 * chance.weibull(3, count) if clock == "months" else 700 * chance.weibull(3, count) / rate
    failed = months < 60
    age = np.minimum(months, 60)
    return pl.DataFrame(
        {
            "entry_h": np.zeros(count),
            "low_h": age * rate,
            "high_h": [a * r if f else None for a, r, f in zip(age, rate, failed, strict=True)],
            "entry_months": np.zeros(count),
            "low_months": age,
            "high_months": [a if f else None for a, f in zip(age, failed, strict=True)],
        }
    )


@pytest.mark.parametrize("clock", ["hours", "months"])
def test_the_clock_a_part_lives_on_is_found(clock):
    found = posterior_of(lives_on(clock), "drive belt", None, NOTHING_KNOWN, Prior())
    assert found.weight_of(clock=clock) > 0.99


def test_boats_that_all_run_alike_cannot_tell_the_clock():
    alike = lives_on("hours").with_columns(low_h=pl.col("low_months") * 20, high_h=pl.col("high_months") * 20)
    found = posterior_of(alike, "drive belt", None, NOTHING_KNOWN, Prior())
    # With one use for all, both clocks foretell alike, so the prior weights stand: 0.4 to 0.35.
    assert found.weight_of(clock="hours") == pytest.approx(0.4 / 0.75, abs=0.05)


def test_the_unit_of_a_clock_does_not_matter():
    lives = lives_on("months", count=25)
    minutes = lives.with_columns(pl.col("entry_h", "low_h", "high_h") * 60)
    weights = [posterior_of(each, "drive belt", None, NOTHING_KNOWN, Prior()).weight_of(clock="hours") for each in (lives, minutes)]
    assert weights[0] == pytest.approx(weights[1], abs=1e-3)


def test_lives_without_hours_rest_on_months():
    unknown = lives_on("months").with_columns(pl.lit(None, pl.Float64).alias(name) for name in ("entry_h", "low_h", "high_h"))
    assert posterior_of(unknown, "start battery", None, NOTHING_KNOWN, Prior()).weight_of(clock="months") == pytest.approx(1)


def test_without_a_life_the_trades_clock_counts():
    none = lives_on("hours").clear()
    assert posterior_of(none, "start battery", None, NOTHING_KNOWN, Prior(), "m").weight_of(clock="months") == pytest.approx(1)
    assert posterior_of(none, "drive belt", None, NOTHING_KNOWN, Prior()).weight_of(clock="hours") == pytest.approx(1)
