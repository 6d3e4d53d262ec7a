import numpy as np
import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from pipelines.errors import NoFigure
from pipelines.fits.ages import Ages, compress, together
from pipelines.fits.inspection_curve import inspection_curve, survival_curve
from pipelines.fits.kaplan_meier import Curve, kaplan_meier
from tests.fits.published_frames import published_frame


def lives(dataset: str) -> Ages:
    if dataset == "turbine_interval":
        table = published_frame(dataset)
        return compress(0, table["lower"], table["upper"], table["count"])
    table = published_frame("breast_cosmesis").filter(pl.col("group") == dataset)
    return compress(0, table["lower"], table["upper"])


def masses(curve: Curve) -> pl.DataFrame:
    return curve.steps.with_columns(mass=-pl.col("surviving").diff()).filter(pl.col("events") > 0)


def log_likelihood(curve: Curve, ages: Ages) -> float:
    """From the printed curve alone: each life's chance by the steps at or before its ages."""

    def left_after(at: float) -> float:
        return curve.steps.filter(pl.col("age") <= at)["surviving"][-1]

    total = 0.0
    for low, high, count in zip(ages.low, ages.high, ages.count, strict=True):
        total += count * np.log(left_after(low) - (left_after(high) if np.isfinite(high) else 0.0))
    return total


# Finkelstein & Wolfe (1985); masses by npsurv, icenReg and an own EM to 8 digits, printed to 4 in Fay & Shaw (2010).
# Turbine wheels: Nelson (1982), masses by npsurv and an own EM.
@pytest.mark.parametrize("dataset", ["Rad", "RadChem", "turbine_interval"])
def test_the_published_masses_are_met(dataset):
    table = published_frame("masses_expected").filter((pl.col("dataset") == dataset) & pl.col("right_closed").is_finite())
    ours = masses(inspection_curve(lives(dataset)))
    assert_allclose(ours["left"], table["left_open"])
    assert_allclose(ours["age"], table["right_closed"])
    assert_allclose(ours["mass"], table["mass"], atol=1e-7)


@pytest.mark.parametrize(
    ("dataset", "printed"),
    [
        ("Rad", [0.0463, 0.0334, 0.0887, 0.0708, 0.0926, 0.0818, 0.1209, 0.4656]),
        ("RadChem", [0.0433, 0.0433, 0.0692, 0.1454, 0.1411, 0.1157, 0.0999, 0.0709, 0.1608, 0.0552, 0.0552]),
    ],
)
def test_the_masses_printed_by_fay_and_shaw_are_met(dataset, printed):
    # Fay, M. P. and Shaw, P. A. (2010), Journal of Statistical Software 36(2) (figures recalled, reproduced).
    assert_allclose(masses(inspection_curve(lives(dataset)))["mass"], printed, atol=6e-5)


# Log-likelihoods by npsurv and an own EM.
@pytest.mark.parametrize(("dataset", "value"), [("Rad", -58.06002195), ("RadChem", -65.63696491)])
def test_the_likelihood_of_the_curve_is_the_published_one(dataset, value):
    assert log_likelihood(inspection_curve(lives(dataset)), lives(dataset)) == pytest.approx(value, abs=1e-6)


@pytest.mark.parametrize("seed", range(6))
def test_with_known_ages_it_is_the_product_limit_curve_limits_and_all(seed):
    draw = np.random.default_rng(seed)
    age, end = np.ceil(draw.weibull(2, 400) * 100), np.ceil(draw.random(400) * 150)
    entry = np.floor(draw.random(400) * 60) * (draw.random(400) < 0.3)
    seen = np.minimum(age, end) > entry
    ages = compress(entry[seen], np.minimum(age, end)[seen], np.where(age <= end, age, np.inf)[seen])
    one, other = kaplan_meier(ages), inspection_curve(ages)
    assert one.from_age == other.from_age
    for column in ("age", "at_risk", "events", "surviving", "low", "high", "cumulative_hazard"):
        assert_allclose(one.steps[column], other.steps[column], atol=1e-8)


def turnbull_by_hand(ages: Ages, rounds: int = 4_000) -> dict[float, float]:
    """Turnbull's own self-consistency with ghosts for truncation, on all points between distinct ages; share left after each age."""
    cuts = np.unique(np.concatenate((ages.low, ages.high[np.isfinite(ages.high)], ages.entry)))
    cuts = cuts[cuts > 0]
    right = np.append(cuts, np.inf)
    inside = (right > ages.low[:, None]) & (right <= np.where(np.isfinite(ages.high), ages.high, np.inf)[:, None])
    inside |= (right == ages.low[:, None]) & ages.is_failure[:, None]
    able = right > ages.entry[:, None]
    mass = np.full(right.size, 1 / right.size)
    for _ in range(rounds):
        held = inside * mass
        ghosts = ~able * mass / (able @ mass)[:, None]
        weight = (ages.count[:, None] * (held / held.sum(1, keepdims=True) + ghosts)).sum(0)
        mass = weight / weight.sum()
    return dict(zip(cuts, 1 - np.cumsum(mass)[:-1], strict=True))


@pytest.mark.parametrize("seed", range(5))
def test_turnbulls_own_iteration_with_ghosts_gives_the_same_curve(seed):
    draw = np.random.default_rng(200 + seed)
    age = draw.weibull(2, 70) * 40
    visit = np.ceil(age / 8) * 8
    entry = 4.0 * draw.integers(0, 3, 70) * (draw.random(70) < 0.4)
    seen = age > entry
    high = np.where(draw.random(70) < 0.8, visit, np.inf)[seen]
    low = np.maximum(visit - 8, entry)[seen]
    ages = compress(entry[seen], low, high)
    ours = inspection_curve(ages)
    theirs = turnbull_by_hand(ages)
    for left, right, surviving in masses(ours).select("left", "age", "surviving").iter_rows():
        assert theirs[right] == pytest.approx(surviving, abs=2e-4), (left, right)


def test_inspections_spread_over_all_ages_converge():
    draw = np.random.default_rng(9)
    age, looked = draw.weibull(2, 1_500) * 100, draw.random(1_500) * 150
    curve = inspection_curve(compress(0, np.where(age <= looked, 0, looked), np.where(age <= looked, looked, np.inf)))
    assert curve.surviving_at(83.0) == pytest.approx(np.exp(-(0.83**2)), abs=0.06)


def test_a_renewal_on_condition_is_between_the_two_extremes():
    draw = np.random.default_rng(4)
    age, end = draw.weibull(2, 300) * 100, draw.random(300) * 150
    low, failed = np.minimum(age, end), age <= end
    at_once, later = compress(0, low, np.where(failed, low, np.inf)), compress(0, low, np.inf)
    between = survival_curve(compress(0, low, np.where(failed, low / 0.85, np.inf)))
    assert (survival_curve(at_once).surviving_at(60) or 0) < (between.surviving_at(60) or 0) < 1
    with pytest.raises(NoFigure):
        survival_curve(later)


def test_the_curve_for_known_ages_is_chosen_where_it_can_be():
    known = compress(0, [3, 5], [3, np.inf])
    assert survival_curve(known).steps.equals(kaplan_meier(known).steps)


def test_many_distinct_ages_are_rounded_and_told():
    draw = np.random.default_rng(2)
    age = draw.weibull(2, 3_000) * 100
    curve = inspection_curve(compress(0, age, np.where(draw.random(3_000) < 0.5, age, age / 0.85)))
    assert "Ages are rounded up to steps of" in curve.note
    assert curve.surviving_at(100) == pytest.approx(np.exp(-1), abs=0.06)


@pytest.mark.parametrize(
    "ages",
    [
        compress(0, 3, 7),
        compress(0, [3] * 50, [7] * 50),
        compress(0, 0, [7, 8, 9, 10]),
        compress(0, [5, 5, 0], [9, np.inf, 7], [1e6, 1e6, 1e6]),
        compress(np.arange(40.0), np.arange(40.0), np.arange(40.0) + 1),
        compress(np.arange(30.0) * 0.9, np.arange(30.0) * 0.9, np.arange(30.0) * 0.9 + 1),
        compress([0, 300], [10, 310], [12, 320]),
    ],
    ids=["one life", "all alike", "all before a first look", "a million ties", "one after another", "overlapping", "a gap"],
)
def test_odd_inspections_have_a_falling_curve(ages):
    steps = inspection_curve(ages).steps
    assert (steps["surviving"].diff().drop_nulls() <= 0).all()
    assert steps.drop("se").null_count().sum_horizontal()[0] == 0


def test_lives_that_straddle_a_thin_start_still_tell_what_follows():
    early = compress(0, [5, 6], [7, 7])
    late = compress(6, [9, 12], [10, np.inf], [4, 6])
    curve = inspection_curve(together([early, late]))
    assert curve.from_age == 6
    assert curve.steps["age"].to_list() == [6, 7, 10, 12]
    assert curve.steps["surviving"].to_list() == pytest.approx([1, 0.9, 0.54, 0.54])
    # By hand: with hazards a to age 6 and b from 6 to 7, (1 - (1 - a)(1 - b)) (1 - a) b (1 - b)^10 is greatest at a = 4/9, b = 1/10.


def test_without_a_failure_there_is_a_reason():
    with pytest.raises(NoFigure, match="None of 2 lives has failed"):
        inspection_curve(compress(0, [4, 5], np.inf))


KINDS = st.tuples(st.integers(0, 10), st.integers(1, 12), st.integers(0, 6), st.booleans())


@settings(max_examples=150, deadline=None)
@given(st.lists(KINDS, min_size=1, max_size=25))
def test_any_lives_give_a_falling_curve_within_its_limits_or_a_reason(kinds):
    entry, length, spread, running = (np.array(part) for part in zip(*kinds, strict=True))
    ages = compress(entry, entry + length, np.where(running, np.inf, entry + length + spread))
    if running.all():
        with pytest.raises(NoFigure):
            inspection_curve(ages)
        return
    steps = inspection_curve(ages).steps
    assert (steps["surviving"].diff().drop_nulls() <= 1e-12).all()
    assert ((steps["low"] <= steps["surviving"] + 1e-9) & (steps["surviving"] <= steps["high"] + 1e-9)).all()
