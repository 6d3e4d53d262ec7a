"""Failures on Weibull paper, on which a Weibull is a straight line and its slope the shape.

In: the points and the fitted line that stand behind a row of `fits`. Out: a chart with limits of both.
Elsewhere: the same as a falling curve (`part_lives`), the estimates (`fits`).
"""

import math

import altair as alt
import polars as pl

from dashboard.charts.part_lives import AGE_TITLES, FINE
from dashboard.charts.theme import BEYOND, FITTED, HALO, MEASURED, NOTE, SPAN, laid

HEIGHT = 320
SHARES = (0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 0.8, 0.95, 0.99)
FAILED = "failed by that age (Weibull scale)"


def paper_chart(points: pl.DataFrame, line: pl.DataFrame | None, seen_to: float, clock: str) -> alt.LayerChart:
    """Draw failures as dots with their limits, age on a logarithmic scale, share failed on the Weibull scale ln(-ln(1 - share)).

    Parameters
    ----------
    points
        Columns age (above 0), failed, low, high (0 to 1).
    line
        The fitted Weibull: age, surviving, low, high; `None`: no line.
    seen_to
        Last age seen: the line is dashed beyond it.
    clock
        "hours" or "months".
    """
    dots = points.with_columns(_height("failed"), _height("low"), _height("high"))
    first = float(dots["age"].min()) * 0.8  # pyright: ignore[reportArgumentType]
    last = float(line["age"][-1]) if line is not None else float(dots["age"].max()) * 1.1  # pyright: ignore[reportArgumentType]
    marks = _marks(points)
    age = alt.X("age:Q").title(f"{AGE_TITLES[clock]}, logarithmic").scale(type="log", domain=[first, last], nice=False)
    age = age.axis(grid=False, tickCount=5, format="~r", labelOverlap=True)
    scale = alt.Scale(domain=[_at(marks[0]), _at(marks[-1])], nice=False, zero=False)
    axis = alt.Axis(values=[_at(share) for share in marks], labelExpr=_labels(marks))
    base = alt.Chart(dots).encode(x=age, tooltip=_tips())
    height = alt.Y("at_failed:Q").title(FAILED).scale(scale).axis(axis)
    layers = [
        base.mark_rule(style=SPAN, strokeWidth=2, clip=True).encode(y=alt.Y("at_low:Q").title(FAILED).scale(scale), y2="at_high:Q"),
        base.mark_point(style=MEASURED, size=30, filled=True, clip=True).encode(y=height),
    ]
    return laid(layers + (_lines(line, seen_to, first, scale) if line is not None else []), HEIGHT)


def _at(share: float) -> float:
    return math.log(-math.log1p(-share))


def _height(column: str) -> pl.Expr:
    inner = pl.col(column).clip(1e-6, 1 - 1e-6)
    return (-(1 - inner).log()).log().alias(f"at_{column}")


def _marks(points: pl.DataFrame) -> list[float]:
    """Return the shares of the axis: from below the lowest dot to above the highest."""
    low, high = float(points["failed"].min()), float(points["failed"].max())  # pyright: ignore[reportArgumentType]
    below = max((share for share in SHARES if share <= low), default=SHARES[0])
    above = min((share for share in SHARES if share >= max(high, 2 * below)), default=SHARES[-1])
    return [share for share in SHARES if below <= share <= above]


def _labels(shares: list[float]) -> str:
    """Return the words of the axis as a Vega expression: at each height the share failed."""
    told = [f"abs(datum.value - ({_at(share):.6f})) < 1e-4 ? '{100 * share:g} %'" for share in shares]
    return " : ".join([*told, "''"])


def _lines(line: pl.DataFrame, seen_to: float, first: float, scale: alt.Scale) -> list[alt.Chart]:
    shares = line.filter(pl.col("age") >= first).select(
        "age", failed=1 - pl.col("surviving"), low=1 - pl.col("high"), high=1 - pl.col("low")
    )
    told = shares.with_columns(_height("failed"), _height("low"), _height("high"))
    parts = ((told.filter(pl.col("age") <= seen_to), FITTED), (told.filter(pl.col("age") >= seen_to), BEYOND))

    def at(column: str) -> alt.Y:
        return alt.Y(f"{column}:Q").title(FAILED).scale(scale)

    fine = [
        alt.Chart(told).mark_line(style=FITTED, strokeWidth=1, strokeDash=FINE, clip=True).encode(x="age:Q", y=at(f"at_{end}"))
        for end in ("low", "high")
    ]
    whole = [alt.Chart(part).mark_line(style=style, clip=True).encode(x="age:Q", y=at("at_failed")) for part, style in parts]
    middle = told[told.height // 3].select("age", "at_failed", words=pl.lit("fitted Weibull"))
    name = alt.Chart(middle).encode(x="age:Q", y=at("at_failed"), text="words:N")
    return [*fine, *whole, *(name.mark_text(style=style, align="right", dx=-10, dy=-8) for style in (HALO, NOTE))]


def _tips() -> list[alt.Tooltip]:
    return [
        alt.Tooltip("age:Q").title("Age").format(",.0f"),
        alt.Tooltip("failed:Q").title("Failed by then").format(".1%"),
        alt.Tooltip("low:Q").title("At least").format(".1%"),
        alt.Tooltip("high:Q").title("At most").format(".1%"),
    ]
