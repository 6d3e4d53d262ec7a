"""Engines whose meter shows the same reading after reading: stopped, laid up, or not read.

In: every reading that was written, use through the year, days of trips and calls. Out: the engines whose last readings stand still over a
time in which they would have been run.
Elsewhere: readings of a stopped meter that are set aside from hours (`lives`).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import polars as pl

LEAST_HOURS = 15.0
"""Engine hours that would have been run meanwhile by the engine's own use; fewer say nothing."""
LEAST_HOURS_IDLE = 50.0
"""The same where neither a trip nor a call was logged meanwhile: then it may well be laid up."""
SAME_H = 0.1


@dataclass(frozen=True)
class Standing:
    """An engine whose hours stand still: since when, at what reading, hours expected meanwhile, and trips and calls logged."""

    engine_id: str
    since: date
    last_read: date
    meter_h: float
    expected_h: float
    outings: int


def standing_still(readings: pl.DataFrame, use: pl.DataFrame, outings: pl.DataFrame) -> list[Standing]:
    """Find the engines whose last readings stand still.

    Parameters
    ----------
    readings
        engine_id, on_date, meter_h: every reading that was written.
    use
        engine_id, month_of_year, hours_per_day.
    outings
        engine_id, on_date: days of trips and calls.
    """
    found = []
    ahead = {key[0]: group for key, group in use.group_by("engine_id")}
    out = {key[0]: group["on_date"] for key, group in outings.group_by("engine_id")}
    for (engine, *_), group in readings.sort("engine_id", "on_date").group_by("engine_id", maintain_order=True):
        first, last, meter = _plateau(group["on_date"].to_list(), group["meter_h"].to_list())
        if first == last or engine not in ahead:
            continue
        days = pl.date_range(first, last, "1d", closed="right", eager=True).dt.month().value_counts()
        months = pl.DataFrame({"month_of_year": days[:, 0].cast(pl.Int64), "days": days[:, 1]})
        expected = float(
            months.join(ahead[engine].with_columns(pl.col("month_of_year").cast(pl.Int64)), on="month_of_year")
            .select((pl.col("days") * pl.col("hours_per_day")).sum())
            .item()
            or 0.0
        )
        went = out.get(engine)
        times = 0 if went is None else int(((went > first) & (went <= last)).sum())
        if expected >= (LEAST_HOURS if times else LEAST_HOURS_IDLE):
            found.append(Standing(str(engine), first, last, meter, expected, times))
    return found


def _plateau(days: Sequence[date], meter: Sequence[float]) -> tuple[date, date, float]:
    """Return the first and last day of the readings at the end that show the same, and what they show."""
    place = len(meter) - 1
    while place > 0 and abs(meter[place - 1] - meter[-1]) <= SAME_H:
        place -= 1
    return days[place], days[-1], meter[-1]
