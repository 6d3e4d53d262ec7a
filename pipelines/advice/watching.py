"""Causes and parts that run above what was to be expected of this season, told with a stated chance of a false alarm.

In: days of events, stretches watched, use through the year. Out: `Running`, one a cause or part that is
above. A day counts by how much the fleet is used in its month and by how many such events earlier years had in it, so that a busy July or
the tests of spring are no alarm. The chance of any false alarm over all that is watched, in a whole season, is shared evenly and spent as
the season goes by. What has fallen back to where it might well be is told no longer.
Elsewhere: the test (`fits.running_above`), which events (`flow.alarms`), early failures of a batch (`early_groups`).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipelines.advice.age_replacement import Array
from pipelines.errors import NoFigure
from pipelines.fits.running_above import Known, boundary
from pipelines.terms.seasons import Season

FALSE_ALARM = 0.05
"""Chance that a season in which nothing changed has any alarm at all among the causes and parts watched."""
WANDERING = 0.15
"""Relative standard deviation of a rate from season to season that is nothing to be alarmed at: weather, crews, luck of the bookings."""
LEAST_BEFORE = 0.5
"""Seasons of use that must have been watched before; less knows too little to foretell from."""
CALENDAR_EVENTS = 20.0
"""Events whose worth the fleet's use has in the calendar of a cause or part, beside its own earlier events."""
FALLEN_BACK = 0.05
"""Once so many are this likely by now, an alarm is over."""
_HALF = 0.5
_EPOCH = date(1970, 1, 1)


@dataclass(frozen=True)
class Stream:
    """One thing that is counted.

    Attributes
    ----------
    name
        Cause or part.
    events
        Days of its events, as days since 1970.
    watched
        Shape (n, 2): first and last day of each stretch watched, as days since 1970.
    """

    name: str
    events: Array
    watched: Array


@dataclass(frozen=True)
class Running:
    """One thing that runs above: since which day, how many were seen by now and expected, and the chance of so many at one look."""

    name: str
    since: date
    seen: int
    expected: float
    chance: float


@dataclass(frozen=True)
class Watch:
    """A season watched up to a day, with the use of its months: {month of the year: engine hours a day}, on any scale."""

    season: Season
    as_of: date
    use: Mapping[int, float]

    def running_above(self, streams: Sequence[Stream], false_alarm: float = FALSE_ALARM) -> tuple[list[Running], int]:
        """Return what runs above, and how many streams could be watched."""
        clocks = [self._clock(stream) for stream in streams]
        told = [(stream, self._known(stream, clock), clock) for stream, clock in zip(streams, clocks, strict=True)]
        watched = [(stream, known, clock) for stream, known, clock in told if known is not None]
        above = [self._above(stream, known, clock, false_alarm / len(watched)) for stream, known, clock in watched]
        return [one for one in above if one is not None], len(watched)

    def _clock(self, stream: Stream) -> "UseClock":
        """Return the calendar of a stream: the fleet's use, and the months of its own events before the season."""
        before = stream.events[stream.events < _number(self.season.begins)]
        months = np.bincount(before.astype("datetime64[D]").astype("datetime64[M]").astype(int) % 12, minlength=12)
        use = np.array([self.use.get(month, 0.0) for month in range(1, 13)])
        share = use / use.sum() if use.sum() > 0 else np.full(12, 1 / 12)
        return UseClock(dict(enumerate(CALENDAR_EVENTS * share + months, start=1)))

    def _known(self, stream: Stream, clock: "UseClock") -> Known | None:
        """Return what was known of a stream's rate before the season; `None`: too little."""
        start = _number(self.season.begins)
        before = float(clock.between(stream.watched[:, 0], np.minimum(stream.watched[:, 1], start)).sum())
        here = self._exposures(stream, clock).sum()
        if here <= 0 or stream.watched.size == 0:
            return None
        length = float(clock.between(np.array([start]), np.array([_number(self.season.ends) + 1.0]))[0])
        if before < LEAST_BEFORE * length:
            return None
        return Known(float((stream.events < start).sum()) + _HALF, before).doubted(WANDERING)

    def _looks(self) -> list[tuple[float, float]]:
        """First day of each month of the season that has begun, and of the month after it."""
        months = [_number(month) for month in self.season.months] + [_number(self.season.ends) + 1.0]
        return [(first, last) for first, last in pairwise(months) if first <= _number(self.as_of)]

    def _exposures(self, stream: Stream, clock: "UseClock") -> Array:
        """Exposure of each month begun; the present month is taken whole, at what was watched of it so far."""
        made = []
        for first, last in self._looks():
            until = min(last, _number(self.as_of) + 1.0)
            held = clock.between(np.maximum(stream.watched[:, 0], first), np.minimum(stream.watched[:, 1], until)).sum()
            made.append(float(held) * (last - first) / (until - first))
        return np.array(made)

    def _shares(self, clock: "UseClock") -> Array:
        """Share of the season's use that is over by the end of each month begun."""
        start, end = _number(self.season.begins), _number(self.season.ends) + 1.0
        ends = np.array([last for _, last in self._looks()])
        return clock.between(np.full(ends.size, start), ends) / clock.between(np.array([start]), np.array([end]))

    def _above(self, stream: Stream, known: Known, clock: "UseClock", may_spend: float) -> Running | None:
        exposures = self._exposures(stream, clock)
        looks = self._looks()
        try:
            alarm_at = boundary(known, exposures, may_spend * self._shares(clock)).alarm_at
        except NoFigure:
            return None
        here = np.sort(stream.events[(stream.events >= looks[0][0]) & (stream.events <= _number(self.as_of))])
        since = next((day for day in _reached(here, alarm_at, looks)), None)
        if since is None:
            return None
        until = _number(self.as_of) + 1.0
        so_far = exposures.copy()
        so_far[-1] *= (until - looks[-1][0]) / (looks[-1][1] - looks[-1][0])
        exposure = float(so_far.sum())
        chance = known.chance_of(here.size, exposure)
        if chance > FALLEN_BACK:
            return None
        day = _EPOCH + timedelta(days=int(since))
        return Running(stream.name, day, here.size, known.expected(exposure), chance)


class UseClock:
    """Counts days by how much the fleet is used in their month; a day of the mean month counts one."""

    def __init__(self, use: Mapping[int, float]) -> None:
        """Take the weight of a day in each month; without any, every day counts alike, and an idle month counts a tenth."""
        hours = np.array([use.get(month, 0.0) for month in range(1, 13)])
        weight = np.maximum(hours / hours.mean(), 0.1) if hours.sum() > 0 else np.ones(12)
        weight = weight / weight.mean()
        days = np.arange(np.datetime64("1990-01-01"), np.datetime64("2080-01-01"))
        months = days.astype("datetime64[M]").astype(int) % 12
        self._first = int(days[0].astype(int))
        self._run = np.concatenate([[0.0], np.cumsum(weight[months])])

    def between(self, first: Array, last: Array) -> Array:
        """Return what runs from one day to another; 0 where the second is not after the first."""
        return np.maximum(self._at(last) - self._at(first), 0.0)

    def _at(self, day: Array) -> Array:
        return np.interp(np.asarray(day, dtype=float) - self._first, np.arange(self._run.size), self._run)


def days_of(column: pl.Series) -> Array:
    """Return days as days since 1970; not a number where empty."""
    return column.cast(pl.Date).cast(pl.Int32).cast(pl.Float64).fill_null(np.nan).to_numpy()


def _number(day: date) -> float:
    return float((day - _EPOCH).days)


def _reached(events: Array, alarm_at: NDArray[np.int64], looks: Sequence[tuple[float, float]]) -> list[float]:
    """Days on which the count reached the boundary of their month."""
    return [
        float(day)
        for place, day in enumerate(events, start=1)
        for count, (first, last) in zip(alarm_at, looks, strict=True)
        if first <= day < last and place >= count
    ]
