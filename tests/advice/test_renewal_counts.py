from pathlib import Path

import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.advice.counts import poisson
from pipelines.advice.renewal_counts import count_probabilities, life_masses
from tests.advice.made import unhurried

PUBLISHED = Path(__file__).parents[1] / "published"
NEVER = 1e9


def new_parts(survival, span, steps, planned=NEVER):
    """Probabilities of 0, 1, 2 ... renewals in a span that begins with a new part."""
    step = span / (steps + 0.5)
    surviving = survival((np.arange(steps + 1) + 0.5) * step)[None, :]
    masses = life_masses(surviving, round(planned / step))
    return count_probabilities(masses[:, None, :], masses)[0, 0]


def extrapolated(survival, span, steps):
    """Richardson's rule: the error falls with the square of the step."""
    coarse, fine = new_parts(survival, span, steps), new_parts(survival, span, 2 * steps)
    size = max(coarse.size, fine.size)
    coarse, fine = (np.pad(counts, (0, size - counts.size)) for counts in (coarse, fine))
    ratio = ((2 * steps + 0.5) / (steps + 0.5)) ** 2
    return (ratio * fine - coarse) / (ratio - 1)


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
    age, span, steps = 0.8, 0.5, 200
    step = span / (steps + 0.5)
    edges = (np.arange(steps + 1) + 0.5) * step
    survival = weibull(3)
    first = life_masses((survival(age + edges) / survival(np.array([age])))[None, :], round(NEVER))
    counts = count_probabilities(first[:, None, :], life_masses(survival(edges)[None, :], round(NEVER)))[0, 0]
    assert counts[0] == pytest.approx(float(survival(age + span) / survival(age)), rel=1e-9)


def test_positions_side_by_side_do_not_touch_each_other():
    edges = (np.arange(81) + 0.5) * 2.0 / 80.5
    new = life_masses(weibull(2)(edges)[None, :], round(NEVER))
    old = life_masses((weibull(2)(1 + edges) / weibull(2)(np.array([1.0])))[None, :], round(NEVER))
    both = count_probabilities(np.stack([new, old], axis=1), new)
    for place, first in enumerate((new, old)):
        alone = count_probabilities(first[:, None, :], new)
        assert both[0, place, : alone.shape[-1]] == pytest.approx(alone[0, 0], abs=1e-9)
    assert both.sum(axis=-1) == pytest.approx(1)
