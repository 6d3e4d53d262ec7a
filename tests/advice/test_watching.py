"""What runs above: told when it does, not when July is busy, not when tests fall in spring, and forgotten once it has fallen back."""

from datetime import date

import numpy as np

from pipelines.advice.watching import Stream, UseClock, Watch
from pipelines.terms.seasons import season_of

USE = dict.fromkeys(range(1, 13), 0.2) | dict.fromkeys((6, 7, 8), 3.0)


def day(*parts: int) -> float:
    return float((date(*parts) - date(1970, 1, 1)).days)


def stream(name: str, *days: float) -> Stream:
    return Stream(name, np.array(sorted(days)), np.array([[day(2022, 1, 1), day(2026, 1, 1)]]))


def every_summer(a_month: int, year: int) -> list[float]:
    return [day(year, month, 1 + 28 * step // a_month) for month in (6, 7, 8) for step in range(a_month)]


BEFORE = [one for year in (2022, 2023, 2024) for one in every_summer(2, year)]


def told(*streams: Stream, on: date = date(2025, 8, 31)) -> list[str]:
    return [one.name for one in Watch(season_of(on), on, USE).running_above(streams)[0]]


def test_four_times_as_many_is_told_and_as_many_is_not():
    usual, high = stream("usual", *BEFORE, *every_summer(2, 2025)), stream("high", *BEFORE, *every_summer(8, 2025))
    assert told(usual, high) == ["high"]


def test_the_day_it_became_too_many_is_told():
    on = date(2025, 8, 31)
    (found,), watched = Watch(season_of(on), on, USE).running_above([stream("high", *BEFORE, *every_summer(8, 2025))])
    assert date(2025, 6, 5) < found.since < date(2025, 8, 1)
    assert (found.seen, watched) == (24, 1)
    assert found.chance < 0.001


def test_tests_that_always_fall_in_spring_are_no_alarm():
    spring = [day(year, 4, one) for year in (2022, 2023, 2024, 2025) for one in range(3, 15)]
    assert not told(stream("found at the spring test", *spring), on=date(2025, 4, 20))


def test_without_half_a_season_before_nothing_is_watched():
    young = Stream("young", np.array([day(2025, 7, 1)] * 9), np.array([[day(2025, 1, 1), day(2026, 1, 1)]]))
    on = date(2025, 8, 31)
    assert Watch(season_of(on), on, USE).running_above([young]) == ([], 0)


def test_a_year_of_the_use_clock_is_a_year():
    clock = UseClock(USE)
    assert abs(clock.between(np.array([day(2024, 1, 1)]), np.array([day(2025, 1, 1)]))[0] - 366) < 6


def test_a_season_may_begin_in_july():
    season = season_of(date(2025, 3, 1), 7)
    assert (season.begins, season.ends, season.name) == (date(2024, 7, 1), date(2025, 6, 30), "2024/25")
    assert season.following.begins == date(2025, 7, 1)
    assert len(season.months) == 12
