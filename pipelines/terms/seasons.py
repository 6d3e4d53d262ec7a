"""Seasons: twelve months each, counted from the month that the settings name.

In: a day. Out: `Season`. By default a season is a calendar year; in the south one may begin in July.
Elsewhere: how an engine is used through one (`lives`), what is foretold of one (`advice`).
"""

from dataclasses import dataclass
from datetime import date, timedelta


@dataclass(frozen=True, order=True)
class Season:
    """Twelve months; `begins` and `ends` are its first and last day."""

    begins: date
    ends: date

    @property
    def name(self) -> str:
        """Its year, or its two years, as `2025` or `2025/26`."""
        first, last = self.begins.year, self.ends.year
        return str(first) if first == last else f"{first}/{last % 100:02d}"

    @property
    def days(self) -> int:
        """How many days it has."""
        return (self.ends - self.begins).days + 1

    @property
    def following(self) -> "Season":
        """The season after it."""
        return season_of(self.ends + timedelta(days=1), self.begins.month)

    @property
    def months(self) -> list[date]:
        """First days of its months."""
        counted = [self.begins.month - 1 + step for step in range(12)]
        return [date(self.begins.year + month // 12, month % 12 + 1, 1) for month in counted]


def season_of(day: date, starts: int = 1) -> Season:
    """Return the season a day lies in, seasons beginning on the first of month `starts` (1 to 12)."""
    year = day.year if day.month >= starts else day.year - 1
    begins = date(year, starts, 1)
    return Season(begins, date(year + 1, starts, 1) - timedelta(days=1))
