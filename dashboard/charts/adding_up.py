"""How calls, or what they cost, add up on a boat as time goes by.

In: the rows of the pattern `recurrence`. Out: a chart: steps with their band, the number of boats watched below.
Elsewhere: the mean cumulative function (`fits`).
"""

import altair as alt
import polars as pl

from dashboard.charts.part_lives import thinned, watched_below
from dashboard.charts.theme import BAND, MEASURED, laid

HEIGHT = 260
DAYS_A_YEAR = 365.25
YEARS_TITLE = "years since the fleet was first watched"


def adding_up_chart(rows: pl.DataFrame, title: str) -> alt.LayerChart:
    """Draw the mean number (or cost) of events a boat by each time, with robust limits.

    Parameters
    ----------
    rows
        Columns age (days), at_risk (boats watched), events, mean, low, high; rising age.
    title
        Of the upright axis, with its unit.
    """
    first = pl.DataFrame({"age": [0.0], "at_risk": [rows["at_risk"][0]], "events": [0], "mean": [0.0], "low": [0.0], "high": [0.0]})
    told = pl.concat([first.cast(rows.select(first.columns).schema), rows.select(first.columns)])  # pyright: ignore[reportArgumentType]
    drawn = thinned(told).with_columns((pl.col("age") / DAYS_A_YEAR).alias("year"))
    years = list(range(int(float(drawn["year"][-1])) + 1))
    at = alt.X("year:Q").title(YEARS_TITLE).scale(zero=True, nice=False).axis(values=years, titlePadding=26, grid=False, format="d")
    base = alt.Chart(drawn).encode(x=at, tooltip=_tips())
    mean = alt.Y("mean:Q").title(title).axis(tickCount=5, format=",~r")
    band = base.mark_area(style=BAND, interpolate="step-after").encode(y=alt.Y("low:Q").title(title), y2="high:Q")
    line = base.mark_line(style=MEASURED, interpolate="step-after").encode(y=mean)
    return laid([band, line, *watched_below(drawn, "year", [float(year) for year in years], HEIGHT)], HEIGHT)


def _tips() -> list[alt.Tooltip]:
    return [
        alt.Tooltip("year:Q").title("Year").format(".2f"),
        alt.Tooltip("mean:Q").title("Mean a boat").format(",.3~g"),
        alt.Tooltip("low:Q").title("At least").format(",.3~g"),
        alt.Tooltip("high:Q").title("At most").format(",.3~g"),
        alt.Tooltip("at_risk:Q").title("Boats watched").format(","),
    ]
