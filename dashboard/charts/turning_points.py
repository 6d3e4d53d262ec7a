"""How far each assumption may move before the verdict is another: one bar a line, on a scale of times the value now.

In: turning points with their words. Out: a chart. Elsewhere: the figures (`advice.sensitivity`), the words (`sentences.what_if`).
"""

import altair as alt
import polars as pl

from dashboard.charts.labelled_rows import height_of, lines_down, words_above
from dashboard.charts.theme import ADVISED_SPAN, CEILING, NOW, laid

SCALE = alt.Scale(type="log", domain=[0.25, 4.0], clamp=True)


def turning_chart(rows: pl.DataFrame) -> alt.LayerChart:
    """Draw for each assumption the span over which the verdict stands, a stroke where it turns, and a ring at its value now.

    Parameters
    ----------
    rows
        Columns line, said, from, to (ends of the span), at_below, at_above (turns; empty: none), here (1), all as shares of the value now,
        and verdict_below, verdict_above.
    """
    told = [
        alt.Tooltip("line:N").title("Assumption"),
        alt.Tooltip("turns_below:Q").title("Turns below").format(",.3g"),
        alt.Tooltip("verdict_below:N").title("to"),
        alt.Tooltip("turns_above:Q").title("Turns above").format(",.3g"),
        alt.Tooltip("verdict_above:N").title("to"),
    ]
    base = alt.Chart(rows).encode(y=lines_down("line"), tooltip=told)
    across = alt.X("from:Q").title("times the value now").scale(SCALE).axis(values=[0.25, 0.5, 1, 2, 4])
    spans = base.mark_rule(style=ADVISED_SPAN).encode(x=across, x2="to:Q")
    turns = [_mark(base, column, style=CEILING, shape="stroke", angle=90, size=260) for column in ("at_below", "at_above")]
    here = _mark(base, "here", style=NOW, shape="circle", size=95, filled=False)
    return laid([*words_above(rows, "line", "line", "said"), spans, *turns, here], height_of(rows))


def _mark(base: alt.Chart, column: str, **look: object) -> alt.Chart:
    return base.mark_point(invalid="filter", **look).encode(x=alt.X(f"{column}:Q").title("times the value now").scale(SCALE))  # pyright: ignore[reportArgumentType]
