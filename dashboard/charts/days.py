"""The scale of days across a picture, from the first to the last day that is drawn, whichever marks a lane happens to have.

In: a column of days. Out: the scale. Elsewhere: the scale of what is due, which begins at the day of the list (`due_dates`).
"""

from datetime import date, timedelta

import altair as alt
import polars as pl

LEAST = timedelta(days=30)


def across_days(days: pl.Series) -> alt.X:
    """Return the scale of the column that `days` is; a single day, or none, has a month around it."""
    known = days.drop_nulls()
    if known.is_empty():
        return alt.X(f"{days.name}:T").title(None)
    first, last = known.to_list()[known.arg_min() or 0], known.to_list()[known.arg_max() or 0]
    spread = LEAST if last - first < LEAST else timedelta(0)
    ends = [_day(day) for day in (first - spread, last + spread)]
    scale = alt.Scale(domain=ends, padding=8)
    return alt.X(f"{days.name}:T").title(None).scale(scale).axis(format="%b %Y", tickCount=6, labelOverlap="greedy", labelSeparation=8)


def _day(day: date) -> alt.DateTime:
    return alt.DateTime(year=day.year, month=day.month, date=day.day)
