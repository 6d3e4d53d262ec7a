import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.errors import NoFigure
from pipelines.fits.ages import Ages, ages_by_group, ages_from_lives, ages_from_table, compress, together

INF = np.inf


def rows(ages: Ages) -> list[tuple[float, float, float, float]]:
    return list(zip(ages.entry, ages.low, ages.high, ages.count, strict=True))


def test_equal_lives_become_one_row_with_a_count():
    assert rows(compress([0, 0, 0], [3, 3, 5], [3, 3, INF])) == [(0, 3, 3, 2), (0, 5, INF, 1)]


def test_counts_of_equal_rows_add_up():
    assert rows(compress(0, [3, 3], [3, 3], [2, 5])) == [(0, 3, 3, 7)]


def test_lives_are_failures_interval_censored_and_suspended():
    ages = compress([0, 0, 2, 0], [3, 4, 5, 0], [3, 6, INF, 7], [1, 2, 3, 4])
    assert (ages.lives, ages.failures, ages.interval_censored, ages.suspended, ages.delayed) == (10, 1, 6, 3, 3)


def test_a_life_of_zero_length_is_dropped_and_counted():
    ages = compress([0, 4, 0], [0, 4, 6], [INF, 4, 6], [1, 2, 1])
    assert (rows(ages), ages.zero_length) == ([(0, 6, 6, 1)], 3)


def test_a_life_that_failed_before_its_first_inspection_is_kept():
    assert rows(compress(0, 0, 8)) == [(0, 0, 8, 1)]


def test_an_interval_begins_no_earlier_than_the_watch():
    assert rows(compress(5, 0, 8)) == [(5, 5, 8, 1)]


@pytest.mark.parametrize(
    ("entry", "low", "high", "told"),
    [
        (6, 5, INF, "entry: 6.0. It came under observation after it had ended"),
        (6, 5, 5, "It came under observation after it had ended"),
        (0, 5, 4, "high: 4.0. It failed before the age it had reached"),
        (0, np.nan, INF, "low: nan. It is a number from 0 up"),
        (0, INF, INF, "low: inf. It is a number from 0 up"),
        (-1, 5, INF, "entry: -1.0. It is a number from 0 up"),
        (0, 5, np.nan, "high: nan. Leave it empty if the life had not failed"),
    ],
)
def test_a_life_that_cannot_be_is_refused_with_its_value_and_a_way_out(entry, low, high, told):
    with pytest.raises(NoFigure, match="life 2, ") as refused:
        compress([0, entry], [1, low], [1, high])
    assert told in str(refused.value)


def test_many_faults_are_told_at_once():
    with pytest.raises(NoFigure, match=r"life 1, low: -1.0; life 2, low: -1.0; life 3, low: -1.0 and 4 more\."):
        compress(0, np.full(7, -1.0), INF)


def test_lives_of_unknown_age_are_left_out_and_counted():
    frame = pl.DataFrame(
        {
            "life_id": ["a", "b", "c"],
            "entry_h": [0.0, None, 0.0],
            "low_h": [10.0, None, 20.0],
            "high_h": [10.0, None, None],
            "entry_months": [0.0, 0.0, 3.0],
            "low_months": [1.0, 2.0, 5.0],
            "high_months": [1.0, None, 6.0],
        }
    )
    hours, months = ages_from_lives(frame, "hours"), ages_from_lives(frame, "months")
    assert (rows(hours), hours.unknown_age) == ([(0, 10, 10, 1), (0, 20, INF, 1)], 1)
    assert (rows(months), months.unknown_age) == ([(0, 1, 1, 1), (0, 2, INF, 1), (3, 5, 6, 1)], 0)


def test_a_faulty_life_of_the_ledger_is_named():
    frame = pl.DataFrame({"life_id": ["E7|impeller|1"], "entry_h": [30.0], "low_h": [20.0], "high_h": [None]})
    with pytest.raises(NoFigure, match=r"E7\|impeller\|1, entry: 30.0"):
        ages_from_lives(frame, "hours")


def test_a_table_from_outside_needs_only_low():
    assert rows(ages_from_table(pl.DataFrame({"low": [4, 4, 9]}))) == [(0, 4, INF, 2), (0, 9, INF, 1)]


def test_a_table_from_outside_is_read_from_text():
    table = pl.DataFrame({"low": ["0", " 3.5", "4"], "high": ["5", "3.5", "NA"], "entry": ["", "1", ""], "count": ["1", "2", ""]})
    assert rows(ages_from_table(table)) == [(0, 0, 5, 1), (0, 4, INF, 1), (1, 3.5, 3.5, 2)]


@pytest.mark.parametrize(
    ("table", "told"),
    [
        ({"age": [1]}, "no column `low`"),
        ({"low": [1.0, None]}, "row 2, low: None"),
        ({"low": ["1", "12:40"]}, "row 2, low: '12:40'. Give a number such as 412.5"),
        ({"low": [1], "count": [1.5]}, "row 1, count: 1.5. A count is a whole number"),
        ({"low": [1], "count": [-2]}, "row 1, count: -2.0"),
    ],
)
def test_a_wrong_table_is_refused_with_its_row(table, told):
    with pytest.raises(NoFigure) as refused:
        ages_from_table(pl.DataFrame(table))
    assert told in str(refused.value)


def test_groups_are_read_apart_and_faults_keep_their_row():
    table = pl.DataFrame({"low": [1, 2, 3], "high": [1, None, 3], "group": ["b", "a", "b"]})
    groups = ages_by_group(table)
    assert {group: rows(ages) for group, ages in groups.items()} == {"a": [(0, 2, INF, 1)], "b": [(0, 1, 1, 1), (0, 3, 3, 1)]}
    with pytest.raises(NoFigure, match="row 3, entry"):
        ages_by_group(table.with_columns(entry=pl.Series([0, 0, 9])))


def test_a_table_without_groups_is_one_group():
    assert list(ages_by_group(pl.DataFrame({"low": [1]}))) == [None]


def test_parts_put_together_keep_what_was_left_out():
    whole = together([compress(0, [0, 3], INF), compress(0, 3, INF)])
    assert (rows(whole), whole.zero_length) == ([(0, 3, INF, 2)], 1)
    assert together([]).lives == 0


def test_failures_put_in_the_middle_or_turned_into_suspensions():
    ages = compress([0, 2, 0], [3, 4, 5], [3, 6, INF])
    assert rows(ages.at_middles()) == [(0, 3, 3, 1), (0, 5, INF, 1), (2, 5, 5, 1)]
    assert rows(ages.as_suspended()) == [(0, 3, INF, 1), (0, 5, INF, 1), (2, 4, INF, 1)]


def test_lives_seen_after_an_age_enter_there():
    seen = compress([0, 0, 5, 0, 0], [3, 4, 9, 3, 2], [3, INF, 9, 6, 6]).seen_after(3)
    assert sorted(rows(seen)) == [(3, 3, 6, 1), (3, 4, INF, 1), (5, 9, 9, 1)]


@given(st.lists(st.tuples(st.floats(0, 1e6), st.floats(1e-3, 1e6), st.floats(0, 1e6), st.booleans()), max_size=30))
def test_no_life_is_lost_and_order_does_not_matter(lives):
    entry = [life[0] for life in lives]
    low = [life[0] + life[1] for life in lives]
    high = [INF if life[3] else life[0] + life[1] + life[2] for life in lives]
    ages = compress(entry, low, high)
    assert ages.lives + ages.zero_length == len(lives)
    assert rows(ages) == rows(compress(entry[::-1], low[::-1], high[::-1]))
