"""What an interval costs: money per position and year against the age at which the part is renewed.

In: the cost curve of a component and its row of `intervals`. Out: a chart with its band; marks are named where they stand.
Elsewhere: the costs (`advice`).
"""

from dataclasses import dataclass
from typing import Any

import altair as alt
import polars as pl

from dashboard.charts.part_lives import AGE_TITLES, thinned
from dashboard.charts.theme import ADVISED, BAND, CEILING, FIGURE, HALO, MEASURED, NOTE, NOW, SUPPORTED, laid

HEIGHT = 300
FIRST_NAME, NAME_STEP = 12, 17
RIGHT_HALF = 0.55
COST = "cost per position and year"


UNITS = {"hours": ("h", "h"), "months": ("months", "months")}
NAMED = (("renew", "advised", ADVISED), ("current", "now", NOW), ("limit", "limit", CEILING))


@dataclass(frozen=True)
class Mark:
    """An age to mark on the curve: where, the words beside it, and its role (`ADVISED`, `NOW` or `CEILING`)."""

    age: float
    words: str
    style: str


def cost_chart(curve: pl.DataFrame, row: dict[str, Any], clock: str, currency: str = "") -> alt.LayerChart:
    """Draw the cost of each interval with its band, the marked ages, and what it costs to renew only on failure.

    Parameters
    ----------
    curve
        Columns age, cost, low, high (money per position and year), one row an interval, rising age.
    row
        Of `intervals`: renew, current, limit and range in the unit of the clock are marked, run_to_failure_cost_rate drawn across.
    clock
        "hours" or "months".
    currency
        ISO 4217 code for the axis; empty: "money".
    """
    drawn = thinned(curve)
    marks, level = marks_of(row, clock), row["run_to_failure_cost_rate"]
    reach = float(drawn["age"].max())  # pyright: ignore[reportArgumentType]
    top = _top(drawn, marks, level)
    age = alt.X("age:Q").title(f"renewed at {AGE_TITLES[clock]}").scale(zero=True, nice=False).axis(grid=False, tickCount=6)
    title = f"{COST} ({currency or 'money'})"
    money = alt.Y("cost:Q").title(title).scale(domain=[0, top]).axis(tickCount=5, format=",.0f")
    layers = _supported(row[f"range_{UNITS[clock][0]}"], reach) + _curve(drawn, age, money, title)
    if level is not None:
        layers += _level(level)
    lines, names = zip(*(_marked(mark, place, reach) for place, mark in enumerate(marks)), strict=True) if marks else ((), ())
    layers += [*lines, *(part for name in names for part in name)]
    return laid(layers, HEIGHT)


def marks_of(row: dict[str, Any], clock: str) -> tuple[Mark, ...]:
    """Return the ages of a row of `intervals` to mark on this clock, the largest first: advised, now, limit; those that are set."""
    unit, words = UNITS[clock]
    ages = ((row[f"{name}_{unit}"], told, style) for name, told, style in NAMED)
    marks = [Mark(age, f"{told}: {age:,.0f} {words}", style) for age, told, style in ages if age is not None]
    return tuple(sorted(marks, key=lambda mark: -mark.age))


def _top(curve: pl.DataFrame, marks: tuple[Mark, ...], level: float | None) -> float:
    """Return where the picture ends: above the least cost, the marks and the level, not at the endless cost of renewing daily."""
    least = float(curve["cost"].min())  # pyright: ignore[reportArgumentType]
    at_marks = [curve.filter(pl.col("age") <= mark.age)["cost"].last() for mark in marks]
    worth_showing = [2 * least, *(cost for cost in at_marks if cost is not None), *([level] if level else [])]
    return 1.3 * max(worth_showing)


def _curve(curve: pl.DataFrame, age: alt.X, money: alt.Y, title: str) -> list[alt.Chart]:
    told = [
        alt.Tooltip("age:Q").title("Renewed at").format(",.0f"),
        alt.Tooltip("cost:Q").title("Cost").format(",.1f"),
        alt.Tooltip("low:Q").title("At least").format(",.1f"),
        alt.Tooltip("high:Q").title("At most").format(",.1f"),
    ]
    base = alt.Chart(curve).encode(x=age, tooltip=told)
    band = base.mark_area(style=BAND, clip=True).encode(y=alt.Y("low:Q").title(title), y2=alt.Y2("high:Q"))
    return [band, base.mark_line(style=MEASURED, clip=True).encode(y=money)]


def _supported(span: list[float | None] | None, reach: float) -> list[alt.Chart]:
    """Shade the ages that cost hardly more than the best; without an upper bound, to the end of the picture."""
    if span is None:
        return []
    frame = pl.DataFrame({"age": [span[0]], "until": [reach if span[1] is None else span[1]]})
    return [alt.Chart(frame).mark_rect(style=SUPPORTED, clip=True).encode(x="age:Q", x2="until:Q")]


def _level(cost: float) -> list[alt.Chart]:
    base = alt.Chart(pl.DataFrame({"cost": [cost], "words": ["only when it fails"]})).encode(y="cost:Q")
    name = base.mark_text(style=NOTE, align="right", baseline="bottom", dy=-4).encode(x=alt.value("width"), text="words:N")
    return [base.mark_rule(style=NOW, strokeDash=[2, 4]), name]


def _marked(mark: Mark, place: int, reach: float) -> tuple[alt.Chart, list[alt.Chart]]:
    """Return the line of one marked age, and its name; names stand one below the other so that none covers another."""
    base = alt.Chart(pl.DataFrame({"age": [mark.age], "words": [mark.words]})).encode(x="age:Q")
    right = mark.age > reach * RIGHT_HALF
    side: dict[str, Any] = {"align": "right", "dx": -6} if right else {"align": "left", "dx": 6}
    dash = {ADVISED: [1, 0], NOW: [7, 4], CEILING: [2, 2]}[mark.style]
    height = alt.value(FIRST_NAME + place * NAME_STEP)
    names = [base.mark_text(style=style, **side).encode(y=height, text="words:N") for style in (HALO, FIGURE)]
    return base.mark_rule(style=mark.style, strokeDash=dash, clip=True), names
