"""The kit of a type of boat: tows spared against money, and all its tows by fault, those that the kit covers told apart.

In: the curve and the gaps of a kit. Out: charts.
Elsewhere: the kit itself (`advice`).
"""

import altair as alt
import polars as pl

from dashboard.charts.labelled_rows import height_of, lines_down, words_above
from dashboard.charts.part_lives import thinned
from dashboard.charts.theme import ADVISED, HELD, MEASURED, UNKNOWN_SPAN, laid

LINE_WIDTH = 250
MOST_DOTS = 40


def kit_curve_chart(curve: pl.DataFrame, spend: float, currency: str = "") -> alt.LayerChart:
    """Draw the most tows that each sum of money spares as steps, with the kit that is shown as a diamond.

    Parameters
    ----------
    curve
        Columns spend (money for one boat), tows_stopped (a boat and season), rising.
    spend
        What the kit that is shown costs.
    currency
        ISO 4217 code; empty: "money".
    """
    told = [
        alt.Tooltip("spend:Q").title("Money").format(",.2f"),
        alt.Tooltip("tows_stopped:Q").title("Tows spared").format(".3f"),
    ]
    base = alt.Chart(thinned(curve)).encode(
        x=alt.X("spend:Q").title(f"for the kit of one boat ({currency or 'money'})").scale(zero=True).axis(tickCount=5, grid=False),
        y=alt.Y("tows_stopped:Q").title("tows spared, a boat and season").scale(zero=True).axis(tickCount=5),
        tooltip=told,
    )
    line, dots = base.mark_line(style=MEASURED, interpolate="step-after"), base.mark_point(style=MEASURED, size=22, filled=True)
    here = base.transform_filter(f"abs(datum.spend - {spend}) < 0.005").mark_point(style=ADVISED, shape="diamond", size=150, filled=True)
    return laid([line, dots, here] if curve.height <= MOST_DOTS else [line, here], 240)


def kit_tows_chart(rows: pl.DataFrame) -> alt.LayerChart:
    """Draw the tows of each fault as bars: covered ones full, the others in outline, what never came to light grey.

    Parameters
    ----------
    rows
        Columns line (the fault), words (what covers it), share (0 to 1), covered, unknown (true or false).
    """
    told = [
        alt.Tooltip("line:N").title("Fault"),
        alt.Tooltip("share:Q").title("Of all tows").format(".1%"),
        alt.Tooltip("covered_by:N").title("Covered by"),
    ]
    base = alt.Chart(rows).encode(y=lines_down("line"), x=alt.X("share:Q").title("of all tows").axis(format="%", tickCount=5), tooltip=told)
    covered = base.transform_filter("datum.covered").mark_bar(style=ADVISED, height=9, filled=True)
    open_ = base.transform_filter("!datum.covered && !datum.unknown").mark_bar(style=HELD, height=9)
    unknown = base.transform_filter("datum.unknown").mark_bar(style=UNKNOWN_SPAN, height=9, filled=False, strokeWidth=1.5, opacity=1)
    return laid([*words_above(rows, "line", "line", "words", LINE_WIDTH), covered, open_, unknown], height_of(rows))
