"""How readily a part of each age fails.

In: the hazard that stands behind a row of `fits`. Out: a chart with its band. Elsewhere: the estimate (`fits`).
"""

import altair as alt
import polars as pl

from dashboard.charts.part_lives import AGE_TITLES
from dashboard.charts.theme import BAND, MEASURED, NOW, laid

HEIGHT = 300
UNITS = {"hours": (1_000.0, "failures per 1,000 hours of a part that age"), "months": (100.0, "failures per 100 months of a part that age")}


def hazard_chart(rows: pl.DataFrame, clock: str) -> alt.LayerChart:
    """Draw the hazard by age with its posterior band, and its mean over these ages across.

    Parameters
    ----------
    rows
        Columns age, hazard, low, high (failures per hour or month of a part still running), rising age.
    clock
        "hours" or "months".
    """
    times, title = UNITS[clock]
    told = rows.with_columns(pl.col("hazard", "low", "high") * times)
    top = 1.05 * min(float(told["high"].max()), 3 * float(told["hazard"].max()))  # pyright: ignore[reportArgumentType]
    scale = alt.Scale(domain=[0, top], clamp=True)
    age = alt.X("age:Q").title(AGE_TITLES[clock]).scale(zero=True, nice=False).axis(grid=False, tickCount=5)
    base = alt.Chart(told).encode(x=age, tooltip=_tips())
    band = base.mark_area(style=BAND, clip=True).encode(y=alt.Y("low:Q").title(title).scale(scale), y2="high:Q")
    line = base.mark_line(style=MEASURED, clip=True).encode(y=alt.Y("hazard:Q").title(title).scale(scale).axis(tickCount=5))
    mean = alt.Chart(told.select(hazard=pl.col("hazard").mean())).mark_rule(style=NOW, strokeDash=[2, 4]).encode(y="hazard:Q")
    return laid([band, mean, line], HEIGHT)


def _tips() -> list[alt.Tooltip]:
    return [
        alt.Tooltip("age:Q").title("Age").format(",.0f"),
        alt.Tooltip("hazard:Q").title("Hazard").format(".3~g"),
        alt.Tooltip("low:Q").title("At least").format(".3~g"),
        alt.Tooltip("high:Q").title("At most").format(".3~g"),
    ]
