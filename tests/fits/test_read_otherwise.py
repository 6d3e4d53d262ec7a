"""How much hangs on how a renewal is read."""

import numpy as np
import polars as pl
import pytest

from pipelines.fits.ages import ages_from_lives
from pipelines.fits.read_otherwise import AS_RULED, NO_REASON, read_otherwise
from pipelines.fits.weibull import fit_weibull


def lives(*endings: tuple[str, bool], seed: int = 3) -> pl.DataFrame:
    ages = np.random.default_rng(seed).weibull(2.2, len(endings)) * 500
    failed = {"failed": 1.0, "condition": 1 / 0.85}
    return pl.DataFrame(
        {
            "life_id": [f"L{place}" for place in range(len(endings))],
            "entry_h": [0.0] * len(endings),
            "low_h": ages,
            "high_h": [age * failed[ending] if ending in failed else None for (ending, _), age in zip(endings, ages, strict=True)],
            "ending": [ending for ending, _ in endings],
            "doubtful": [doubtful for _, doubtful in endings],
        },
        schema_overrides={"high_h": pl.Float64},
    )


MIXED = lives(*[("failed", False)] * 12, *[("condition", False)] * 15, *[("planned", True)] * 6, *[("planned", False)] * 20)


def told(frame: pl.DataFrame) -> dict[str, float]:
    return dict(read_otherwise(frame, "hours", 0.85).select("reading", "scale").iter_rows())


def test_the_first_reading_is_the_fit_itself():
    first = read_otherwise(MIXED, "hours", 0.85).row(0, named=True)
    fit = fit_weibull(ages_from_lives(MIXED, "hours"))
    assert (first["reading"], first["b10"], first["scale"]) == (AS_RULED, pytest.approx(fit.b10), pytest.approx(fit.scale))


def test_a_lower_fraction_lengthens_the_life_and_one_shortens_it():
    scale = told(MIXED)
    assert scale["renewals on condition with a fraction of 1"] < scale[AS_RULED] < scale["renewals on condition with a fraction of 0.75"]


def test_unsure_renewals_read_as_failures_shorten_the_life():
    assert told(MIXED)[NO_REASON] < told(MIXED)[AS_RULED]


def test_how_many_lives_a_reading_touches_is_told():
    touched = dict(read_otherwise(MIXED, "hours", 0.85).select("reading", "lives").iter_rows())
    assert touched[NO_REASON] == 6
    assert touched["renewals on condition with a fraction of 1"] == 15


def test_the_fraction_in_force_is_not_told_twice():
    assert read_otherwise(MIXED, "hours", 0.75).height == 3


def test_where_no_reading_touches_a_life_nothing_is_told():
    assert read_otherwise(lives(*[("failed", False)] * 5), "hours", 0.85).is_empty()


def test_a_part_without_a_failure_has_readings_without_figures():
    frame = read_otherwise(lives(*[("planned", True)] * 2, *[("planned", False)] * 3), "hours", 0.85)
    assert frame["scale"].to_list()[0] is None
