"""Rates of calls and failures as dots with their limits: by cause, base, model and the like, and month by month.

In: the rows of `rates`. Out: charts. Unknown stands in its own row, drawn hollow; a row whose hours are unknown has no dot and says so.
Elsewhere: the rates and their limits (`fits`), the words about them (`sentences`).
"""

import altair as alt
import polars as pl

from dashboard.charts.labelled_rows import dots_with_limits, height_of, reach_of, words_above
from dashboard.charts.theme import MEASURED, SPAN, UNKNOWN, laid

RATE_TITLE = "per 1,000 engine hours"
NOT_KNOWN = ("unknown", "uncoded")


def rates_chart(rows: pl.DataFrame) -> alt.LayerChart:
    """Draw a dot a row with its exact limits as a bar, name and counts above it.

    Parameters
    ----------
    rows
        Columns group, events (count), exposure_h (engine hours), rate, low, high (per 1,000 engine hours); drawn in the order given.
    """
    told = rows.with_columns(_counts().alias("counts"))
    unknown, reach = pl.col("group").is_in(NOT_KNOWN), reach_of(rows, "rate", "high")
    across, tips = ("low", "rate", "high"), _told("group:N", "Row")
    layers = words_above(told, "group", "group", "counts")
    for frame, hollow in ((told.filter(~unknown), False), (told.filter(unknown), True)):
        layers += dots_with_limits(frame, "group", across, RATE_TITLE, reach, tips, hollow=hollow)
    return laid(layers, height_of(told))


def _counts() -> pl.Expr:
    hours = pl.col("exposure_h").map_elements(lambda hours: f"in {hours:,.0f} h", return_dtype=pl.String)
    return pl.format("{} {}", "events", hours.fill_null("(hours unknown)"))


def _told(shorthand: str, title: str, pattern: str = "") -> list[alt.Tooltip]:
    name = alt.Tooltip(shorthand).title(title)
    return [
        name.format(pattern) if pattern else name,
        alt.Tooltip("events:Q").title("Events").format(","),
        alt.Tooltip("exposure_h:Q").title("Engine hours").format(",.0f"),
        alt.Tooltip("rate:Q").title("Per 1,000 h").format(".3~g"),
        alt.Tooltip("low:Q").title("At least").format(".3~g"),
        alt.Tooltip("high:Q").title("At most").format(".3~g"),
    ]


def monthly_rates_chart(rows: pl.DataFrame) -> alt.LayerChart:
    """Draw the rate of each month with its exact limits; what lies above the picture runs off it or is a hollow triangle.

    Parameters
    ----------
    rows
        Columns group (month as YYYY-MM), events, exposure_h, rate, low, high as in `rates_chart`; months without hours have no dot.
    """
    told = rows.with_columns(pl.col("group").str.slice(0, 7).str.to_date("%Y-%m").alias("month"))
    top = _top(told)
    scale = alt.Scale(domain=[0, top], clamp=True)
    month = alt.X("month:T").title("month").axis(format="%b %Y", tickCount=6, grid=False, labelOverlap=True)
    base = alt.Chart(told).encode(x=month, tooltip=_told("month:T", "Month", "%B %Y"))
    low = alt.Y("low:Q").title(RATE_TITLE).scale(scale).axis(tickCount=4)
    bars = base.mark_rule(style=SPAN, invalid="filter").encode(y=low, y2="high:Q")
    rate = alt.Y("rate:Q").title(RATE_TITLE).scale(scale)
    dots = (
        base.mark_point(style=MEASURED, size=34, filled=True).encode(y=rate).transform_filter(f"isValid(datum.rate) && datum.rate <= {top}")
    )
    beyond = base.mark_point(style=UNKNOWN, shape="triangle-up", size=60).encode(y=rate).transform_filter(f"datum.rate > {top}")
    return laid([bars, dots, beyond], 200)


def _top(rows: pl.DataFrame) -> float:
    """Return where the picture ends: above the limits of every month that saw at least a tenth of the most hours."""
    usual = rows.filter(pl.col("exposure_h") >= pl.col("exposure_h").max() / 10)
    return float(usual.select(pl.max_horizontal("rate", "high").max()).item() or 1.0)
