"""The line of time of one boat: every call and every ticket line, a lane for each sort.

In: what was written down of the boat. Out: a chart; each sort has a lane and a shape of its own.
Elsewhere: the words of each mark (`sentences.boat`).
"""

import altair as alt
import polars as pl

from dashboard.charts.days import across_days
from dashboard.charts.labelled_rows import lines_down, words_above
from dashboard.charts.theme import ALARM, FIGURE, MEASURED, UNKNOWN, laid

LANES = {"called": "Rescue calls", "failed": "Found failed", "renewed": "Fitted and renewed", "other work": "Looked at, other work"}
LANE_HEIGHT = 56
MOST_WORDS = 6
"""Things that are named of one mark; of more, how many there are."""


def boat_line_chart(events: pl.DataFrame) -> alt.LayerChart:
    """Draw everything that was written down of a boat by its day.

    Parameters
    ----------
    events
        Columns on_date (date), lane (one of `LANES`), words (what happened). What shares a day and a lane is one mark with its number.
    """
    marks = _marks(events)
    lanes = _lanes(events)
    base = alt.Chart(marks).encode(y=lines_down("line"), x=across_days(events["on_date"]))
    drawn = [_points(base, "called", ALARM, "triangle-down", 120), _points(base, "failed", ALARM, "diamond", 90)]
    drawn += [_points(base, "renewed", MEASURED, "circle", 60), _points(base, "other work", UNKNOWN, "circle", 50)]
    several = base.transform_filter("datum.things > 1").mark_text(style=FIGURE, align="center", baseline="top", dy=8, fontSize=11)
    return laid([*words_above(lanes, "line", "line", "counts"), *drawn, several.encode(text="things:Q")], LANE_HEIGHT * len(LANES))


def _points(base: alt.Chart, lane: str, style: str, shape: str, size: int) -> alt.Chart:
    mark = base.transform_filter(f"datum.lane == '{lane}'").mark_point(style=style, shape=shape, size=size, filled=style != UNKNOWN)
    return mark.encode(tooltip=[alt.Tooltip("on_date:T").title("Day").format("%d %B %Y"), alt.Tooltip("words:N").title("What")])


def _marks(events: pl.DataFrame) -> pl.DataFrame:
    few = pl.col("words").head(MOST_WORDS).str.join("; ")
    more = pl.when(pl.len() > MOST_WORDS).then(pl.format("; and {} more", pl.len() - MOST_WORDS)).otherwise(pl.lit(""))
    grouped = events.group_by("lane", "on_date", maintain_order=True).agg((few + more).alias("words"), pl.len().alias("things"))
    return grouped.with_columns(pl.col("lane").replace_strict(LANES).alias("line")).sort("on_date")


def _lanes(events: pl.DataFrame) -> pl.DataFrame:
    counted = [events.filter(pl.col("lane") == lane).height for lane in LANES]
    return pl.DataFrame({"line": list(LANES.values()), "counts": [f"{count:,}" for count in counted]})
