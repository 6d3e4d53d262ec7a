"""Seasons: twelve months from the month that the settings name, and a month that is none refused."""

from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.errors import WrongSettings
from pipelines.terms.seasons import season_of
from pipelines.terms.settings import read_settings


@given(st.dates(date(1990, 1, 1), date(2080, 12, 31)), st.integers(1, 12))
def test_every_day_lies_in_one_season_of_twelve_months(day: date, starts: int):
    season = season_of(day, starts)
    assert season.begins <= day <= season.ends
    assert season.days in (365, 366)
    assert season.months[0] == season.begins
    assert season.following.begins == season.ends + timedelta(days=1)


def test_a_season_is_named_by_its_year_or_its_two():
    assert season_of(date(2025, 8, 1)).name == "2025"
    assert season_of(date(2025, 8, 1), 7).name == "2025/26"


@pytest.mark.parametrize("month", ["0", "13", "1.5"])
def test_a_month_that_is_none_is_refused(tmp_path: Path, month: str):
    file = tmp_path / "settings.toml"
    file.write_text(f"season_starts = {month}\n")
    with pytest.raises(WrongSettings, match="season_starts"):
        read_settings(file)
