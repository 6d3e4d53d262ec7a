"""What was foretold against what came: whole seasons one below the other, every part and base in one plot, and the calibration.

In: the rows of `backtest`, its totals and its calibration. Out: charts. What a range missed is told by shape as well as by tone.
Elsewhere: the marks (`advice`), their words (`sentences.forecasts`).
"""

from typing import Any

import altair as alt
import polars as pl

from dashboard.charts.labelled_rows import height_of, lines_down, words_above
from dashboard.charts.theme import ALARM, BEYOND, HELD, MEASURED, NOW, SPAN, laid

EXPECTED, CAME = "failures foretold", "failures that came"
HEIGHT = 330


def seasons_chart(totals: pl.DataFrame) -> alt.LayerChart:
    """Draw the failures of whole seasons: foretold as a dot with its range, what came as a ring.

    Parameters
    ----------
    totals
        Columns line (the season), told (a few words), expected, low, high, actual.
    """
    base = alt.Chart(totals).encode(y=lines_down("line"), tooltip=_told("line", "Season"))
    farthest = float(totals.select(pl.max_horizontal("high", "actual").max()).item() or 1)
    across = alt.X("low:Q").title("failures").scale(domain=[0, farthest], nice=True).axis(tickCount=5)
    span = base.mark_rule(style=SPAN, invalid="filter").encode(x=across, x2="high:Q")
    dot = base.mark_point(style=MEASURED, size=70, filled=True).encode(x=alt.X("expected:Q").title("failures"))
    came = base.mark_point(style=NOW, shape="circle", size=130, filled=False).encode(x=alt.X("actual:Q").title("failures"))
    return laid([*words_above(totals, "line", "line", "told"), span, dot, came], height_of(totals))


def every_part_chart(rows: pl.DataFrame) -> alt.LayerChart:
    """Draw every part and base: across what was foretold, up what came, with the range foretold as an upright bar.

    Parameters
    ----------
    rows
        Columns line (part and base), expected, low, high, actual, missed (whether what came lies outside the range).
    """
    most = float(rows.select(pl.max_horizontal("expected", "high", "actual").max()).item() or 1)
    # Square roots, because a count wanders by the square root of what is expected: near 0 and far out are seen alike.
    scale = alt.Scale(type="sqrt", domain=[0, most], nice=True)
    base = alt.Chart(rows).encode(
        x=alt.X("expected:Q").title(EXPECTED).scale(scale).axis(tickCount=6, grid=False), tooltip=_told("line", "Part")
    )
    up = alt.Y("low:Q").title(CAME).scale(scale).axis(tickCount=6)
    span = base.mark_rule(style=SPAN, strokeWidth=3).encode(y=up, y2="high:Q")
    even = (
        alt.Chart(pl.DataFrame({"at": [0.0, most]}))
        .mark_line(style=BEYOND)
        .encode(x=alt.X("at:Q").title(EXPECTED), y=alt.Y("at:Q").title(CAME))
    )
    held, missed = (base.transform_filter(f"datum.missed == {word}").encode(y=alt.Y("actual:Q").title(CAME)) for word in ("false", "true"))
    dots = held.mark_point(style=MEASURED, size=40, filled=True)
    crosses = missed.mark_point(style=ALARM, shape="cross", size=90, filled=True)
    return laid([even, span, dots, crosses], HEIGHT)


def calibration_chart(bins: pl.DataFrame) -> alt.LayerChart:
    """Draw what share of what came fell into each tenth of its forecast, with a line at a tenth.

    Parameters
    ----------
    bins
        Columns low, high (0 to 1), share.
    """
    share = alt.Y("share:Q").title("share of what came").axis(format="%", tickCount=5).scale(zero=True)
    across: dict[str, Any] = {"x": alt.X("low:Q").title("where in its forecast it fell").axis(format="%", tickCount=5).scale(domain=[0, 1])}
    told = [alt.Tooltip("low:Q").title("From").format(".0%"), alt.Tooltip("high:Q").title("to").format(".0%")]
    base = alt.Chart(bins.with_columns(pl.lit(0.0).alias("ground"))).encode(
        **across, tooltip=[*told, alt.Tooltip("share:Q").title("Share").format(".1%")]
    )
    bars = base.mark_bar(style=HELD).encode(x2="high:Q", y=share, y2="ground:Q")
    tenth = (
        alt.Chart(pl.DataFrame({"even": [1 / max(bins.height, 1)]}))
        .mark_rule(style=BEYOND)
        .encode(y=alt.Y("even:Q").title("share of what came"))
    )
    return laid([bars, tenth], 220)


def _told(name: str, heading: str) -> list[alt.Tooltip]:
    return [
        alt.Tooltip(f"{name}:N").title(heading),
        alt.Tooltip("expected:Q").title("Foretold").format(",.1f"),
        alt.Tooltip("low:Q").title("At least"),
        alt.Tooltip("high:Q").title("At most"),
        alt.Tooltip("actual:Q").title("Came"),
    ]
