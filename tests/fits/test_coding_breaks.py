from datetime import date

import numpy as np
import polars as pl
import pytest

from pipelines.fits.coding_breaks import CodingBreak, coding_breaks

MONTHS = [date(year, month, 1) for year in range(2019, 2025) for month in range(4, 11)]
CHANGED = 25


def logbook(seed: int, changes: bool, calls_a_month: float = 40, drift: float = 0.3, causes: int = 10) -> pl.DataFrame:
    """Six seasons of monthly counts; one cause drifts, and from May 2022 on four in five of one cause may be written as another."""
    draw = np.random.default_rng(seed)
    hours = draw.uniform(2_000, 4_000, len(MONTHS))
    share = np.sort(draw.dirichlet(np.ones(causes)))
    expected = np.outer(hours, share) * calls_a_month / 3_000
    expected[:, 0] *= np.exp(drift * (np.arange(len(MONTHS)) / 7 - 3))
    if changes:
        moved = 0.8 * expected[CHANGED:, -1]
        expected[CHANGED:, -1] -= moved
        expected[CHANGED:, -2] += moved
    counts = draw.poisson(expected)
    rows = [(month, f"cause {at}", int(counts[row, at]), hours[row]) for row, month in enumerate(MONTHS) for at in range(causes)]
    return pl.DataFrame(rows, schema={"month": pl.Date, "name": str, "events": int, "exposure_h": float}, orient="row")


@pytest.mark.parametrize("seed", range(5))
def test_a_word_written_for_another_is_found_in_its_month_and_told(seed):
    (found,) = coding_breaks(logbook(seed, changes=True, calls_a_month=120))
    assert abs(MONTHS.index(found.month) - CHANGED) <= 1
    assert "cause 9" in found.fewer
    assert "cause 8" in found.more
    assert found.p_value <= 0.01
    assert found.told.startswith(f"From {found.month:%Y-%m} on 'cause ")
    assert "looks like a change of coding" in found.told


def test_a_drift_and_chance_alone_are_hardly_ever_taken_for_a_change():
    found = [coding_breaks(logbook(seed, changes=False, drift=0.4)) for seed in range(100, 160)]
    assert sum(bool(one) for one in found) <= 2


def test_one_cause_that_drops_alone_is_no_change_of_coding():
    book = logbook(4, changes=False, calls_a_month=150)
    solved = (pl.col("name") == "cause 9") & (pl.col("month") >= MONTHS[CHANGED])
    assert coding_breaks(book.with_columns(events=pl.when(solved).then(pl.col("events") // 6).otherwise("events"))) == ()


def test_two_changes_are_found_in_order():
    book = logbook(2, changes=True, calls_a_month=200)
    late = pl.col("month") >= MONTHS[36]
    swapped = {"cause 6": "cause 7", "cause 7": "cause 6"}
    again = book.with_columns(name=pl.when(late).then(pl.col("name").replace(swapped)).otherwise("name"))
    again = again.with_columns(events=pl.when((pl.col("name") == "cause 7") & late).then(pl.col("events") * 5).otherwise("events"))
    again = again.with_columns(events=pl.when((pl.col("name") == "cause 6") & late).then(pl.col("events") // 5).otherwise("events"))
    found = coding_breaks(again)
    assert [one.month for one in found] == sorted(one.month for one in found)
    assert any("cause 6" in one.fewer and abs(MONTHS.index(one.month) - 36) <= 1 for one in found)


def test_too_short_or_too_thin_a_logbook_shows_no_change():
    book = logbook(1, changes=True)
    assert coding_breaks(book.filter(pl.col("month") < date(2020, 1, 1))) == ()
    assert coding_breaks(book.filter(pl.col("name") == "cause 9")) == ()
    assert coding_breaks(book.with_columns(events=pl.lit(0))) == ()
    assert coding_breaks(book.clear()) == ()
    assert coding_breaks(book.with_columns(exposure_h=pl.lit(0.0))) == ()


def test_a_change_in_words_lists_every_cause():
    told = CodingBreak(date(2023, 4, 1), ("belt broken",), ("engine trouble", "overheated"), 0.001).told
    assert told.startswith("From 2023-04 on 'belt broken' was logged less and 'engine trouble' and 'overheated' more")
