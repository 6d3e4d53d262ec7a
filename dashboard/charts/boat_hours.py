"""Engine hours by date: the readings that are believed as a line, and every reading that was set aside.

In: the readings of one engine. Out: a chart. A reading set aside is a cross where it was written, or at the edge as a triangle.
Elsewhere: which readings are believed and why (`lives`).
"""

import altair as alt
import polars as pl

from dashboard.charts.days import across_days
from dashboard.charts.theme import ALARM, MEASURED, laid

HEIGHT = 260
ROOM_ABOVE = 1.1


def boat_hours_chart(readings: pl.DataFrame) -> alt.LayerChart:
    """Draw the hours of one engine.

    Parameters
    ----------
    readings
        Columns on_date (date), hours (engine hours since commissioning; as written where set aside), used (yes or no), said (where it was
        read, or why it was set aside), file and line (where it stands; may be empty).
    """
    top = _top(readings)
    told = readings.with_columns(pl.col("hours").clip(0, top).alias("drawn_h"), (pl.col("hours") > top).alias("beyond"))
    y = alt.Y("drawn_h:Q").title("engine hours").scale(domain=[0, top], nice=False)
    base = alt.Chart(told.select("on_date", "hours", "drawn_h", "beyond", "used", "said", "file", "line")).encode(
        x=across_days(readings["on_date"]), y=y, tooltip=_told()
    )
    used, aside = base.transform_filter("datum.used"), base.transform_filter("!datum.used")
    return laid(
        [
            used.mark_line(style=MEASURED, strokeWidth=1.5),
            used.mark_point(style=MEASURED, size=22, filled=True),
            aside.transform_filter("!datum.beyond").mark_point(style=ALARM, shape="cross", size=90, angle=45, filled=True),
            aside.transform_filter("datum.beyond").mark_point(style=ALARM, shape="triangle-up", size=110, filled=True),
        ],
        HEIGHT,
    )


def _top(readings: pl.DataFrame) -> float:
    """Return where the picture ends: above the highest reading that is believed; above the highest of all where none is."""
    used = readings.filter("used")
    highest = (used if used.height else readings)["hours"].max()
    return ROOM_ABOVE * float(highest or 1.0)  # pyright: ignore[reportArgumentType]


def _told() -> list[alt.Tooltip]:
    return [
        alt.Tooltip("on_date:T").title("Day").format("%d %B %Y"),
        alt.Tooltip("hours:Q").title("Engine hours").format(",.1f"),
        alt.Tooltip("said:N").title("Reading"),
        alt.Tooltip("file:N").title("File"),
        alt.Tooltip("line:Q").title("Line"),
    ]
