"""What parts die of by each age: causes stacked on one another, so that their sum is all that failed.

In: the cumulative incidence that stands behind a row of `fits`. Out: charts: the stack, and each cause with its limits.
Bands are told apart by their place and their name, not by a colour each.
Elsewhere: the estimate (`fits`), all causes together (`part_lives`).
"""

import altair as alt
import polars as pl

from dashboard.charts.labelled_rows import dots_with_limits, height_of, reach_of, words_above
from dashboard.charts.part_lives import AGE_TITLES, thinned
from dashboard.charts.theme import BAND, HALO, LABEL, MEASURED, laid

HEIGHT = 300
MOST_CAUSES = 5
OTHERS = "all others"
TITLE = "failed by that age"
APART = 0.075
"""Names stand at least this share of the height apart."""


def endings_chart(rows: pl.DataFrame, clock: str) -> alt.LayerChart:
    """Draw the share failed from each cause by each age, stacked, the greatest lowest.

    Parameters
    ----------
    rows
        Columns cause, age, incidence (0 to 1); every cause at every age. Beyond the `MOST_CAUSES` greatest, causes are taken together.
    clock
        "hours" or "months".
    """
    stacked = _stacked(rows)
    ends = stacked.filter(pl.col("age") == pl.col("age").max())
    top = 1.08 * float(ends["until"].max())  # pyright: ignore[reportArgumentType]
    age = alt.X("age:Q").title(AGE_TITLES[clock]).scale(zero=True, nice=False).axis(grid=False, tickCount=5)
    share = alt.Scale(domain=[0, top], nice=False)
    layers = []
    for place, cause in enumerate(ends["cause"]):
        base = alt.Chart(stacked.filter(pl.col("cause") == cause)).encode(x=age, tooltip=_tips())
        upper = alt.Y("until:Q").title(TITLE).scale(share).axis(format=".0%", tickCount=5)
        shade = 0.34 if place % 2 == 0 else 0.14
        layers.append(base.mark_area(style=BAND, interpolate="step-after", opacity=shade).encode(y=upper, y2="since:Q"))
        layers.append(base.mark_line(style=MEASURED, interpolate="step-after", strokeWidth=1.25).encode(y=upper))
    return laid(layers + _names(ends, top, share), HEIGHT)


def _stacked(rows: pl.DataFrame) -> pl.DataFrame:
    """Return each cause's band as `since` to `until`, the greatest cause first."""
    greatest = rows.group_by("cause").agg(pl.col("incidence").max()).sort(["incidence", "cause"], descending=[True, False])["cause"]
    kept = greatest.head(MOST_CAUSES if greatest.len() > MOST_CAUSES + 1 else MOST_CAUSES + 1).to_list()
    order = {cause: place for place, cause in enumerate([*kept, OTHERS])}
    named = rows.with_columns(pl.when(pl.col("cause").is_in(kept)).then("cause").otherwise(pl.lit(OTHERS)).alias("cause"))
    summed = named.group_by("cause", "age").agg(pl.col("incidence").sum())
    thin = thinned(summed.select("age").unique().sort("age"))
    ordered = summed.join(thin, on="age").with_columns(pl.col("cause").replace_strict(order).alias("place")).sort("age", "place")
    until = pl.col("incidence").cum_sum().over("age")
    return ordered.with_columns(until.alias("until"), (until - pl.col("incidence")).alias("since"))


def _names(ends: pl.DataFrame, top: float, share: alt.Scale) -> list[alt.Chart]:
    """Write each cause at the right end of its band, moved up where two would stand in one another."""
    heights: list[float] = []
    for since, until in ends.select("since", "until").iter_rows():
        heights.append(max((since + until) / 2, heights[-1] + APART * top if heights else 0.0))
    over = max(heights[-1] - (1 - APART / 2) * top, 0.0)
    told = ends.select("age", "cause").with_columns(pl.Series("height", [height - over for height in heights], pl.Float64))
    base = alt.Chart(told).encode(x=alt.value("width"), y=alt.Y("height:Q").scale(share), text="cause:N")
    return [base.mark_text(style=style, align="right", dx=-6, limit=220, fontSize=13) for style in (HALO, LABEL)]


def ending_limits_chart(rows: pl.DataFrame, clock: str) -> alt.LayerChart:
    """Draw the share failed from each cause by the last age of the stack, with its limits, one line a cause, the greatest first.

    Parameters
    ----------
    rows
        Columns cause, age, events, incidence, low, high.
    clock
        "hours" or "months".
    """
    last = rows.filter(pl.col("age") == pl.col("age").max()).drop("events")
    told = last.join(rows.group_by("cause").agg(pl.col("events").sum()), on="cause").sort("incidence", descending=True)
    told = told.with_columns(pl.format("{} failed", pl.col("events").cast(pl.Int64)).alias("counts"))
    told = told.with_columns(pl.col("low", "incidence", "high") * 100)
    title = f"% {TITLE}, {float(rows['age'].max()):,.0f} {AGE_TITLES[clock][5:-1]}"  # pyright: ignore[reportArgumentType]
    layers = words_above(told, "cause", "cause", "counts")
    layers += dots_with_limits(told, "cause", ("low", "incidence", "high"), title, reach_of(told, "incidence", "high"), _limit_tips())
    return laid(layers, height_of(told))


def _tips() -> list[alt.Tooltip]:
    return [
        alt.Tooltip("cause:N").title("Cause"),
        alt.Tooltip("age:Q").title("By age").format(",.0f"),
        alt.Tooltip("incidence:Q").title("Failed from it").format(".1%"),
    ]


def _limit_tips() -> list[alt.Tooltip]:
    told = {"incidence": "Failed from it, %", "low": "At least", "high": "At most"}
    return [alt.Tooltip("cause:N").title("Cause"), *(alt.Tooltip(f"{name}:Q").title(words).format(".1f") for name, words in told.items())]
