"""Rates of calls and failures as dots with their limits: by cause, base, model and the like, and month by month.

In: the rows of `rates`. Out: charts. Unknown stands in its own row, drawn hollow; a row whose hours are unknown has no dot and says so.
Elsewhere: the rates and their limits (`fits`), the words about them (`sentences`).
"""

from collections.abc import Sequence
from datetime import date

import altair as alt
import polars as pl

from dashboard.charts.labelled_rows import BELOW, dots_with_limits, height_of, lines_down, reach_of, words_above
from dashboard.charts.theme import ADVISED, CEILING, FITTED, HALO, MEASURED, NOTE, SPAN, UNKNOWN, laid

RATE_TITLE = "per 1,000 engine hours"
MONTHS_HEIGHT = 240
NOT_KNOWN = ("unknown", "uncoded")


def rates_chart(rows: pl.DataFrame) -> alt.LayerChart:
    """Draw a dot a row with its exact limits as a bar, the shrunken rate beneath, name and counts above.

    Parameters
    ----------
    rows
        Columns group, events (count), exposure_h (engine hours), rate, low, high, shrunken_rate (per 1,000 engine hours); as drawn.
    """
    told = rows.with_columns(_counts().alias("counts"))
    unknown, reach = pl.col("group").is_in(NOT_KNOWN), reach_of(rows, "rate", "high")
    across, tips = ("low", "rate", "high"), _told("group:N", "Row")
    layers = words_above(told, "group", "group", "counts")
    for frame, hollow in ((told.filter(~unknown), False), (told.filter(unknown), True)):
        layers += dots_with_limits(frame, "group", across, RATE_TITLE, reach, tips, hollow=hollow)
    return laid([*layers, *_shrunken(told, reach)], height_of(told))


def _shrunken(rows: pl.DataFrame, reach: float) -> list[alt.Chart]:
    """Draw the shrunken rate beneath the raw one: a small hollow diamond; none where there is none."""
    base = alt.Chart(rows.filter(pl.col("shrunken_rate").is_not_null())).encode(y=lines_down("group"), tooltip=_told("group:N", "Row"))
    mark = base.mark_point(style=ADVISED, shape="diamond", size=42, filled=False, yOffset=BELOW)
    return [mark.encode(x=alt.X("shrunken_rate:Q").scale(alt.Scale(domain=[0, reach], clamp=True, nice=True)))]


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
        *([] if pattern else [alt.Tooltip("shrunken_rate:Q").title("Shrunken").format(".3~g")]),
    ]


def monthly_rates_chart(rows: pl.DataFrame, expected: pl.DataFrame | None = None, breaks: Sequence[date] = ()) -> alt.LayerChart:
    """Draw the rate of each month with its exact limits; a bar that runs off the top is thin, a rate above it a hollow triangle.

    Parameters
    ----------
    rows
        Columns group (month as YYYY-MM), events, exposure_h, rate, low, high as in `rates_chart`; months without hours have no dot.
    expected
        Trend and season fitted to them: month (date), exposure_h and expected (events); `None`: no line.
    breaks
        Months from which causes were coded differently: an upright dashed line each.
    """
    told = rows.with_columns(pl.col("group").str.slice(0, 7).str.to_date("%Y-%m", strict=False).alias("month"))
    told = told.filter(pl.col("month").is_not_null())
    top = _top(told)
    scale = alt.Scale(domain=[0, top], clamp=True)
    low = alt.Y("low:Q").title(RATE_TITLE).scale(scale).axis(tickCount=4)
    rate = alt.Y("rate:Q").title(RATE_TITLE).scale(scale)
    well, poorly = _of_months(told, pl.col("high") <= top), _of_months(told, pl.col("high") > top)
    within, beyond = _of_months(told, pl.col("rate") <= top), _of_months(told, pl.col("rate") > top)
    layers = [
        *_breaks(breaks),
        well.mark_rule(style=SPAN, strokeWidth=3).encode(y=low, y2="high:Q"),
        poorly.mark_rule(style=SPAN, strokeWidth=1).encode(y=low, y2="high:Q"),
        within.mark_point(style=MEASURED, size=34, filled=True).encode(y=rate),
        beyond.mark_point(style=UNKNOWN, shape="triangle-up", size=60).encode(y=rate),
        *(_line(expected, scale) if expected is not None else []),
    ]
    return laid(layers, MONTHS_HEIGHT)


def _breaks(months: Sequence[date]) -> list[alt.Chart]:
    if not months:
        return []
    base = alt.Chart(pl.DataFrame({"month": list(months), "words": ["coding changed"] * len(months)})).encode(x="month:T")
    words = [
        base.mark_text(style=style, align="left", baseline="top", dx=5).encode(y=alt.value(0), text="words:N") for style in (HALO, NOTE)
    ]
    return [base.mark_rule(style=CEILING, strokeWidth=1.25, strokeDash=[5, 4]), *words]


def _line(expected: pl.DataFrame, scale: alt.Scale) -> list[alt.Chart]:
    """Draw what trend and season lead to expect; months without hours break the line."""
    told = expected.select("month", rate=pl.col("expected") / pl.col("exposure_h") * 1_000).sort("month").upsample("month", every="1mo")
    line = alt.Chart(told).mark_line(style=FITTED, clip=True).encode(x="month:T", y=alt.Y("rate:Q").title(RATE_TITLE).scale(scale))
    return [line]


def _of_months(told: pl.DataFrame, which: pl.Expr) -> alt.Chart:
    """Return the months of which something holds, on one scale of all months whether or not any is left."""
    ends = [alt.DateTime(year=day.year, month=day.month) for day in (told["month"].min(), told["month"].max())]  # pyright: ignore
    month = alt.X("month:T").title("month").scale(domain=ends).axis(format="%b %Y", tickCount=6, grid=False, labelOverlap=True)
    return alt.Chart(told.filter(which)).encode(x=month, tooltip=_told("month:T", "Month", "%B %Y"))


def _top(rows: pl.DataFrame) -> float:
    """Return where the picture ends: above the limits of every month that saw at least a quarter of the most hours."""
    usual = rows.filter(pl.col("exposure_h") >= pl.col("exposure_h").max() / 4)
    return float(usual.select(pl.max_horizontal("rate", "high").max()).item() or 1.0)
