"""The table of fits: keys and counts of the contract, groups, notes, and lives tables from outside."""

import numpy as np
import polars as pl
import pytest

from pipelines.errors import NoFigure
from pipelines.fits.ages import compress
from pipelines.fits.fit_table import fit_outside_table, fit_table, lives_by_group
from pipelines.fits.known_figures import KnownFigures
from pipelines.fits.weibull import fit_weibull
from pipelines.terms.answers import FITS
from pipelines.terms.settings import Settings
from tests.fits.stratified_lives import lives_of_strata

SETTINGS = Settings()
KEYS = (
    "component group clock lives failures suspended interval_censored delayed shape shape_low shape_high scale scale_low scale_high "
    "b10 b10_low b10_high median log_likelihood posterior wears_out_probability best_family note curve"
)
COLUMNS = {
    "component": pl.String,
    "engine_model": pl.String,
    "base": pl.String,
    "entry_h": pl.Float64,
    "low_h": pl.Float64,
    "high_h": pl.Float64,
    "entry_months": pl.Float64,
    "low_months": pl.Float64,
    "high_months": pl.Float64,
    "ending": pl.String,
}


def lives(*rows: tuple, component: str = "impeller", engine_model: str | None = "M1", base: str | None = "North") -> pl.DataFrame:
    """Lives as (ending, low_h, high_h, entry_h); months are a twentieth of the hours."""
    held = [
        {
            "component": component,
            "engine_model": engine_model,
            "base": base,
            "ending": ending,
            "low_h": low,
            "high_h": high,
            "entry_h": entry,
            "low_months": None if low is None else low / 20,
            "high_months": None if high is None else high / 20,
            "entry_months": entry / 20,
        }
        for ending, low, high, entry in rows
    ]
    return pl.DataFrame(held, schema=COLUMNS)


USUAL = lives(
    ("failed", 120.0, 120.0, 0.0),
    ("failed", 200.0, 200.0, 50.0),
    ("failed", 260.0, 260.0, 0.0),
    ("found failed", 100.0, 180.0, 0.0),
    ("condition", 170.0, 200.0, 0.0),
    ("planned", 250.0, None, 0.0),
    ("running", 90.0, None, 20.0),
    ("running", 300.0, None, 0.0),
)


def fitted(frame: pl.DataFrame, by: tuple[str, ...] = (), clock: str = "hours") -> list[dict]:
    return fit_table(frame, by, clock, SETTINGS, KnownFigures()).to_dicts()


def test_a_row_has_exactly_the_keys_of_the_contract():
    (row,) = fitted(USUAL)
    assert set(row) == set(KEYS.split()) == {told.name for told in FITS}
    ends = [f"{quantity}{end}" for quantity in ("shape", "scale", "b10") for end in ("", "_low", "_high")]
    assert set(row["posterior"]) == {*ends, "level"}
    assert row["posterior"]["level"] == 0.9
    assert set(row["curve"][0]) == {"age", "at_risk", "events", "surviving", "low", "high"}


def test_failures_intervals_and_suspensions_add_up_to_the_lives():
    (row,) = fitted(USUAL)
    assert (row["lives"], row["failures"], row["interval_censored"], row["suspended"], row["delayed"]) == (8, 3, 2, 3, 2)
    assert "Renewed on condition, counted as failing between two ages: 1." in row["note"]


def test_figures_lie_inside_their_limits():
    (row,) = fitted(USUAL)
    for held in (row, row["posterior"]):
        for quantity in ("shape", "scale", "b10"):
            assert held[f"{quantity}_low"] < held[quantity] < held[f"{quantity}_high"]
    assert row["b10"] < row["median"] < row["scale"]
    assert 0 <= row["wears_out_probability"] <= 1
    assert row["best_family"] in ("weibull", "lognormal", "floor_weibull", "exponential")


def test_on_months_the_scale_is_in_months():
    (hours,), (months,) = fitted(USUAL), fitted(USUAL, clock="months")
    assert months["clock"] == "months"
    assert months["scale"] == pytest.approx(hours["scale"] / 20)
    assert months["posterior"]["scale"] == pytest.approx(hours["posterior"]["scale"] / 20, rel=1e-6)


def test_without_a_failure_the_likelihood_is_empty_with_its_reason_and_the_posterior_answers():
    (row,) = fitted(lives(("running", 90.0, None, 0.0), ("planned", 250.0, None, 0.0)))
    assert [row[name] for name in ("shape", "scale", "b10", "median", "log_likelihood", "shape_low")] == [None] * 6
    assert "No failure among 2 lives" in row["note"]
    assert row["posterior"]["scale"] > 100
    assert row["curve"] == []


def test_lives_of_unknown_hours_are_left_out_and_told():
    (row,) = fitted(pl.concat([USUAL, lives(("failed", None, None, 0.0), ("running", None, None, 0.0))]))
    assert row["lives"] == 8
    assert "Lives left out because their hours are not known: 2." in row["note"]


def test_a_part_that_has_no_hours_at_all_still_has_a_row():
    (row,) = fitted(lives(("running", None, None, 0.0)))
    assert row["lives"] == 0
    assert row["posterior"]["scale"] > 0
    assert "no lives" in row["note"]


def test_groups_come_apart_in_order_and_an_unknown_word_stays_empty():
    frame = pl.concat([lives(("failed", 10.0, 10.0, 0.0), engine_model=word) for word in ("M2", None, "M1")])
    rows = fitted(frame, ("engine_model",))
    assert [row["group"] for row in rows] == [{"engine_model": None}, {"engine_model": "M1"}, {"engine_model": "M2"}]
    assert fitted(frame)[0]["group"] is None


def test_two_columns_of_groups_are_both_named():
    rows = fitted(USUAL, ("engine_model", "base"))
    assert rows[0]["group"] == {"engine_model": "M1", "base": "North"}


def test_what_is_known_of_a_part_narrows_its_posterior():
    record = {"component": "impeller", "task": "renew", "expected_life_h": 300.0}
    limits = pl.DataFrame([record], schema=KnownFigures().limits.schema)
    few = lives(("failed", 120.0, 120.0, 0.0), ("running", 60.0, None, 0.0))
    (vague,) = fit_table(few, (), "hours", SETTINGS, KnownFigures()).to_dicts()
    (told,) = fit_table(few, (), "hours", SETTINGS, KnownFigures(limits=limits)).to_dicts()
    assert told["posterior"]["scale_high"] < vague["posterior"]["scale_high"]
    assert "expected life" in told["note"]
    assert "ages seen" in vague["note"]


def test_no_lives_give_no_rows_but_the_columns():
    frame = fit_table(lives(), (), "hours", SETTINGS, KnownFigures())
    assert frame.is_empty()
    assert set(frame.columns) == set(KEYS.split())


def test_lives_by_group_keeps_every_life_once():
    frame = pl.concat([USUAL, lives(("failed", 10.0, 10.0, 0.0), component="belt")])
    found = list(lives_by_group(frame, ()))
    assert [component for component, _, _ in found] == ["belt", "impeller"]
    assert sum(held.height for _, _, held in found) == frame.height


def test_a_table_from_outside_is_fitted_group_by_group():
    rng = np.random.default_rng(2)
    ages = np.round(300 * rng.weibull(2.0, 40), 1)
    table = pl.DataFrame({"low": ages, "high": ages, "group": ["a", "b"] * 20})
    rows = fit_outside_table(table, "hours", SETTINGS).to_dicts()
    assert [row["group"] for row in rows] == [{"group": "a"}, {"group": "b"}]
    assert rows[0]["component"] is None
    assert rows[0]["shape"] == pytest.approx(fit_weibull(compress(0.0, ages[::2], ages[::2])).shape)


def test_a_table_from_outside_without_groups_has_one_row():
    (row,) = fit_outside_table(
        pl.DataFrame({"low": [10, 20, 30], "high": [10, None, 30], "count": [3, 5, 1]}), "months", SETTINGS
    ).to_dicts()
    assert (row["group"], row["clock"], row["lives"], row["failures"]) == (None, "months", 9, 4)


def test_a_table_from_outside_without_lives_is_refused():
    with pytest.raises(NoFigure, match="no lives"):
        fit_outside_table(pl.DataFrame({"low": [10.0], "entry": [10.0]}), "hours", SETTINGS)


AWKWARD = {
    "no failure": {"low": [10.0, 20.0], "high": [None, None]},
    "one failure": {"low": [10.0], "high": [10.0]},
    "all at one age": {"low": [10.0], "high": [10.0], "count": [1_000_000]},
    "failed before the first look": {"low": [0.0], "high": [10.0]},
    "a group of one": {"low": [5.0], "high": [None]},
}


@pytest.mark.parametrize("case", AWKWARD)
def test_awkward_tables_get_a_posterior_and_a_reason(case):
    schema = {name: pl.Float64 for name in AWKWARD[case]}
    (row,) = fit_outside_table(pl.DataFrame(AWKWARD[case], schema=schema), "hours", SETTINGS).to_dicts()
    assert row["shape"] is None
    assert row["note"]
    assert row["posterior"]["scale_low"] < row["posterior"]["scale"] < row["posterior"]["scale_high"]


def test_a_figure_far_beyond_all_that_was_watched_is_not_given_and_the_note_says_so():
    # Two early failures among thousands that run on: the likelihood is happy with a scale of millions of times the ages seen.
    table = pl.DataFrame({"low": [1.0, 2.0, 400.0], "high": [1.0, 2.0, None], "count": [1, 1, 5000]})
    (row,) = fit_outside_table(table, "hours", SETTINGS).to_dicts()
    assert row["scale"] is None
    assert row["median"] is None
    assert row["shape"] < 1
    assert "Not given, since more than 100 times the greatest age seen: median, scale, b10." in row["note"]
    assert all(value is None or value <= 40_000 for name, value in row.items() if name.startswith(("scale", "b10", "median")))


def test_ages_past_all_sense_are_refused():
    with pytest.raises(NoFigure, match=r"row 1, low: 1e\+300\. No part lasts so long"):
        fit_outside_table(pl.DataFrame({"low": [1e300, 2.0], "high": [1e300, 2.0]}), "hours", SETTINGS)


def test_a_tiny_age_among_others_has_figures():
    (row,) = fit_outside_table(pl.DataFrame({"low": [1e-300, 2.0], "high": [1e-300, 2.0]}), "hours", SETTINGS).to_dicts()
    assert row["posterior"]["scale_low"] < row["posterior"]["scale_high"]


def test_the_posterior_of_a_group_borrows_strength_and_its_other_figures_do_not():
    lives = pl.concat([lives_of_strata(1, {"fresh": 500.0, "brackish": 500.0}, 80), lives_of_strata(2, {"salt": 500.0}, 8)])
    named = lives.with_columns(pl.lit("belt").alias("component"), pl.lit("planned").alias("ending"))
    rows = {row["group"]["water"]: row for row in fit_table(named, ["water"], "hours", SETTINGS, KnownFigures()).to_dicts()}
    alone = fit_table(named.filter(pl.col("water") == "salt"), [], "hours", SETTINGS, KnownFigures()).to_dicts()[0]
    widths = [np.log(row["posterior"]["scale_high"] / row["posterior"]["scale_low"]) for row in (rows["salt"], alone)]
    assert widths[0] < 0.8 * widths[1]
    assert rows["salt"]["scale"] == pytest.approx(alone["scale"])
    assert rows["salt"]["failures"] == alone["failures"]
