import numpy as np
import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.stats import CensoredData, ecdf
from statsmodels.duration.survfunc import SurvfuncRight

from pipelines.errors import NoFigure
from pipelines.fits.ages import Ages, compress, together
from pipelines.fits.kaplan_meier import Curve, fleming_harrington, kaplan_meier
from pipelines.fits.risk_set import LEAST_AT_RISK
from tests.fits.published_frames import lives_of, published_frame


def published_lives(dataset: str) -> Ages:
    if dataset == "aml_maintained":
        return lives_of(published_frame(dataset), "weeks")
    if dataset == "leukemia_6mp, treated":
        return lives_of(published_frame("leukemia_6mp").filter(pl.col("treated") == 1), "weeks")
    if dataset == "genfan":
        return lives_of(published_frame("genfan"), "hours")
    sex = "Female" if "women" in dataset else "Male"
    return lives_of(published_frame("channing").filter(pl.col("sex") == sex, pl.col("entry") < pl.col("exit")), "exit")


def drops(curve: Curve) -> pl.DataFrame:
    return curve.steps.filter(pl.col("events") > 0)


FROM = {"channing, men past 816 months": 816.0}
# Kaplan-Meier tables by R's survfit and lifelines (tests/published/curves_expected.csv); the data are those of Miller 1981
# (aml), Freireich et al. 1963 with the figures of Klein & Moeschberger 2003, tables 4.1A and 4.2 (6-MP), Nelson 1982
# (fans) and Hyde 1980 (Channing House, delayed entry; men conditional on 68 years as in Klein & Moeschberger, example 4.3).
DATASETS = ["aml_maintained", "leukemia_6mp, treated", "genfan", "channing, women", "channing, men past 816 months"]


@pytest.mark.parametrize("dataset", DATASETS)
def test_the_published_curves_are_met_at_every_step(dataset):
    table = published_frame("curves_expected").filter(pl.col("dataset") == dataset)
    curve = kaplan_meier(published_lives(dataset), from_age=FROM.get(dataset))
    ours = drops(curve)
    assert_allclose(ours["age"], table["time"])
    assert_allclose(ours["at_risk"], table["n_risk"])
    assert_allclose(ours["events"], table["n_event"])
    assert_allclose(ours["surviving"], table["surv"], atol=1e-9)
    last = table["surv"][-1] == 0
    assert_allclose(ours["se"].drop_nulls(), table["se_greenwood"][: table.height - last], atol=1e-8)
    assert_allclose(ours["cumulative_hazard"], table["cumhaz_nelson_aalen"], atol=1e-9)
    assert_allclose(ours["cumulative_hazard_se"], table["se_cumhaz"], atol=1e-9)


@pytest.mark.parametrize("limits", ["plain", "log", "log-log"])
@pytest.mark.parametrize("dataset", DATASETS)
def test_the_published_limits_are_met_on_every_scale(dataset, limits):
    scale = limits.replace("-", "")
    table = published_frame("curves_expected").filter((pl.col("dataset") == dataset) & (pl.col("surv") > 0))
    ours = drops(kaplan_meier(published_lives(dataset), limits=limits, from_age=FROM.get(dataset)))[: table.height]
    assert_allclose(ours["low"], table[f"lo95_{scale}"].cast(pl.Float64), atol=1e-7)
    assert_allclose(ours["high"], table[f"hi95_{scale}"].cast(pl.Float64), atol=1e-7)


@pytest.mark.parametrize("dataset", DATASETS)
def test_the_hazard_summed_failure_by_failure_meets_fleming_and_harrington(dataset):
    table = published_frame("curves_expected").filter(pl.col("dataset") == dataset)
    lives = published_lives(dataset)
    ours = fleming_harrington(lives.seen_after(FROM[dataset]) if dataset in FROM else lives)
    assert_allclose(ours["cumulative_hazard"], table["cumhaz_fleming_harrington"], atol=1e-9)


def test_the_6mp_figures_of_the_textbook_are_met_to_the_printed_digit():
    # Klein & Moeschberger (2003), Survival Analysis, tables 4.1A and 4.2 (figures recalled, reproduced by R's survfit).
    printed = {6: (0.857, 0.0764), 7: (0.807, 0.0869), 10: (0.753, 0.0963), 13: (0.690, 0.1068), 16: (0.627, 0.1141), 22: (0.538, 0.1282)}
    steps = {row["age"]: row for row in kaplan_meier(published_lives("leukemia_6mp, treated")).steps.iter_rows(named=True)}
    for age, (surviving, se) in (printed | {23: (0.448, 0.1346)}).items():
        assert steps[age]["surviving"] == pytest.approx(surviving, abs=6e-4)
        assert steps[age]["se"] == pytest.approx(se, abs=6e-5)


# Medians by R's survfit; the last from NIST/SEMATECH e-Handbook data (8.4.1.3), where half are left from 386 h to the end
# at 500 h and survfit gives the middle.
@pytest.mark.parametrize(("dataset", "median"), [("aml_maintained", 31), ("leukemia_6mp, treated", 23), ("channing, women", 1018)])
def test_the_median_is_the_age_that_half_reach(dataset, median):
    assert kaplan_meier(published_lives(dataset)).median == median


def test_a_curve_level_at_one_half_has_its_median_in_the_middle():
    assert kaplan_meier(lives_of(published_frame("nist_weibull_20"), "time")).median == 443


def test_a_curve_that_stays_above_one_half_has_no_median():
    assert kaplan_meier(published_lives("genfan")).median is None


def test_men_of_channing_house_collapse_early_unless_the_curve_begins_later():
    # R's survfit takes the whole curve to 0 at 781 months, where the only man watched died.
    men = published_lives("channing, men")
    whole = kaplan_meier(men, from_age=0.0)
    assert drops(whole).filter(pl.col("surviving") == 0)["age"][0] == 781
    ours = kaplan_meier(men)
    assert ours.from_age >= 781
    assert drops(ours)["at_risk"][0] >= LEAST_AT_RISK
    assert ours.note == f"Shares are of the parts that reach age {ours.from_age:g}: too few were watched at earlier ages."


def test_a_few_early_lives_do_not_set_the_height_of_the_curve():
    late = compress(500.0, np.arange(600.0, 640.0), np.arange(600.0, 640.0))
    early = compress(0, [100.0, 900.0], [100.0, 900.0])
    curve = kaplan_meier(together([early, late]))
    assert curve.from_age == 100
    assert curve.surviving_at(599) == 1


def test_ages_that_nobody_watched_are_not_bridged():
    young = compress(0, np.linspace(10, 50, 20), [10.0, *[np.inf] * 19])
    old = compress(400.0, np.linspace(410, 700, 30), np.linspace(410, 700, 30))
    curve = kaplan_meier(together([young, old]))
    assert curve.from_age == 400
    assert curve.surviving_at(300) is None


def test_the_curve_begins_whole_and_ends_where_the_last_life_was_watched():
    steps = kaplan_meier(compress(0, [3, 7], [3, np.inf])).steps
    assert steps.select("age", "at_risk", "events", "surviving").rows() == [(0, 2, 0, 1), (3, 2, 1, 0.5), (7, 1, 0, 0.5)]


def test_a_unit_that_enters_at_the_age_of_a_failure_is_not_at_risk_for_it():
    assert drops(kaplan_meier(compress([0, 0, 3], [3, 9, 9], [3, 9, 9]), from_age=0.0))["at_risk"].to_list() == [2, 2]


def test_where_nothing_is_left_the_upper_limit_is_that_of_the_step_before():
    steps = kaplan_meier(compress(0, [3, 5, 7], [3, 5, 7])).steps
    assert steps["low"][-1] == 0
    assert steps["high"][-1] == steps["high"][-2] > 0
    assert steps["se"][-1] is None


def naive_curve(entry, end, failed) -> list[tuple[float, float, float]]:
    """Age, share and Greenwood sum, counted life by life."""
    share, greenwood, rows = 1.0, 0.0, []
    for age in sorted({e for e, f in zip(end, failed, strict=True) if f}):
        risk = sum(1 for a, b in zip(entry, end, strict=True) if a < age <= b)
        lost = sum(1 for b, f in zip(end, failed, strict=True) if f and b == age)
        share *= 1 - lost / risk
        greenwood += lost / (risk * (risk - lost)) if risk > lost else np.inf
        rows.append((age, share, greenwood))
    return rows


@pytest.mark.parametrize("seed", range(12))
def test_counting_life_by_life_gives_the_same_curve(seed):
    draw = np.random.default_rng(seed)
    entry = draw.integers(0, 10, 60) * draw.integers(0, 2, 60)
    end = entry + draw.integers(1, 30, 60)
    failed = draw.random(60) < 0.5
    ours = drops(kaplan_meier(compress(entry, end, np.where(failed, end, np.inf)), from_age=0.0))
    theirs = naive_curve(entry, end, failed)
    assert_allclose(ours["age"], [row[0] for row in theirs])
    assert_allclose(ours["surviving"], [row[1] for row in theirs], atol=1e-12)
    left = ours["surviving"].to_numpy() > 0
    assert_allclose((ours["se"] / ours["surviving"]).to_numpy()[left] ** 2, np.array([row[2] for row in theirs])[left], rtol=1e-9)


@pytest.mark.parametrize("seed", range(4))
def test_scipy_and_statsmodels_give_the_same_curve(seed):
    draw = np.random.default_rng(100 + seed)
    age = np.round(draw.weibull(1.8, 80) * 200) + 1
    failed = draw.random(80) < 0.6
    ours = drops(kaplan_meier(compress(0, age, np.where(failed, age, np.inf))))
    scipy = ecdf(CensoredData.right_censored(age, ~failed)).sf
    assert_allclose(ours["surviving"], scipy.evaluate(ours["age"].to_numpy()), atol=1e-12)
    entry = np.floor(age * draw.random(80) * (draw.random(80) < 0.4))
    delayed = drops(kaplan_meier(compress(entry, age, np.where(failed, age, np.inf)), from_age=0.0))
    theirs = SurvfuncRight(age, failed.astype(int), entry=entry)
    assert_allclose(delayed["surviving"], theirs.surv_prob, atol=1e-12)


LIVES = st.lists(st.tuples(st.integers(0, 20), st.integers(1, 30), st.booleans()), min_size=1, max_size=40)


@settings(max_examples=200)
@given(LIVES, st.sampled_from(["plain", "log", "log-log"]), st.sampled_from([0.8, 0.95, 0.999]))
def test_a_curve_never_rises_and_lies_within_its_limits(lives, limits, level):
    entry, length, failed = (np.array(part) for part in zip(*lives, strict=True))
    ages = compress(entry, entry + length, np.where(failed, entry + length, np.inf))
    if not failed.any():
        with pytest.raises(NoFigure, match="has failed"):
            kaplan_meier(ages, level, limits)
        return
    curve = kaplan_meier(ages, level, limits)
    steps = curve.steps
    assert (steps["age"].diff().drop_nulls() > 0).all()
    assert (steps["surviving"].diff().drop_nulls() <= 0).all()
    assert ((steps["low"] <= steps["surviving"] + 1e-12) & (steps["surviving"] <= steps["high"] + 1e-12)).all()
    assert steps["low"].is_between(0, 1).all()
    assert steps["high"].is_between(0, 1).all()
    assert steps.drop("se").null_count().sum_horizontal()[0] == 0


@pytest.mark.parametrize(
    ("ages", "told"),
    [
        (compress([], [], []), "No lives with a known age on this clock"),
        (compress(0, [4, 5], np.inf), "None of 2 lives has failed"),
        (compress(0, [4, 5], [4, 6]), "1 of 2 lives failed between two ages"),
    ],
)
def test_without_failures_at_known_ages_there_is_a_reason_instead_of_a_curve(ages, told):
    with pytest.raises(NoFigure, match=told):
        kaplan_meier(ages)


def test_a_level_outside_0_and_1_is_refused():
    with pytest.raises(NoFigure, match="level: 95"):
        kaplan_meier(compress(0, [4, 5], [4, np.inf]), level=95)


def test_one_failure_all_at_one_age_and_a_million_ties_have_curves():
    assert kaplan_meier(compress(0, 4, 4)).surviving_at(4) == 0
    assert kaplan_meier(compress(0, [4, 4], [4, np.inf], [1, 9])).surviving_at(4) == pytest.approx(0.9)
    many = kaplan_meier(compress(0, [4, 4, 9], [4, np.inf, 9], [1e6, 1e6, 1e6]))
    assert drops(many)["surviving"].to_list() == pytest.approx([2 / 3, 0.0])
