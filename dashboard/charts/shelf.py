"""What stands on the shelf against what will be needed, and what more money would buy.

In: the rows of `stock` and its budget curve. Out: charts.
Elsewhere: the demand and the order (`advice`).
"""

import altair as alt
import polars as pl

from dashboard.charts.labelled_rows import height_of, lines_down, words_above
from dashboard.charts.part_lives import thinned
from dashboard.charts.theme import CEILING, HELD, MEASURED, SPAN, laid

PIECES = "pieces"
LINE_WIDTH = 270
MOST_DOTS = 30


def shelf_chart(rows: pl.DataFrame) -> alt.LayerChart:
    """Draw what is on the shelf as a bar, the likely use as a line with its range, and the level at which to order.

    Parameters
    ----------
    rows
        Columns line (the part and its base), order (a few words), on_hand, mean_demand, demand_low, demand_high, reorder_point (pieces).
    """
    base = alt.Chart(rows).encode(y=lines_down("line"), tooltip=_told())
    held = base.mark_bar(style=HELD, height=9).encode(x=alt.X("on_hand:Q").title(PIECES).axis(tickCount=5, tickMinStep=1))
    span = base.mark_rule(style=SPAN, strokeWidth=2, strokeOpacity=1, invalid="filter").encode(
        x=alt.X("demand_low:Q").title(PIECES), x2="demand_high:Q"
    )
    use = base.mark_point(style=MEASURED, size=55, filled=True, invalid="filter").encode(x=alt.X("mean_demand:Q").title(PIECES))
    order = base.mark_point(style=CEILING, shape="stroke", angle=90, size=260, invalid="filter").encode(
        x=alt.X("reorder_point:Q").title(PIECES)
    )
    return laid([*words_above(rows, "line", "line", "order", LINE_WIDTH), held, span, use, order], height_of(rows))


def _told() -> list[alt.Tooltip]:
    return [
        alt.Tooltip("line:N").title("Part"),
        alt.Tooltip("on_hand:Q").title("On the shelf"),
        alt.Tooltip("mean_demand:Q").title("Expected use").format(".1f"),
        alt.Tooltip("demand_low:Q").title("At least"),
        alt.Tooltip("demand_high:Q").title("At most"),
        alt.Tooltip("reorder_point:Q").title("Order at"),
        alt.Tooltip("order:N").title("Now"),
    ]


def budget_chart(curve: pl.DataFrame, currency: str = "") -> alt.LayerChart:
    """Draw the chance of having every part that is asked for against what is spent, as steps.

    Parameters
    ----------
    curve
        Columns spend (money), service_level (0 to 1), rising.
    currency
        ISO 4217 code; empty: "money".
    """
    told = [
        alt.Tooltip("spend:Q").title("Spend").format(",.0f"),
        alt.Tooltip("service_level:Q").title("In stock when asked for").format(".1%"),
    ]
    base = alt.Chart(thinned(curve)).encode(
        x=alt.X("spend:Q").title(f"spent now ({currency or 'money'})").scale(zero=True).axis(tickCount=5, grid=False, format=",.0f"),
        y=alt.Y("service_level:Q").title("in stock when asked for").scale(domain=[0, 1]).axis(format="%", tickCount=5),
        tooltip=told,
    )
    line, dots = base.mark_line(style=MEASURED, interpolate="step-after"), base.mark_point(style=MEASURED, size=22, filled=True)
    return laid([line, dots] if curve.height <= MOST_DOTS else [line], 240)
