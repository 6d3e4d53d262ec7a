"""A part's own clock is told from its lives, or that both count, and lives without hours still speak on months."""

from dataclasses import replace

import numpy as np
import polars as pl
import pytest

from pipelines.fits.clocks import posterior_of
from pipelines.fits.knowledge import Knowledge
from pipelines.fits.known_figures import KnownFigures
from pipelines.fits.splits import Whole, split_of
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
    found = [posterior_of(lives_on(clock, seed=seed), "drive belt", None, NOTHING_KNOWN, Prior()) for seed in range(4)]
    other = {"hours": "months", "months": "hours"}[clock]
    assert np.mean([each.weight_of(clock=clock) for each in found]) > 0.7
    assert max(each.weight_of(clock=other) for each in found) < 1e-3


def test_boats_that_all_run_alike_cannot_tell_the_clock():
    alike = lives_on("hours").with_columns(low_h=pl.col("low_months") * 20, high_h=pl.col("high_months") * 20)
    found = posterior_of(alike, "drive belt", None, NOTHING_KNOWN, Prior())
    # With one use for all, both clocks foretell alike, so the prior weights stand: 0.4 to 0.35; wear on both is much like wear on one.
    hours, months, both = (found.weight_of(clock=clock) for clock in ("hours", "months", "both"))
    assert hours / (hours + months) == pytest.approx(0.4 / 0.75, abs=0.05)
    assert 0.05 < both < 0.5


def wearing_on_both(count: int = 400, seed: int = 9) -> pl.DataFrame:
    """Lives of boats with very unlike use whose hazards on hours and on months add up: the first of two Weibull lives counts."""
    chance = np.random.default_rng(seed)
    rate = chance.lognormal(np.log(15), 0.6, count)
    months = np.minimum(600 * chance.weibull(2.5, count) / rate, 40 * chance.weibull(3, count))
    age = np.minimum(months, 60)
    failed = [None if m > 60 else m for m in months]
    return pl.DataFrame(
        {
            "entry_h": np.zeros(count),
            "low_h": age * rate,
            "high_h": [None if m is None else m * r for m, r in zip(failed, rate, strict=True)],
            "entry_months": np.zeros(count),
            "low_months": age,
            "high_months": failed,
        },
        schema_overrides={"high_h": pl.Float64, "high_months": pl.Float64},
    )


def test_a_part_that_wears_on_both_clocks_is_found_to():
    found = posterior_of(wearing_on_both(), "hose", None, NOTHING_KNOWN, Prior())
    assert found.weight_of(clock="both") > 0.95
    assert sum(block.weight.sum() for block in found.blocks) == pytest.approx(1)


def test_few_lives_leave_it_open_whether_one_clock_counts_or_both():
    found = posterior_of(wearing_on_both(8), "hose", None, NOTHING_KNOWN, Prior())
    assert 0.05 < found.weight_of(clock="both") < 0.6


def test_a_part_that_fails_at_random_is_not_taken_for_one_that_wears_on_both():
    lives = lives_on("hours", 200).with_columns(pl.Series("low_months", np.random.default_rng(3).exponential(30, 200)))
    random = lives.with_columns(low_h=pl.col("low_months") * 20, high_h=pl.col("low_months") * 20, high_months=pl.col("low_months"))
    found = posterior_of(random, "pump", None, NOTHING_KNOWN, Prior())
    assert found.weight_of(branch="random") > 0.7
    assert found.weight_of(clock="both") < 0.1


def test_without_a_weight_for_both_clocks_only_one_counts():
    found = posterior_of(wearing_on_both(60), "hose", None, NOTHING_KNOWN, replace(Prior(), clock_both=0.0))
    assert {block.clock for block in found.blocks} <= {"hours", "months"}


def test_with_no_failure_and_nothing_known_both_clocks_are_not_weighed():
    running = wearing_on_both(30).with_columns(pl.lit(None, pl.Float64).alias(name) for name in ("high_h", "high_months"))
    assert posterior_of(running, "hose", None, NOTHING_KNOWN, Prior()).weight_of(clock="both") == 0
    told = KnownFigures(pl.DataFrame([{"component": "hose", "expected_life_h": 700.0}], schema=NOTHING_KNOWN.limits.schema))
    assert 0.05 < posterior_of(running, "hose", None, told, Prior()).weight_of(clock="both") < 0.5


def test_survival_of_both_clocks_is_told_along_either_at_the_groups_own_use():
    lives = wearing_on_both()
    found = posterior_of(lives, "hose", None, NOTHING_KNOWN, Prior())
    use = float(lives["low_h"].to_numpy().sum() / lives["low_months"].to_numpy().sum())
    along_months, along_hours = (
        found.expected_survival("months", [10.0, 30.0]),
        found.expected_survival("hours", np.array([10.0, 30.0]) * use),
    )
    assert along_months == pytest.approx(along_hours, abs=0.02)
    assert found.wears_out_probability > 0.99


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


def test_strata_of_a_part_that_wears_on_both_clocks_keep_the_laws_of_the_whole():
    lives, prior = wearing_on_both(), Prior()
    whole = posterior_of(lives, "hose", None, NOTHING_KNOWN, prior)
    strata = {("north",): np.arange(lives.height // 2), ("south",): np.arange(lives.height // 2, lives.height)}
    found = split_of(Whole(whole, lives, dict.fromkeys(("hours", "months"), Knowledge()), prior), strata)
    for believed in found.posteriors.values():
        assert believed.weight_of(clock="both") > 0.9
        assert sum(block.weight.sum() for block in believed.blocks) == pytest.approx(1)
