"""One month of work: a field a day, its jobs as a dot and a number, what is overdue as a triangle.

In: jobs by day. Out: a chart. Weeks begin on Monday; the day the list was made for has a ring.
Elsewhere: on which day a job stands (`sentences.due`).
"""

from calendar import monthrange
from datetime import date, timedelta
from typing import Any

import altair as alt
import polars as pl

from dashboard.charts.theme import ALARM, BAND, FIGURE, LABEL, MEASURED, NOW, laid

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
ROW_HEIGHT = 62
QUIET = 0.05
"""How strongly a day without jobs is tinted, beside one with jobs."""
CORNER = 0.1
"""Where the number of a day stands in its field, as a share of the field."""


def month_grid(jobs: pl.DataFrame, month: date, today: date) -> alt.LayerChart:
    """Draw one month.

    Parameters
    ----------
    jobs
        Columns day (date), jobs (how many), overdue (of them overdue), what (in words); one row a day; days of other months are left out.
    month
        Any day of the month.
    today
        The day the list was made for.
    """
    fields = (
        _fields(month).join(jobs, on="day", how="left").with_columns(pl.col("jobs", "overdue").fill_null(0), pl.col("what").fill_null(""))
    )
    told = fields.with_columns((pl.col("day") == today).alias("today"))
    base = alt.Chart(told).encode(x=_across(), y=_down(), tooltip=_told())
    busy = base.transform_filter("datum.jobs > 0")
    late = base.transform_filter("datum.overdue > 0")
    in_corner = base.encode(x=_across(CORNER), y=_down(CORNER))
    beside: dict[str, Any] = {"xOffset": -9, "yOffset": 8, "size": 130}
    layers = [
        base.mark_rect(style=BAND, opacity=QUIET),
        busy.mark_rect(style=BAND),
        in_corner.mark_text(style=FIGURE, align="left", baseline="top").encode(text="number:Q"),
        in_corner.transform_filter("datum.today").mark_point(style=NOW, shape="circle", size=330, filled=False, xOffset=7, yOffset=5),
        busy.transform_filter("datum.overdue == 0").mark_point(
            style=MEASURED, shape="circle", size=130, filled=False, xOffset=-9, yOffset=8
        ),
        late.mark_point(style=ALARM, shape="triangle-left", filled=True, **beside),
        busy.mark_text(style=LABEL, align="left", dx=4, dy=8).encode(text="jobs:Q"),
    ]
    rows = int(told["week"].n_unique())
    return laid(layers, ROW_HEIGHT * rows + 6)


def _fields(month: date) -> pl.DataFrame:
    """Every day of the month with its place in the grid."""
    first = month.replace(day=1)
    days = [first + timedelta(days=place) for place in range(monthrange(month.year, month.month)[1])]
    return pl.DataFrame(
        {
            "day": days,
            "number": [day.day for day in days],
            "weekday": [WEEKDAYS[day.weekday()] for day in days],
            "week": [(day.day + first.weekday() - 1) // 7 for day in days],
        }
    )


def _across(place: float = 0.5) -> alt.X:
    axis = alt.Axis(orient="top", labelAngle=0, grid=False, ticks=False, domain=False)
    return (
        alt.X("weekday:N", bandPosition=place)
        .title(None)
        .sort(list(WEEKDAYS))
        .scale(type="band", domain=list(WEEKDAYS), paddingInner=0.06)
        .axis(axis)
    )


def _down(place: float = 0.5) -> alt.Y:
    return alt.Y("week:O", bandPosition=place).title(None).axis(None).scale(type="band", paddingInner=0.06)


def _told() -> list[alt.Tooltip]:
    return [
        alt.Tooltip("day:T").title("Day").format("%d %B %Y"),
        alt.Tooltip("jobs:Q").title("Jobs"),
        alt.Tooltip("overdue:Q").title("Overdue"),
        alt.Tooltip("what:N").title("Work"),
    ]
