from datetime import date

import numpy as np
import polars as pl
import pytest
import statsmodels.api as sm

from pipelines.errors import NoFigure
from pipelines.fits.coding_breaks import CodingBreak, base_design
from pipelines.fits.rates import rate_with_limits
from pipelines.fits.trend import ALL, monthly_counts, seasons, trend

MONTHS = [date(year, month, 1) for year in range(2019, 2025) for month in range(4, 11)]
SCHEMA = {"month": pl.Date, "name": str, "events": int, "exposure_h": float}


def monthly(seed: int, per_year: float = 1.0, wave: float = 0.0, calls_a_month: float = 20, extra: float = 0.0) -> pl.DataFrame:
    draw = np.random.default_rng(seed)
    hours = draw.uniform(2_000, 4_000, len(MONTHS))
    years = np.array([month.toordinal() for month in MONTHS]) / 365.25
    rate = calls_a_month / 3_000 * per_year ** (years - years.mean()) * np.exp(wave * np.sin(2 * np.pi * years))
    spread = draw.gamma(1 / extra, extra, len(MONTHS)) if extra else 1.0
    events = draw.poisson(rate * hours * spread)
    return pl.DataFrame({"month": MONTHS, "name": ALL, "events": events, "exposure_h": hours}, schema=SCHEMA)


def test_events_are_counted_in_every_month_with_known_hours():
    watched = pl.DataFrame(
        {
            "engine_id": ["E1", "E1", "E2"],
            "vessel_id": ["V1", "V1", "V2"],
            "month": [MONTHS[0], MONTHS[1], MONTHS[1]],
            "days": [30.0, 31.0, 31.0],
            "engine_h": [100.0, 50.0, None],
        }
    )
    calls = pl.DataFrame(
        {"vessel_id": ["V1", "V1", "V2"], "month": [MONTHS[0], MONTHS[0], MONTHS[1]], "cause": ["swamped", None, "swamped"]}
    )
    assert monthly_counts(calls, watched).rows() == [(MONTHS[0], ALL, 2, 100), (MONTHS[1], ALL, 0, 50)]
    assert monthly_counts(calls, watched, "cause").rows() == [
        (MONTHS[0], "swamped", 1, 100),
        (MONTHS[0], "unknown", 1, 100),
        (MONTHS[1], "swamped", 0, 50),
        (MONTHS[1], "unknown", 0, 50),
    ]


@pytest.mark.parametrize("seed", range(4))
def test_statsmodels_gives_the_same_trend_and_limits(seed):
    counts = monthly(seed, per_year=1.1, wave=0.4)
    ours = trend(counts)
    theirs = sm.GLM(
        counts["events"].to_numpy(), base_design(MONTHS), family=sm.families.Poisson(), exposure=counts["exposure_h"].to_numpy()
    ).fit()
    spread = max(1.0, theirs.pearson_chi2 / theirs.df_resid)
    low, high = np.exp(theirs.params[1] + np.array([-1, 1]) * 1.959963985 * theirs.bse[1] * np.sqrt(spread))
    assert (ours.per_year, ours.low, ours.high) == pytest.approx((np.exp(theirs.params[1]), low, high), rel=1e-5)
    assert ours.dispersion == pytest.approx(spread, rel=1e-6)
    assert ours.monthly["expected"].to_numpy() == pytest.approx(theirs.fittedvalues, rel=1e-5)


@pytest.mark.parametrize("extra", [0.0, 0.3])
def test_limits_hold_the_true_trend_as_often_as_they_say_also_when_counts_vary_more(extra):
    found = [trend(monthly(seed, per_year=1.15, extra=extra), level=0.9) for seed in range(250)]
    assert 0.84 < np.mean([one.low <= 1.15 <= one.high for one in found]) < 0.95


CUT = MONTHS[20]
CHANGE = CodingBreak(CUT, ("old",), (ALL,), 0.001)


def test_a_change_of_coding_cuts_the_trend_and_is_told():
    found = []
    for seed in range(60):
        counts = monthly(seed, calls_a_month=60)
        recoded = counts.with_columns(events=pl.when(pl.col("month") < CUT).then(pl.col("events") // 4).otherwise("events"))
        assert trend(recoded).low > 1.2
        found.append(trend(recoded, breaks=[CHANGE]))
    assert np.mean([one.low < 1 < one.high for one in found]) > 0.9
    assert found[0].note == "Cut at 2021-10, where coding seems to have changed."


def test_a_change_of_coding_of_other_words_does_not_touch_a_trend():
    counts = monthly(3)
    assert trend(counts, breaks=[CodingBreak(MONTHS[20], ("one",), ("other",), 0.001)]).per_year == trend(counts).per_year


def test_months_of_a_coding_that_never_used_the_word_are_left_out():
    found = []
    for seed in range(60):
        new_word = monthly(seed, calls_a_month=40).with_columns(events=pl.when(pl.col("month") < CUT).then(0).otherwise("events"))
        found.append(trend(new_word, breaks=[CHANGE]))
    assert np.mean([one.low < 1 < one.high for one in found]) > 0.85
    assert found[0].monthly["month"].min() == CUT
    assert "never used this word are left out" in found[0].note


def test_bad_months_are_told_apart_from_like_ones():
    table, p_value = seasons(monthly(1, wave=0.8, calls_a_month=60))
    assert p_value < 1e-6
    assert table["month_of_year"].to_list() == [4, 5, 6, 7, 8, 9, 10]
    first = table.row(0, named=True)
    plain = rate_with_limits(first["events"], first["exposure_h"])
    assert (first["rate"], first["low"], first["high"]) == pytest.approx((plain.value, plain.low, plain.high))


def test_like_months_are_called_different_about_as_often_as_the_level_says():
    p_values = np.array([seasons(monthly(seed))[1] for seed in range(400)])
    assert 0.02 < np.mean(p_values < 0.05) < 0.08


@pytest.mark.parametrize(
    "thin",
    [
        lambda counts: counts.clear(),
        lambda counts: counts.with_columns(events=pl.lit(0)),
        lambda counts: counts.head(2),
        lambda counts: counts.with_columns(exposure_h=pl.lit(0.0)),
        lambda counts: counts.with_columns(events=(pl.col("month") == MONTHS[3]).cast(pl.Int64)),
    ],
    ids=["nothing", "no events", "two months", "no hours", "one event"],
)
def test_too_little_for_a_trend_is_told(thin):
    with pytest.raises(NoFigure, match="are too few for a trend"):
        trend(thin(monthly(1)))


def test_too_little_for_seasons_is_told():
    for thin in (monthly(1).clear(), monthly(1).head(1), monthly(1).with_columns(events=pl.lit(0))):
        with pytest.raises(NoFigure, match="say nothing of the seasons"):
            seasons(thin)


def test_all_events_in_one_month_have_a_trend_with_wide_limits():
    ours = trend(monthly(1).with_columns(events=pl.when(pl.col("month") == MONTHS[3]).then(9).otherwise(0)))
    assert 0 <= ours.low < ours.per_year < ours.high
