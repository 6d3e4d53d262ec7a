import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chi2

from pipelines.errors import NoFigure
from pipelines.fits.ages import compress
from pipelines.fits.few_failures import scale_with_assumed_shape, success_run
from pipelines.fits.rates import rate_at_most
from tests.fits.published_frames import published_frame

# Success-run theorem, n = ceil(ln(1 - C) / ln R): standard figures, closed form.
RUNS = {(0.9, 0.9): 22, (0.95, 0.9): 45, (0.9, 0.95): 29, (0.95, 0.95): 59, (0.99, 0.95): 299}
RUNS |= {(0.8, 0.9): 11, (0.98, 0.9): 114, (0.99, 0.9): 230, (0.8, 0.95): 14}


@pytest.mark.parametrize(("claim", "parts"), RUNS.items())
def test_trouble_free_parts_needed_are_the_standard_figures(claim, parts):
    assert success_run(*claim) == parts


@given(st.floats(0.05, 0.999), st.floats(0.05, 0.999))
def test_that_many_parts_are_enough_and_one_fewer_is_not(reliability, confidence):
    parts = success_run(reliability, confidence)
    assert reliability**parts <= (1 - confidence) * (1 + 1e-6)
    assert reliability ** (parts - 1) > (1 - confidence) * (1 - 1e-6)


@pytest.mark.parametrize("claim", [(0, 0.9), (1, 0.9), (0.9, 0), (0.9, 1), (np.nan, 0.9)])
def test_a_claim_that_is_no_share_is_refused(claim):
    with pytest.raises(NoFigure, match="Give a share between 0 and 1"):
        success_run(*claim)


# Nelson, W. (1985), Journal of Quality Technology 17, 140-146: exact limits with an assumed shape, closed forms for
# 10 units run to 500 h and 5 to 800 h, shape 2; then with failures at 300 and 420 h.
SOUND = compress(0, [500, 800], np.inf, [10, 5])
TWO_FAILED = compress(0, [500, 800, 300, 420], [np.inf, np.inf, 300, 420], [10, 5, 1, 1])


def test_no_failures_bound_the_scale_from_below():
    answer = scale_with_assumed_shape(SOUND, 2)
    assert answer.scale is None
    assert answer.at_least == pytest.approx(1379.386365, rel=1e-9)
    one_assumed = scale_with_assumed_shape(SOUND, 2, 1 - np.exp(-1))
    assert one_assumed.at_least == pytest.approx(2387.467277, rel=1e-9)


def test_two_failures_give_the_scale_and_its_lower_limit():
    answer = scale_with_assumed_shape(TWO_FAILED, 2)
    assert (answer.scale, answer.at_least) == pytest.approx((1727.194257, 973.4887598), rel=1e-9)


def test_the_bearing_cages_with_shape_2_are_met():
    # Abernethy et al. (1983), AFWAL-TR-83-2079; closed form.
    table = published_frame("bearing_cage")
    high = np.where(table["event"].to_numpy() == 1, table["hours"].to_numpy(), np.inf)
    cages = compress(0, table["hours"], high, table["count"])
    assert scale_with_assumed_shape(cages, 2).scale == pytest.approx(12320.33662, rel=1e-7)


@given(st.lists(st.tuples(st.floats(0, 50), st.floats(1, 500), st.booleans()), min_size=1, max_size=20), st.floats(0.3, 6))
def test_the_limit_is_that_of_a_rate_on_the_bent_clock(lives, shape):
    entry, length, failed = (np.array(part) for part in zip(*lives, strict=True))
    ages = compress(entry, entry + length, np.where(failed, entry + length, np.inf))
    answer = scale_with_assumed_shape(ages, shape)
    watched = (ages.count * (ages.finish**shape - ages.entry**shape)).sum()
    assert answer.at_least**-shape == pytest.approx(rate_at_most(ages.failures, watched) / 1_000, rel=1e-6)
    assert answer.at_least == pytest.approx((2 * watched / chi2.ppf(0.95, 2 * ages.failures + 2)) ** (1 / shape), rel=1e-6)
    assert answer.scale is None or answer.at_least < answer.scale


@pytest.mark.parametrize("shape", [0, -1, np.inf, np.nan])
def test_a_shape_that_cannot_be_is_refused(shape):
    with pytest.raises(NoFigure, match="Give a number above 0"):
        scale_with_assumed_shape(SOUND, shape)


def test_failures_between_two_ages_or_no_lives_have_no_exact_scale():
    for ages in (compress(0, 3, 5), compress([], [], [])):
        with pytest.raises(NoFigure, match="no exact scale"):
            scale_with_assumed_shape(ages, 2)
