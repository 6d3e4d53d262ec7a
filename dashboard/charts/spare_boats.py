"""Boats out of use at once, month by month, and the spare boats that replace them.

In: the rows of `spare_boats` of one group with words. Out: a chart.
Elsewhere: the expected number and its limits (`advice`), the words of a month (`sentences.spare_boats`).
"""

import altair as alt
import polars as pl

from dashboard.charts.labelled_rows import height_of, lines_down, words_above
from dashboard.charts.theme import CEILING, HELD, SPAN, laid

AT_ONCE = "boats at once"


def spare_boats_chart(months: pl.DataFrame) -> alt.LayerChart:
    """Draw the expected number of boats down as a bar with its limits, and the spare boats needed as an upright stroke.

    Parameters
    ----------
    months
        Columns line (the month), told (a few words), boats_down, low, high, spares_needed (boats), chance_enough (0 to 1), boat_days_lost.
    """
    most = float(months.select(pl.max_horizontal("high", "spares_needed").max()).item() or 1)
    base = alt.Chart(months).encode(y=lines_down("line"), tooltip=_told())
    across = alt.X("boats_down:Q").title(AT_ONCE).scale(domain=[0, most], nice=True).axis(tickCount=5)
    bars = base.mark_bar(style=HELD, height=11).encode(x=across)
    limits = base.mark_rule(style=SPAN, strokeWidth=2, strokeOpacity=1).encode(x=alt.X("low:Q").title(AT_ONCE), x2="high:Q")
    needed = base.mark_point(style=CEILING, shape="stroke", angle=90, size=260).encode(x=alt.X("spares_needed:Q").title(AT_ONCE))
    return laid([*words_above(months, "line", "line", "told"), bars, limits, needed], height_of(months))


def _told() -> list[alt.Tooltip]:
    return [
        alt.Tooltip("line:N").title("Month"),
        alt.Tooltip("boats_down:Q").title("Down at once, expected").format(".2f"),
        alt.Tooltip("low:Q").title("At least").format(".2f"),
        alt.Tooltip("high:Q").title("At most").format(".2f"),
        alt.Tooltip("spares_needed:Q").title("Spare boats"),
        alt.Tooltip("chance_enough:Q").title("Enough with a chance of").format(".1%"),
        alt.Tooltip("boat_days_lost:Q").title("Boat-days lost without any").format(".1f"),
    ]
