"""What is due and when: a line a boat, a mark a job.

In: the rows of `due`. Out: a chart. Overdue jobs are filled triangles at or left of the day's line, the others hollow circles right of it.
Elsewhere: when a job falls due (`advice`).
"""

from datetime import date, timedelta

import altair as alt
import polars as pl

from dashboard.charts.labelled_rows import height_of, lines_down, words_above
from dashboard.charts.theme import ALARM, FIGURE, MEASURED, NOTE, laid

FARTHEST_BACK = timedelta(days=60)
MOST_BOATS = 15


def due_chart(rows: pl.DataFrame, today: date) -> alt.LayerChart:
    """Draw the jobs of each boat by the day they fall due, boats with most overdue first, at most `MOST_BOATS` of them.

    Parameters
    ----------
    rows
        Columns vessel_id, component, task, due_on (date), overdue (yes or no). A job overdue for more than 60 days stands at the left edge;
        jobs that would cover one another are one mark with their number.
    today
        The day the list was made for.
    """
    told = _on_lines(rows, today)
    boats = told.unique("vessel_id", maintain_order=True)
    base = alt.Chart(told).encode(y=lines_down("vessel_id"), x=_days(told, today), tooltip=_told())
    late = base.transform_filter("datum.overdue").mark_point(style=ALARM, shape="triangle-left", size=90, filled=True)
    coming = base.transform_filter("!datum.overdue").mark_point(style=MEASURED, shape="circle", size=70, filled=False)
    several = base.transform_filter("datum.jobs > 1").mark_text(style=FIGURE, align="left", dx=8).encode(text="jobs:N")
    return laid([*_today(today), *words_above(boats, "vessel_id", "vessel_id", "counts"), late, coming, several], height_of(boats))


def _on_lines(rows: pl.DataFrame, today: date) -> pl.DataFrame:
    late, coming = pl.col("overdue").sum().over("vessel_id"), (~pl.col("overdue")).sum().over("vessel_id")
    placed = rows.with_columns(
        pl.col("due_on").fill_null(today).clip(lower_bound=today - FARTHEST_BACK).alias("drawn_on"),
        pl.format("{} overdue, {} to come", late, coming).alias("counts"),
        late.alias("late"),
    )
    named = pl.format("{} {}", "task", "component")
    marks = placed.group_by("vessel_id", "drawn_on", "overdue", "counts", "late", maintain_order=True).agg(
        pl.len().alias("jobs"), named.str.join(", ").alias("what"), pl.col("due_on").min()
    )
    ordered = marks.sort(["late", "vessel_id", "drawn_on"], descending=[True, False, False])
    first = ordered["vessel_id"].unique(maintain_order=True).head(MOST_BOATS)
    return ordered.filter(pl.col("vessel_id").is_in(first.to_list()))


def _days(rows: pl.DataFrame, today: date) -> alt.X:
    last = max(rows["drawn_on"].max(), today + timedelta(days=7))  # pyright: ignore[reportArgumentType, reportCallIssue]
    first = min(rows["drawn_on"].min(), today - timedelta(days=7))  # pyright: ignore[reportArgumentType, reportCallIssue]
    ends = [alt.DateTime(year=day.year, month=day.month, date=day.day) for day in (first, last)]
    return (
        alt.X("drawn_on:T")
        .title("due on (date)")
        .scale(domain=ends, padding=8)
        .axis(format="%d %b", labelOverlap="greedy", labelFlush=False, labelSeparation=8)
    )


def _today(today: date) -> list[alt.Chart]:
    base = alt.Chart(pl.DataFrame({"drawn_on": [today], "words": [f"{today:%d %b %Y}"]})).encode(x="drawn_on:T")
    name = base.mark_text(style=NOTE, align="left", baseline="bottom", dx=4).encode(y=alt.value(-2), text="words:N")
    return [base.mark_rule(style=FIGURE, strokeWidth=1), name]


def _told() -> list[alt.Tooltip]:
    return [
        alt.Tooltip("vessel_id:N").title("Boat"),
        alt.Tooltip("what:N").title("Work"),
        alt.Tooltip("due_on:T").title("Due on").format("%d %B %Y"),
    ]
