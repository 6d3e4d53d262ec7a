from pathlib import Path

import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.advice.counts import poisson
from pipelines.advice.renewal_counts import count_probabilities, ends_in_cells
from tests.advice.made import unhurried

PUBLISHED = Path(__file__).parents[1] / "published"
NEVER = 1e9


def cells(standing, edges):
    """Ends in each cell of a part new at time 0, and of parts begun in the middle of each cell."""
    middles = (edges[1:] + edges[:-1]) / 2
    since = np.maximum(edges[None, :] - middles[:, None], 0.0)
    return ends_in_cells(standing(edges))[None, None, :], ends_in_cells(standing(since))[None]


def new_parts(survival, span, steps, planned=NEVER):
    """Probabilities of 0, 1, 2 ... renewals in a span that begins with a new part."""
    first, new = cells(lambda ages: np.where(ages < planned - 1e-9, survival(ages), 0.0), np.linspace(0, span, steps + 1))
    return count_probabilities(first, new, np.array([steps]))[0][0, 0, 0]


def extrapolated(survival, span, steps):
    """Richardson's rule: the error falls with the square of the step."""
    coarse, fine = new_parts(survival, span, steps), new_parts(survival, span, 2 * steps)
    size = max(coarse.size, fine.size)
    coarse, fine = (np.pad(counts, (0, size - counts.size)) for counts in (coarse, fine))
    return (4 * fine - coarse) / 3


def weibull(shape):
    return lambda ages: np.exp(-(ages**shape))


# Computed by power series to 60 digits and by Riemann-Stieltjes sums with extrapolation, which agree to 3e-9. Published tables of the same:
# Soland, R. M. (1968), AD0675424 (not seen).
RENEWALS = pl.read_csv(PUBLISHED / "weibull_renewal.csv").to_dicts()


@pytest.mark.parametrize("row", RENEWALS, ids=lambda row: f"{row['beta']}-{row['t_over_eta']}")
def test_expected_renewals_agree_with_the_renewal_function(row):
    counts = extrapolated(weibull(row["beta"]), row["t_over_eta"], 200)
    assert counts @ np.arange(counts.size) == pytest.approx(row["renewals"], abs=1e-5)


# Renewal theory, closed form for a life of two exponential stages of rate 1: t/2 - (1 - exp(-2t))/4 (Cox 1962, chapter 4; from memory).
@pytest.mark.parametrize(("span", "renewals"), [(1, 0.2838338208), (2, 0.7545789097), (5, 2.25001135)])
def test_two_stage_lives_give_the_closed_form(span, renewals):
    counts = extrapolated(lambda ages: (1 + ages) * np.exp(-ages), span, 400)
    assert counts @ np.arange(counts.size) == pytest.approx(renewals, abs=1e-6)


# Count-model series and numerical convolution, which agree to 1e-10: one socket, spares used on failure, scale 1.
AT_MOST = {
    (2, 1): [0.367879441, 0.886841868, 0.991899351, 0.99969521],
    (2, 2): [0.0183156389, 0.342115593, 0.786035537, 0.963489399],
    (3, 2): [0.000335462628, 0.318266948, 0.88616134, 0.994283952],
}


@pytest.mark.parametrize(("law", "printed"), list(AT_MOST.items()))
def test_chances_of_so_many_renewals_agree_with_the_count_model(law, printed):
    counts = extrapolated(weibull(law[0]), law[1], 400)
    assert np.cumsum(counts)[:4] == pytest.approx(printed, abs=1e-6)


@unhurried
@given(st.floats(0.05, 4))
def test_exponential_lives_give_poisson_counts(mean):
    counts = extrapolated(lambda ages: np.exp(-ages), mean, 150)
    exact = poisson(mean).probability
    size = min(counts.size, exact.size)
    assert counts[:size] == pytest.approx(exact[:size], abs=1e-4)


def test_planned_renewals_alone_come_like_clockwork():
    counts = new_parts(np.ones_like, 450.0, 45, planned=100.0)
    assert counts.argmax() == 4
    assert counts[4] == pytest.approx(1)


# Seeded simulation as a plain second way of counting.
def test_failures_and_planned_renewals_together_agree_with_simulation():
    rng = np.random.default_rng(4)
    lives = np.minimum(rng.weibull(2.5, (200_000, 8)), 0.7)
    counted = (np.cumsum(lives, axis=1) <= 2.0).sum(axis=1)
    simulated = np.bincount(counted, minlength=8) / counted.size
    exact = new_parts(weibull(2.5), 2.0, 400, planned=0.7)
    assert exact[: simulated.size] == pytest.approx(simulated[: exact.size], abs=0.006)


def test_a_part_in_place_counts_from_its_age():
    age, edges, survival = 0.8, np.linspace(0, 0.5, 201), weibull(3)
    _, new = cells(survival, edges)
    first = ends_in_cells(survival(age + edges) / survival(np.array([age])))[None, None, :]
    counts = count_probabilities(first, new, np.array([200]))[0][0, 0, 0]
    assert counts[0] == pytest.approx(float(survival(age + 0.5) / survival(age)), rel=1e-9)


def test_positions_side_by_side_do_not_touch_each_other():
    edges, survival = np.linspace(0, 2, 81), weibull(2)
    young, new = cells(survival, edges)
    old = ends_in_cells(survival(1 + edges) / survival(np.array([1.0])))[None, None, :]
    both = count_probabilities(np.concatenate([young, old], axis=1), new, np.array([80]))[0][0]
    for place, first in enumerate((young, old)):
        alone = count_probabilities(first, new, np.array([80]))[0][0]
        assert both[0, place, : alone.shape[-1]] == pytest.approx(alone[0, 0], abs=1e-9)
    assert both.sum(axis=-1) == pytest.approx(1)


def test_uneven_cells_and_several_days_tell_the_same_as_even_ones():
    edges = np.unique(np.concatenate([np.linspace(0, 0.5, 150), np.linspace(0.5, 2, 200)]))
    first, new = cells(weibull(2), edges)
    half, whole = count_probabilities(first, new, np.array([149, edges.size - 1]))[0][:, 0, 0]
    assert whole[:4] == pytest.approx(new_parts(weibull(2), 2.0, 400)[:4], abs=1e-4)
    assert half[:2] == pytest.approx(new_parts(weibull(2), 0.5, 400)[:2], abs=1e-4)


def test_the_mean_number_of_renewals_is_that_of_the_counts():
    first, new = cells(weibull(2), np.linspace(0, 2, 101))
    table, density = count_probabilities(first, new, np.array([100]))
    counts = table[0, 0, 0]
    assert density.sum() == pytest.approx(counts @ np.arange(counts.size), rel=1e-6)
