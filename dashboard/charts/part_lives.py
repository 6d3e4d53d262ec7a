"""How long parts last: the share still running by age, and the age by which one in ten has failed.

In: the curve and the figures of a row of `fits`. Out: charts. Steps are what was seen; the smooth line is the fitted Weibull, dashed where
it goes past the ages that were seen.
Elsewhere: the estimates (`fits`).
"""

import math
from dataclasses import dataclass
from typing import Any

import altair as alt
import polars as pl

from dashboard.charts.labelled_rows import dots_with_limits, height_of, reach_of, words_above
from dashboard.charts.theme import BAND, BEYOND, FIGURE, FITTED, HALO, MEASURED, NOTE, laid

HEIGHT = 300
MOST_POINTS = 400
SMOOTH_POINTS = 120
LOWEST_NAME = 0.1
AGE_TITLES = {"hours": "age (engine hours)", "months": "age (months)"}
STILL = "still running"
BEYOND_SEEN = 1.2


def survival_chart(curve: pl.DataFrame, shape: float | None, scale: float | None, clock: str) -> alt.LayerChart:
    """Draw the share still running as steps with their limits, the fitted Weibull over them and the number watched below.

    Parameters
    ----------
    curve
        Columns age, at_risk (parts watched just before that age), events, surviving, low, high (0 to 1), one row an age, rising. It begins
        where all are running: at age 0, or at the age from which enough were watched; all shares are of those that reach that age.
    shape, scale
        Of the fitted Weibull (`scale` in the unit of age); `None`: there is no fit, and no line.
    clock
        "hours" or "months".
    """
    seen = thinned(curve)
    start, last = float(seen["age"][0]), float(seen["age"][-1])
    end = last if shape is None or scale is None else last * BEYOND_SEEN
    ages = _round_ages(end)
    age = alt.X("age:Q").title(AGE_TITLES[clock]).scale(domain=[0, end], nice=False).axis(values=ages, titlePadding=26, grid=False)
    title = STILL if start == 0 else f"{STILL}, of those that reach {start:,.0f}"
    layers = [*_steps(seen, age, title), _watched(seen, ages), _watched_name()]
    if shape is not None and scale is not None:
        layers += _smooth(_Weibull(shape, scale, start), last, end, title)
    return laid(layers, HEIGHT)


@dataclass(frozen=True)
class _Weibull:
    """The share of parts that reach age `start` still running at an age."""

    shape: float
    scale: float
    start: float

    def at(self, age: float) -> float:
        return math.exp((self.start / self.scale) ** self.shape - (age / self.scale) ** self.shape)


def thinned(curve: pl.DataFrame, most: int = MOST_POINTS) -> pl.DataFrame:
    """Return at most `most` rows spread evenly over the curve, with its first and last; the rows kept are unchanged."""
    if curve.height <= most:
        return curve
    places = [round(step * (curve.height - 1) / (most - 1)) for step in range(most)]
    return curve[places]


def _steps(seen: pl.DataFrame, age: alt.X, title: str) -> list[alt.Chart]:
    told = [
        alt.Tooltip("age:Q").title("Age").format(",.0f"),
        alt.Tooltip("surviving:Q").title("Still running").format(".0%"),
        alt.Tooltip("low:Q").title("At least").format(".0%"),
        alt.Tooltip("high:Q").title("At most").format(".0%"),
        alt.Tooltip("at_risk:Q").title("Watched").format(",.0f"),
    ]
    base = alt.Chart(seen).encode(x=age, tooltip=told)
    share = alt.Scale(domain=[0, 1])
    axis = alt.Axis(format="%", tickCount=5)
    band = base.mark_area(style=BAND, interpolate="step-after").encode(
        y=alt.Y("low:Q").title(title).scale(share).axis(axis), y2=alt.Y2("high:Q")
    )
    line = base.mark_line(style=MEASURED, interpolate="step-after").encode(y=alt.Y("surviving:Q").title(title).scale(share))
    return [band, line]


def _watched(seen: pl.DataFrame, ages: list[float]) -> alt.Chart:
    """Write under each mark of the axis how many parts were watched at that age."""
    counts = [seen.filter(pl.col("age") >= age)["at_risk"].first() for age in ages]
    frame = pl.DataFrame({"age": ages, "watched": counts}, schema={"age": pl.Float64, "watched": pl.Float64}, strict=False).drop_nulls()
    mark = alt.Chart(frame).mark_text(style=FIGURE, baseline="top")
    return mark.encode(x=alt.X("age:Q"), y=alt.value(HEIGHT + 23), text=alt.Text("watched:Q").format(",.0f"))


def _watched_name() -> alt.Chart:
    frame = pl.DataFrame({"words": ["watched"]})
    return (
        alt.Chart(frame)
        .mark_text(style=NOTE, align="right", baseline="top")
        .encode(x=alt.value(-14), y=alt.value(HEIGHT + 23), text="words:N")
    )


def _round_ages(end: float, most: int = 5) -> list[float]:
    """Return round ages from 0 to `end`, at most `most` steps apart, for the axis and the number watched."""
    rough = end / most
    power = 10 ** math.floor(math.log10(rough))
    step = next(power * times for times in (1, 2, 2.5, 5, 10) if power * times >= rough * 0.999)
    return [step * place for place in range(int(end / step) + 1)]


def _smooth(fitted: _Weibull, last: float, end: float, title: str) -> list[alt.Chart]:
    """Draw the Weibull within the ages seen, dashed beyond them, and name both lines where they stand."""
    ages = [fitted.start + (end - fitted.start) * place / SMOOTH_POINTS for place in range(SMOOTH_POINTS + 1)]
    line = pl.DataFrame({"age": ages, "surviving": [fitted.at(age) for age in ages]})
    within, beyond = line.filter(pl.col("age") <= last), line.filter(pl.col("age") >= last)
    share = alt.Y("surviving:Q").title(title)
    return [
        alt.Chart(within).mark_line(style=FITTED).encode(x="age:Q", y=share),
        alt.Chart(beyond).mark_line(style=BEYOND).encode(x="age:Q", y=share),
        *_named("fitted Weibull", fitted, fitted.start + (last - fitted.start) / 2, share, align="left", dx=8, dy=-8),
        *_named("beyond what was seen", fitted, end, share, align="right", dx=0, dy=15),
    ]


def _named(words: str, fitted: _Weibull, age: float, share: alt.Y, **place: Any) -> list[alt.Chart]:
    """Write `words` beside the Weibull at `age`, on a ground of its own so that lines behind do not cross them."""
    frame = pl.DataFrame({"age": [age], "surviving": [max(LOWEST_NAME, fitted.at(age))], "words": [words]})
    base = alt.Chart(frame).encode(x="age:Q", y=share, text="words:N")
    return [base.mark_text(style=HALO, fontStyle="italic", **place), base.mark_text(style=NOTE, **place)]


def life_ranges_chart(rows: pl.DataFrame, clock: str) -> alt.LayerChart:
    """Draw the age by which one in ten has failed, with its limits, one line a row.

    Parameters
    ----------
    rows
        Columns line (what the row is of), lives, failed, b10, b10_low, b10_high (in the unit of the clock).
    clock
        "hours" or "months".
    """
    told = rows.with_columns(pl.format("{} failed of {}", "failed", "lives").alias("counts"))
    tips = [
        alt.Tooltip("line:N").title("Parts"),
        alt.Tooltip("b10:Q").title("One in ten failed by").format(",.0f"),
        alt.Tooltip("b10_low:Q").title("At least").format(",.0f"),
        alt.Tooltip("b10_high:Q").title("At most").format(",.0f"),
    ]
    layers = words_above(told, "line", "line", "counts")
    across, title, reach = ("b10_low", "b10", "b10_high"), f"one in ten failed by {AGE_TITLES[clock]}", reach_of(rows, "b10", "b10_high")
    layers += dots_with_limits(told, "line", across, title, reach, tips)
    return laid(layers, height_of(told))
