"""Rows whose name stands above its mark: the layout of every list that is drawn, readable at 360 pixels.

In: a frame with one row a line. Out: the scale down the page, and layers of words, dots and bars on the lines.
The name is not beside the mark, so a long one takes no width from the picture on a telephone.
Elsewhere: which rows and figures are drawn (`cause_rates`, `part_lives`, `renewal_intervals`, `shelf`, `due_dates`).
"""

from collections.abc import Sequence

import altair as alt
import polars as pl

from dashboard.charts.theme import FIGURE, HALO, LABEL, MEASURED, SPAN, UNKNOWN, UNKNOWN_SPAN

LINE_HEIGHT = 42
LABEL_WIDTH = 225
BELOW = 9
"""Pixels by which a second mark of a row stands beneath the first."""
REACH = 3.0
"""A picture reaches to this times its largest dot; a limit beyond that runs off it."""


def lines_down(name: str) -> alt.Y:
    """Return the scale down the page, one line a row of column `name`, in the order of the frame, without an axis."""
    return alt.Y(f"{name}:N").sort(None).axis(None).scale(type="band", paddingInner=0.3, paddingOuter=0.35)


def height_of(frame: pl.DataFrame) -> int:
    """Return the height in pixels that the rows of `frame` need."""
    return LINE_HEIGHT * max(frame.height, 1) + 8


def words_above(frame: pl.DataFrame, line: str, left: str, right: str, limit: int = LABEL_WIDTH) -> list[alt.Chart]:
    """Write columns `left` (cut at `limit` pixels) and `right` at the edges, above the mark of the row named by column `line`."""
    base = alt.Chart(frame).encode(y=lines_down(line), tooltip=[alt.Tooltip(f"{left}:N").title(" "), alt.Tooltip(f"{right}:N").title(" ")])
    name = base.encode(x=alt.value(0), text=f"{left}:N")
    figure = base.encode(x=alt.value("width"), text=f"{right}:N")
    return [
        name.mark_text(style=HALO, align="left", baseline="bottom", dy=-6, limit=limit, fontSize=14),
        name.mark_text(style=LABEL, align="left", baseline="bottom", dy=-6, limit=limit),
        figure.mark_text(style=HALO, align="right", baseline="bottom", dy=-6),
        figure.mark_text(style=FIGURE, align="right", baseline="bottom", dy=-6),
    ]


def reach_of(frame: pl.DataFrame, middle: str, high: str) -> float:
    """Return where a picture of dots with limits ends: at the largest limit, but not far beyond the largest dot."""
    largest, farthest = (float(frame[name].max() or 0.0) for name in (middle, high))  # pyright: ignore[reportArgumentType]
    return min(farthest, REACH * largest) or farthest or 1.0


def dots_with_limits(
    frame: pl.DataFrame,
    line: str,
    across: tuple[str, str, str],
    title: str,
    reach: float,
    told: Sequence[alt.Tooltip],
    *,
    hollow: bool = False,
) -> list[alt.Chart]:
    """Draw a dot at the middle of each row and a bar between its limits.

    Parameters
    ----------
    frame
        One row a line; rows whose middle is null have no dot, rows without both limits no bar.
    line
        Column that names the line.
    across
        Columns low, middle, high, on one scale that begins at 0.
    title
        Of the axis, with its unit.
    reach
        Where the scale ends; a bar beyond it runs to the edge.
    told
        What a touch on the mark tells.
    hollow
        Draw the dot hollow and grey: what it stands for is not known.
    """
    low, middle, high = across
    base = alt.Chart(frame).encode(y=lines_down(line), tooltip=list(told))
    scale = alt.Scale(domain=[0, reach], clamp=True, nice=True)
    bars = base.mark_rule(style=UNKNOWN_SPAN if hollow else SPAN, invalid="filter")
    dots = base.mark_point(style=UNKNOWN if hollow else MEASURED, size=70, filled=not hollow, invalid="filter")
    return [
        bars.encode(x=alt.X(f"{low}:Q").title(title).scale(scale).axis(tickCount=5), x2=f"{high}:Q"),
        dots.encode(x=alt.X(f"{middle}:Q").title(title).scale(scale)),
    ]
