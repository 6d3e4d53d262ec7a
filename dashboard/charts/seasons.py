"""Which months of the year are bad: the rate of each with its limits, all years together.

In: the rows of the pattern `seasons`. Out: a chart. Elsewhere: month after month (`cause_rates`), the figures (`fits`).
"""

import altair as alt
import polars as pl

from dashboard.charts.theme import HALO, MEASURED, NOTE, NOW, SPAN, UNKNOWN, laid

HEIGHT = 240
RATE_TITLE = "per 1,000 engine hours"
NAMES = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
ENOUGH = 0.1
"""The picture reaches above the limits of the months with at least this share of the hours of the fullest."""


def seasons_chart(rows: pl.DataFrame) -> alt.LayerChart:
    """Draw a dot with its exact limits for each month of the year, the mean of the year across.

    Parameters
    ----------
    rows
        Columns month_of_year (1 to 12), events, exposure_h, rate, low, high (per 1,000 engine hours). A bar that runs off the top is thin,
        a rate above it a hollow triangle.
    """
    told = rows.with_columns(pl.Series("name", [NAMES[month - 1] for month in rows["month_of_year"]], pl.String))
    usual = told.filter(pl.col("exposure_h") >= ENOUGH * pl.col("exposure_h").max())
    top = float(usual["high"].max() or 1.0)  # pyright: ignore[reportArgumentType]
    mean = 1_000 * float(rows["events"].sum()) / float(rows["exposure_h"].sum())
    month = alt.X("name:N").title("month of the year").sort(list(NAMES)).scale(domain=list(NAMES)).axis(grid=False, labelAngle=0)
    scale = alt.Scale(domain=[0, top], clamp=True)
    rate = alt.Y("rate:Q").title(RATE_TITLE).scale(scale).axis(tickCount=4)

    def of(which: pl.Expr) -> alt.Chart:
        return alt.Chart(told.filter(which)).encode(x=month, tooltip=_tips())

    low = alt.Y("low:Q").title(RATE_TITLE).scale(scale)
    return laid(
        [
            *_mean(mean),
            of(pl.col("high") <= top).mark_rule(style=SPAN).encode(y=low, y2="high:Q"),
            of(pl.col("high") > top).mark_rule(style=SPAN, strokeWidth=1).encode(y=low, y2="high:Q"),
            of(pl.col("rate") <= top).mark_point(style=MEASURED, size=60, filled=True).encode(y=rate),
            of(pl.col("rate") > top).mark_point(style=UNKNOWN, shape="triangle-up", size=60).encode(y=rate),
        ],
        HEIGHT,
    )


def _mean(mean: float) -> list[alt.Chart]:
    base = alt.Chart(pl.DataFrame({"rate": [mean], "words": ["whole year"]})).encode(y="rate:Q")
    names = [
        base.mark_text(style=style, align="left", baseline="bottom", dy=-4, dx=2).encode(x=alt.value(0), text="words:N")
        for style in (HALO, NOTE)
    ]
    return [base.mark_rule(style=NOW, strokeDash=[2, 4]), *names]


def _tips() -> list[alt.Tooltip]:
    return [
        alt.Tooltip("name:N").title("Month"),
        alt.Tooltip("events:Q").title("Events").format(","),
        alt.Tooltip("exposure_h:Q").title("Engine hours").format(",.0f"),
        alt.Tooltip("rate:Q").title("Per 1,000 h").format(".3~g"),
        alt.Tooltip("low:Q").title("At least").format(".3~g"),
        alt.Tooltip("high:Q").title("At most").format(".3~g"),
    ]
