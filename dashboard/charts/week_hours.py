"""The yard's weeks: hours of work in each against the hours there are.

In: totals of weeks. Out: a chart. Elsewhere: how tasks are laid into weeks (`advice`), the lines in words (`sentences.due`).
"""

import altair as alt
import polars as pl

from dashboard.charts.labelled_rows import height_of, lines_down, words_above
from dashboard.charts.theme import CEILING, HELD, laid

HOURS = "hours of labour"


def week_hours_chart(weeks: pl.DataFrame, hours_a_week: float | None) -> alt.LayerChart:
    """Draw the hours of each week as a bar and the hours the yard has as a stroke.

    Parameters
    ----------
    weeks
        Columns line (the week), told (a few words), labour_h, jobs, slipped, past_ceiling.
    hours_a_week
        Hours of labour in a week; `None`: not limited, and no stroke is drawn.
    """
    known = weeks.with_columns(pl.lit(hours_a_week, pl.Float64).alias("hours"))
    base = alt.Chart(known).encode(y=lines_down("line"), tooltip=_told())
    bars = base.mark_bar(style=HELD, height=11).encode(x=alt.X("labour_h:Q").title(HOURS).axis(tickCount=5))
    there = base.mark_point(style=CEILING, shape="stroke", angle=90, size=260, invalid="filter").encode(x=alt.X("hours:Q").title(HOURS))
    return laid([*words_above(known, "line", "line", "told"), bars, there], height_of(known))


def _told() -> list[alt.Tooltip]:
    return [
        alt.Tooltip("line:N").title("Week"),
        alt.Tooltip("jobs:Q").title("Jobs"),
        alt.Tooltip("labour_h:Q").title("Hours of work").format(".1f"),
        alt.Tooltip("hours:Q").title("Hours there are"),
        alt.Tooltip("slipped:Q").title("Slipped from an earlier week"),
        alt.Tooltip("past_ceiling:Q").title("Past what must be kept"),
    ]
