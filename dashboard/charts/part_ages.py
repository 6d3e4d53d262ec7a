"""How old each part of a boat is against the interval in force: a line a part, the interval as a stroke.

In: the parts that are fitted now. Out: a chart. Past the stroke the mark is a filled triangle; before it a dot.
Elsewhere: which interval is in force (`advice`).
"""

import altair as alt
import polars as pl

from dashboard.charts.labelled_rows import height_of, lines_down, words_above
from dashboard.charts.theme import ALARM, CEILING, MEASURED, SPAN, laid

FARTHEST = 2.0
"""Twice the interval; what is older stands at the edge."""


def part_ages_chart(parts: pl.DataFrame) -> alt.LayerChart:
    """Draw how much of its interval each part has run.

    Parameters
    ----------
    parts
        Columns line (name of the part), age (its age and interval in words), used (share of its interval; 1: due). One row a line.
    """
    told = parts.with_columns(
        pl.col("used").clip(0, FARTHEST).alias("drawn"), (pl.col("used") >= 1).alias("over"), pl.lit(0.0).alias("new")
    )
    scale = alt.Scale(domain=[0, FARTHEST], nice=False)
    across = alt.X("drawn:Q").title("share of the interval that is used").scale(scale).axis(format="%", values=[0, 0.5, 1, 1.5, 2])
    base = alt.Chart(told).encode(y=lines_down("line"), x=across, tooltip=_told())
    due = (
        alt.Chart(told).mark_tick(style=CEILING, thickness=2, height=14).encode(y=lines_down("line"), x=alt.datum(1.0, type="quantitative"))
    )
    return laid(
        [
            base.mark_rule(style=SPAN).encode(x2="new:Q"),
            due,
            base.transform_filter("!datum.over").mark_point(style=MEASURED, size=70, filled=True),
            base.transform_filter("datum.over").mark_point(style=ALARM, shape="triangle-right", size=90, filled=True),
            *words_above(told, "line", "line", "age", limit=190),
        ],
        height_of(told),
    )


def _told() -> list[alt.Tooltip]:
    return [
        alt.Tooltip("line:N").title("Part"),
        alt.Tooltip("age:N").title("Age"),
        alt.Tooltip("used:Q").title("Of its interval").format(".0%"),
    ]
