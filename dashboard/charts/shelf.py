"""What stands on the shelf against what will be needed, and what more money would buy.

In: the rows of `stock` and its budget curve. Out: charts.
Elsewhere: the demand and the order (`advice`).
"""

from typing import Any

import altair as alt
import polars as pl

from dashboard.charts.labelled_rows import height_of, lines_down, words_above
from dashboard.charts.part_lives import thinned
from dashboard.charts.theme import ADVISED, CEILING, FIGURE, HALO, HELD, MEASURED, SPAN, laid

PIECES = "pieces"
LINE_WIDTH = 270
MOST_DOTS = 30
BEYOND_CURVE = 1.5


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


def budget_chart(curve: pl.DataFrame, currency: str = "", spent: float | None = None, lists: pl.DataFrame | None = None) -> alt.LayerChart:
    """Draw the chance of having every part that is asked for against what is spent, as steps, with the budget and plain rules marked.

    Parameters
    ----------
    curve
        Columns spend (money), service_level (0 to 1), rising.
    currency
        ISO 4217 code; empty: "money".
    spent
        The budget that is looked at, drawn upright; `None`: none is.
    lists
        Columns list (the name of a plain rule), spend, service_level: crosses beside the curve; `None`: none are drawn.
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
    shown = [line, dots] if curve.height <= MOST_DOTS else [line]
    return laid([*shown, *_budget(spent), *_rules(lists, float(curve["spend"].max() or 0.0))], 280)  # pyright: ignore[reportArgumentType]


def _budget(spent: float | None) -> list[alt.Chart]:
    at = alt.Chart(pl.DataFrame({"spend": [spent]})).encode(x="spend:Q")
    return [] if spent is None else [at.mark_rule(style=ADVISED, strokeWidth=2)]


def _rules(lists: pl.DataFrame | None, reach: float) -> list[alt.Chart]:
    """Draw plain rules as crosses with their names, those that lie beyond the curve left out."""
    if lists is None or lists.is_empty():
        return []
    inside = lists.filter(pl.col("spend") <= max(reach, 1.0) * BEYOND_CURVE)
    base = alt.Chart(inside).encode(x="spend:Q", y="service_level:Q", tooltip=[alt.Tooltip("list:N").title("Rule")])
    far = float(inside["spend"].max() or 0.0) / 2  # pyright: ignore[reportArgumentType]
    named = [part for left in (True, False) for part in _named(base.encode(text="list:N"), far, left=left)]
    cross = base.mark_point(style=CEILING, shape="cross", size=110, filled=True, angle=45)
    return [cross, *named]


def _named(base: alt.Chart, far: float, *, left: bool) -> list[alt.Chart]:
    """Write the names of crosses on the side where there is room: at the right of those in the left half."""
    chosen = base.transform_filter(f"datum.spend {'<' if left else '>='} {far}")
    words: dict[str, Any] = {"align": "left" if left else "right", "baseline": "top", "dx": 8 if left else -8, "dy": 6}
    return [chosen.mark_text(style=HALO, **words), chosen.mark_text(style=FIGURE, **words)]
