"""The intervals side by side: what is advised, what is done now, what the maker allows, one line a part.

In: the rows of `intervals` with a word for each. Out: a chart. Shapes tell the three apart, not only colour.
Elsewhere: the advice (`advice`), its words (`sentences`).
"""

from typing import Any

import altair as alt
import polars as pl

from dashboard.charts.labelled_rows import height_of, lines_down, words_above
from dashboard.charts.theme import ADVISED, ADVISED_SPAN, CEILING, NOW, laid

UNITS = {"hours": ("h", "engine hours"), "months": ("months", "months")}


def intervals_chart(rows: pl.DataFrame, clock: str) -> alt.LayerChart:
    """Draw advised, present and largest allowed interval of each row on one scale.

    Parameters
    ----------
    rows
        Columns line (the part), advice (a few words), renew_h, current_h, limit_h, range_h as [low, high], and the same in months.
        A range without an end has no upper bound; it is drawn to the end of the picture.
    clock
        "hours" or "months": which of them is drawn. A row with none of them has its words only.
    """
    unit, words = UNITS[clock]
    low, high = (pl.col(f"range_{unit}").list.get(place, null_on_oob=True) for place in (0, 1))
    marks = [f"{name}_{unit}" for name in ("renew", "current", "limit")]
    farthest = rows.select(pl.max_horizontal(high.max(), low.max(), *(pl.col(name).max() for name in marks))).item() or 1.0
    told = rows.with_columns(low.alias("low"), pl.when(low.is_not_null()).then(high.fill_null(farthest)).alias("high"))
    title = f"interval ({words})"
    base = alt.Chart(told).encode(y=lines_down("line"), tooltip=_told(unit))
    across = alt.X("low:Q").title(title).scale(domain=[0, farthest], nice=True).axis(tickCount=5)
    spans = base.mark_rule(style=ADVISED_SPAN, invalid="filter").encode(x=across, x2="high:Q")
    drawn = [
        _mark(base, f"limit_{unit}", title, style=CEILING, shape="stroke", angle=90, size=260),
        _mark(base, f"current_{unit}", title, style=NOW, shape="circle", size=95, filled=False),
        _mark(base, f"renew_{unit}", title, style=ADVISED, shape="diamond", size=110, filled=True),
    ]
    return laid([*words_above(told, "line", "line", "advice"), spans, *drawn], height_of(told))


def _mark(base: alt.Chart, column: str, title: str, **look: Any) -> alt.Chart:
    return base.mark_point(invalid="filter", **look).encode(x=alt.X(f"{column}:Q").title(title))


def _told(unit: str) -> list[alt.Tooltip]:
    return [
        alt.Tooltip("line:N").title("Part"),
        alt.Tooltip("advice:N").title("Advice"),
        alt.Tooltip(f"renew_{unit}:Q").title("Advised").format(",.0f"),
        alt.Tooltip("low:Q").title("Supported from").format(",.0f"),
        alt.Tooltip("high:Q").title("to").format(",.0f"),
        alt.Tooltip(f"current_{unit}:Q").title("Now").format(",.0f"),
        alt.Tooltip(f"limit_{unit}:Q").title("Maker's limit").format(",.0f"),
    ]
