"""Rates that borrow: exact limits where groups stand together, between the raw rate and the others' where they differ."""

import numpy as np
import pytest

from pipelines.fits.borrowed_rates import borrowed_rates


def test_groups_that_chance_tells_apart_no_better_have_the_rate_of_all_with_exact_limits():
    """Garwood (1936), Biometrika 28, table: for 10 events the central 90 % limits are 5.425 and 16.962."""
    rates = borrowed_rates([5, 5], [1.0, 1.0])
    assert rates.value == pytest.approx([5.0, 5.0])
    assert rates.low * 2 == pytest.approx([5.425, 5.425], abs=5e-4)
    assert rates.high * 2 == pytest.approx([16.962, 16.962], abs=5e-4)


def test_without_an_event_the_upper_limit_says_how_bad_it_could_be():
    rates = borrowed_rates([0, 0], [10.0, 20.0])
    assert (rates.value == 0).all()
    assert (rates.low == 0).all()
    assert rates.high == pytest.approx([-np.log(0.05) / 30] * 2)


def test_groups_that_differ_are_drawn_towards_each_other_and_one_that_was_not_watched_has_the_others_rate():
    rates = borrowed_rates([40, 2, 0, 0], [10.0, 10.0, 10.0, 0.0])
    raw = np.array([4.0, 0.2, 0.0])
    middle = 42 / 30
    assert (np.abs(rates.value[:3] - middle) <= np.abs(raw - middle)).all()
    assert rates.value[0] > rates.value[1] > rates.value[2] > 0
    assert rates.low[3] < rates.value[3] < rates.high[3]
    assert rates.high[3] / rates.low[3] > rates.high[0] / rates.low[0]


def test_where_nothing_was_watched_there_is_no_rate():
    assert np.isnan(borrowed_rates([0], [0.0]).value).all()
