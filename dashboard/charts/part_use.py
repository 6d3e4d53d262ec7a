"""What one part on a shelf will be asked for: the chance of each number of pieces, and when the shelf runs out.

In: chances by pieces with what is covered, marked numbers; chances by month. Out: charts.
Elsewhere: all parts of a shelf side by side (`shelf`), the demand itself (`advice`).
"""

from typing import Any

import altair as alt
import polars as pl

from dashboard.charts.theme import ALARM, CEILING, FIGURE, HALO, HELD, MEASURED, NOW, laid

HEIGHT, MARKS_HEIGHT = 170, 66
HALF_BAR = 0.42
MARK_STEP = 18


def part_use_chart(use: pl.DataFrame, marks: pl.DataFrame, title: str) -> alt.LayerChart:
    """Draw the chance of each number of pieces as bars; those that hand and order cover are full, the others hollow.

    Parameters
    ----------
    use
        Columns pieces (whole), chance (0 to 1), covered (true: no more than is on hand and on order), told (a few words).
    marks
        Columns pieces, words, sort (here, order at, order up to): upright strokes named above the bars; may be empty.
    title
        Of the axis of pieces.
    """
    most = max(int(use["pieces"].max() or 0), int(marks["pieces"].max() or 0))  # pyright: ignore[reportArgumentType]
    step = max(1, round(most / 12))
    # A bar is drawn from half a piece below to half a piece above: there is nothing between two pieces.
    across = alt.X("from:Q").title(title).scale(domain=[-0.5, most + 0.5], nice=False)
    across = across.axis(values=list(range(0, most + 1, step)), grid=False, format="d")
    drawn = use.with_columns(
        pl.col("pieces").sub(HALF_BAR).alias("from"), pl.col("pieces").add(HALF_BAR).alias("to"), pl.lit(0).alias("none")
    )
    base = alt.Chart(drawn).encode(
        x=across,
        x2="to:Q",
        y=alt.Y("chance:Q").title("chance").scale(zero=True).axis(format="%", tickCount=4),
        y2="none:Q",
        tooltip=[alt.Tooltip("told:N").title("Use"), alt.Tooltip("chance:Q").title("Chance").format(".1%")],
    )
    covered = base.transform_filter("datum.covered").mark_rect(style=HELD)
    short = base.transform_filter("!datum.covered").mark_rect(style=ALARM, filled=False, strokeWidth=1.5)
    return laid([covered, short, *_strokes(marks, most)], HEIGHT + MARKS_HEIGHT)


def _strokes(marks: pl.DataFrame, most: int) -> list[alt.Chart]:
    layers = []
    styles = {"here": NOW, "order at": CEILING, "order up to": MEASURED}
    for place, row in enumerate(marks.to_dicts()):
        at = alt.Chart(pl.DataFrame([row])).encode(x=alt.X("pieces:Q"))
        left = row["pieces"] < most / 2
        words: dict[str, Any] = {
            "align": "left" if left else "right",
            "baseline": "top",
            "dx": 5 if left else -5,
            "dy": 2 + MARK_STEP * place,
        }
        named = at.encode(y=alt.value(0), text="words:N")
        layers += [
            at.mark_rule(style=styles[row["sort"]], strokeDash=[] if row["sort"] == "here" else [5, 3]),
            named.mark_text(style=HALO, **words),
            named.mark_text(style=FIGURE, **words),
        ]
    return layers


def running_out_chart(months: pl.DataFrame, wanted: float) -> alt.LayerChart:
    """Draw the chance that the shelf has run out by the end of each month, against the chance that is put up with.

    Parameters
    ----------
    months
        Columns day (end of the month), chance (0 to 1), rising.
    wanted
        The wanted service level; one minus it is drawn across.
    """
    base = alt.Chart(months).encode(
        x=alt.X("day:T").title("by").axis(values=_every(months), format="%-d %b %Y", grid=False, labelOverlap="greedy"),
        y=alt.Y("chance:Q").title("chance of having run out").scale(domain=[0, 1]).axis(format="%", tickCount=5),
        tooltip=[alt.Tooltip("day:T").title("By").format("%-d %b %Y"), alt.Tooltip("chance:Q").title("Run out").format(".1%")],
    )
    bound = alt.Chart(pl.DataFrame({"level": [1 - wanted], "words": [f"put up with: {1 - wanted:.0%}"]})).encode(y="level:Q")
    said = bound.encode(x=alt.value("width"), text="words:N")
    words: dict[str, Any] = {"align": "right", "baseline": "bottom", "dy": -4}
    return laid(
        [
            bound.mark_rule(style=CEILING, strokeDash=[5, 3]),
            base.mark_line(style=MEASURED, interpolate="monotone"),
            base.mark_point(style=MEASURED, size=45, filled=True),
            said.mark_text(style=HALO, **words),
            said.mark_text(style=FIGURE, **words),
        ],
        HEIGHT + 30,
    )


def _every(months: pl.DataFrame) -> list[alt.DateTime]:
    """Return the days that are drawn, for the axis to name these and no others."""
    return [alt.DateTime(year=one.year, month=one.month, date=one.day) for one in months["day"]]
