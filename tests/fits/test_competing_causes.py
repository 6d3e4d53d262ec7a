import numpy as np
import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from statsmodels.duration.survfunc import CumIncidenceRight

from pipelines.errors import NoFigure
from pipelines.fits.ages import Ages, compress, together
from pipelines.fits.competing_causes import NOT_FAILED, ages_by_cause, cumulative_incidence
from pipelines.fits.kaplan_meier import kaplan_meier
from tests.fits.published_frames import published_frame


def split(entry, end, cause) -> dict[str, Ages]:
    """Lives by cause, 0 being none."""
    entry, end, cause = np.broadcast_arrays(np.asarray(entry, float), np.asarray(end, float), np.asarray(cause))
    parts = {str(one): compress(entry[cause == one], end[cause == one], end[cause == one]) for one in np.unique(cause[cause > 0])}
    return parts | {NOT_FAILED: compress(entry[cause == 0], end[cause == 0], np.inf)}


# Device-G: Meeker & Escobar (1998), chapter 15; mgus2: R's package survival. By survfit, scikit-survival and statsmodels.
@pytest.mark.parametrize(("dataset", "age", "cause"), [("device_g", "kilocycles", "mode"), ("mgus2_cr", "months", "cause")])
def test_the_published_incidences_are_met_with_their_errors(dataset, age, cause):
    data = published_frame(dataset)
    ours = cumulative_incidence(split(0, data[age], data[cause].to_numpy()))
    table = published_frame("incidence_expected").filter(pl.col("dataset") == dataset)
    both = table.select(pl.col("time").cast(pl.Float64).alias("age"), pl.col("cause").cast(pl.String), "cif", "se_aalen").join(
        ours, on=["age", "cause"]
    )
    assert both.height >= 12
    assert_allclose(both["incidence"], both["cif"], atol=1e-8)
    assert_allclose(both["se"], both["se_aalen"], rtol=1e-5, atol=1e-12)


def test_device_g_at_300_thousand_cycles():
    # Meeker & Escobar (1998), chapter 15; R's survfit: surge 0.5, wear-out 0.233333, event-free 0.266667.
    data = published_frame("device_g")
    ours = cumulative_incidence(split(0, data["kilocycles"], data["mode"].to_numpy())).filter(pl.col("age") <= 300)
    last = ours.group_by("cause").agg(pl.col("incidence", "surviving").last()).sort("cause")
    assert_allclose(last["incidence"], [0.5, 0.2333333333], atol=1e-8)
    assert_allclose(last["surviving"], 0.2666666667, atol=1e-8)


LIVES = st.lists(st.tuples(st.integers(0, 15), st.integers(1, 20), st.integers(0, 3)), min_size=1, max_size=40)


@settings(max_examples=150, deadline=None)
@given(LIVES)
def test_causes_and_the_share_still_running_add_to_one(lives):
    entry, length, cause = (np.array(part) for part in zip(*lives, strict=True))
    parts = split(entry, entry + length, cause)
    if not cause.any():
        with pytest.raises(NoFigure, match="no causes to set apart"):
            cumulative_incidence(parts)
        return
    ours = cumulative_incidence(parts)
    sums = ours.group_by("age").agg(pl.col("incidence").sum(), pl.col("surviving").first(), pl.col("events").sum()).sort("age")
    assert_allclose(sums["incidence"] + sums["surviving"], 1, atol=1e-9)
    steps = kaplan_meier(together(parts.values())).steps.filter(pl.col("events") > 0)
    assert_allclose(sums["surviving"], steps["surviving"], atol=1e-12)
    assert_allclose(sums["events"], steps["events"])
    assert ((ours["low"] <= ours["incidence"] + 1e-12) & (ours["incidence"] <= ours["high"] + 1e-12)).all()


def naive_variance(end, cause, wanted, at) -> float:
    """The delta-method variance term by term (Marubini & Valsecchi 1995, section 10.2)."""
    ages = [age for age in sorted({e for e, c in zip(end, cause, strict=True) if c}) if age <= at]
    before, incidence, terms = 1.0, 0.0, []
    for age in ages:
        risk = sum(e >= age for e in end)
        lost = sum(c > 0 and e == age for e, c in zip(end, cause, strict=True))
        own = sum(c == wanted and e == age for e, c in zip(end, cause, strict=True))
        incidence += before * own / risk
        terms.append((risk, lost, own, before, incidence))
        before *= 1 - lost / risk
    total = 0.0
    for risk, lost, own, ahead, reached in terms:
        gap = incidence - reached
        total += (gap**2 * lost / (risk * (risk - lost)) if risk > lost else 0) + ahead**2 * own * (risk - own) / risk**3
        total -= 2 * gap * ahead * own / risk**2
    return total


@pytest.mark.parametrize("seed", range(6))
def test_the_running_sums_give_the_variance_term_by_term(seed):
    draw = np.random.default_rng(seed)
    end, cause = draw.integers(1, 25, 50), draw.integers(0, 3, 50)
    ours = cumulative_incidence(split(0, end, cause))
    for age, name, error in ours.select("age", "cause", "se").iter_rows():
        assert error**2 == pytest.approx(naive_variance(end, cause, int(name), age), rel=1e-8, abs=1e-14)


@pytest.mark.parametrize("seed", range(3))
def test_statsmodels_gives_the_same_incidences(seed):
    draw = np.random.default_rng(30 + seed)
    end, cause = np.round(draw.weibull(1.5, 120) * 60) + 1, draw.integers(0, 3, 120)
    cause[end == end.max()] = 0
    theirs = CumIncidenceRight(end, cause)
    assert theirs.cinc_se is not None
    ours = cumulative_incidence(split(0, end, cause))
    for one in (1, 2):
        mine = ours.filter(pl.col("cause") == str(one))
        at = np.searchsorted(theirs.times, mine["age"].to_numpy())
        assert_allclose(mine["incidence"], theirs.cinc[one - 1][at], atol=1e-12)
        assert_allclose(mine["se"], theirs.cinc_se[one - 1][at], rtol=1e-6, atol=1e-12)


def test_lives_of_a_ledger_are_split_by_cause():
    lives = pl.DataFrame(
        {
            "life_id": ["a", "b", "c", "d"],
            "entry_h": [0.0] * 4,
            "low_h": [5.0, 6.0, 7.0, 9.0],
            "high_h": [5.0, 6.0, 8.0, None],
            "cause": ["belt broken", "", None, None],
        }
    )
    parts = ages_by_cause(lives, "hours")
    assert {cause: ages.lives for cause, ages in parts.items()} == {"belt broken": 1, "unknown": 2, NOT_FAILED: 1}


def test_a_table_from_outside_is_split_by_cause_or_all_unknown():
    table = pl.DataFrame({"low": [5, 6, 7], "high": [5, None, 7], "cause": [1, None, 2]})
    assert list(ages_by_cause(table)) == ["1", "2", NOT_FAILED]
    assert {cause: ages.lives for cause, ages in ages_by_cause(table.drop("cause")).items()} == {"unknown": 2, NOT_FAILED: 1}


def test_a_failure_between_two_ages_is_put_in_the_middle():
    ours = cumulative_incidence({"worn": compress(0, [4, 9], [8, 9]), NOT_FAILED: compress(0, 20, np.inf)})
    assert ours["age"].to_list() == [6, 9]


def test_the_curve_begins_where_the_survival_curve_does():
    draw = np.random.default_rng(8)
    old = draw.uniform(400, 700, 40)
    parts = {"young": compress(0, 30, 30), "old": compress(400.0, old, old), NOT_FAILED: compress(400.0, [450, 500], np.inf)}
    ours = cumulative_incidence(parts)
    assert ours["cause"].unique().to_list() == ["old"]
    assert (ours["age"] > 400).all()
