"""How long parts last: the share still running by age, and the age by which one in ten has failed.

In: the curve and the figures of a row of `fits`. Out: charts. Steps are what was seen; the smooth line is the fitted Weibull, dashed where
it goes past the ages that were seen.
Elsewhere: the estimates (`fits`).
"""

import math
from typing import Any

import altair as alt
import polars as pl

from dashboard.charts.labelled_rows import dots_with_limits, height_of, words_above
from dashboard.charts.theme import BAND, BEYOND, FIGURE, FITTED, HALO, MEASURED, NOTE, laid

HEIGHT = 300
MOST_POINTS = 400
SMOOTH_POINTS = 60
AGE_TITLES = {"hours": "age (engine hours)", "months": "age (months)"}
STILL = "still running"
BEYOND_SEEN = 1.2


def survival_chart(curve: pl.DataFrame, shape: float | None, scale: float | None, clock: str) -> alt.LayerChart:
    """Draw the share still running as steps with their limits, the fitted Weibull over them and the number watched below.

    Parameters
    ----------
    curve
        Columns age, at_risk (parts watched just before that age), events, surviving, low, high (0 to 1), one row an age, rising.
    shape, scale
        Of the fitted Weibull (`scale` in the unit of age); `None`: there is no fit, and no line.
    clock
        "hours" or "months".
    """
    seen = thinned(from_new(curve))
    last = float(seen["age"].max())  # pyright: ignore[reportArgumentType]
    fitted = None if shape is None or scale is None else (shape, scale)
    end = last * BEYOND_SEEN if fitted else last
    ages = _round_ages(end)
    age = alt.X("age:Q").title(AGE_TITLES[clock]).scale(domain=[0, end], nice=False).axis(values=ages, titlePadding=26, grid=False)
    layers = [*_steps(seen, age), _watched(seen, ages), _watched_name()]
    if fitted:
        layers += _smooth(*fitted, last, end)
    return laid(layers, HEIGHT)


def from_new(curve: pl.DataFrame) -> pl.DataFrame:
    """Return the curve with a first row at age 0, where all are running, if it has none."""
    if curve["age"].min() == 0:
        return curve
    first = curve.head(1).with_columns(
        pl.lit(0.0).alias("age"), pl.lit(0).cast(curve.schema["events"]).alias("events"), surviving=1.0, low=1.0, high=1.0
    )
    return pl.concat([first.select(curve.columns), curve])


def thinned(curve: pl.DataFrame, most: int = MOST_POINTS) -> pl.DataFrame:
    """Return at most `most` rows spread evenly over the curve, with its first and last; the rows kept are unchanged."""
    if curve.height <= most:
        return curve
    places = [round(step * (curve.height - 1) / (most - 1)) for step in range(most)]
    return curve[places]


def _steps(seen: pl.DataFrame, age: alt.X) -> list[alt.Chart]:
    told = [
        alt.Tooltip("age:Q").title("Age").format(",.0f"),
        alt.Tooltip("surviving:Q").title("Still running").format(".0%"),
        alt.Tooltip("low:Q").title("At least").format(".0%"),
        alt.Tooltip("high:Q").title("At most").format(".0%"),
        alt.Tooltip("at_risk:Q").title("Watched").format(","),
    ]
    base = alt.Chart(seen).encode(x=age, tooltip=told)
    share = alt.Scale(domain=[0, 1])
    axis = alt.Axis(format="%", tickCount=5)
    band = base.mark_area(style=BAND, interpolate="step-after").encode(
        y=alt.Y("low:Q").title(STILL).scale(share).axis(axis), y2=alt.Y2("high:Q")
    )
    line = base.mark_line(style=MEASURED, interpolate="step-after").encode(y=alt.Y("surviving:Q").title(STILL).scale(share))
    return [band, line]


def _watched(seen: pl.DataFrame, ages: list[float]) -> alt.Chart:
    """Write under each mark of the axis how many parts were watched at that age."""
    counts = [seen.filter(pl.col("age") >= age)["at_risk"].first() for age in ages]
    frame = pl.DataFrame({"age": ages, "watched": counts}, schema={"age": pl.Float64, "watched": pl.Int64}).drop_nulls()
    mark = alt.Chart(frame).mark_text(style=FIGURE, baseline="top")
    return mark.encode(x=alt.X("age:Q"), y=alt.value(HEIGHT + 23), text=alt.Text("watched:Q").format(","))


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


def _smooth(shape: float, scale: float, last: float, end: float) -> list[alt.Chart]:
    """Draw the Weibull within the ages seen, dashed beyond them, and name both lines where they stand."""
    ages = [end * place / (2 * SMOOTH_POINTS) for place in range(2 * SMOOTH_POINTS + 1)]
    line = pl.DataFrame({"age": ages, "surviving": [math.exp(-((age / scale) ** shape)) for age in ages]})
    within, beyond = line.filter(pl.col("age") <= last), line.filter(pl.col("age") >= last)
    share = alt.Y("surviving:Q").title(STILL)
    return [
        alt.Chart(within).mark_line(style=FITTED).encode(x="age:Q", y=share),
        alt.Chart(beyond).mark_line(style=BEYOND).encode(x="age:Q", y=share),
        *_named("fitted Weibull", last / 2, shape, scale, align="left", dx=8, dy=-8),
        *_named("beyond what was seen", end, shape, scale, align="right", dx=0, dy=15),
    ]


def _named(words: str, age: float, shape: float, scale: float, **place: Any) -> list[alt.Chart]:
    """Write `words` beside the Weibull at `age`, on a ground of its own so that lines behind do not cross them."""
    frame = pl.DataFrame({"age": [age], "surviving": [max(0.1, math.exp(-((age / scale) ** shape)))], "words": [words]})
    base = alt.Chart(frame).encode(x="age:Q", y=alt.Y("surviving:Q").title(STILL), text="words:N")
    return [base.mark_text(style=HALO, fontStyle="italic", **place), base.mark_text(style=NOTE, **place)]


def life_ranges_chart(rows: pl.DataFrame, clock: str) -> alt.LayerChart:
    """Draw the age by which one in ten has failed, with its limits, one line a row.

    Parameters
    ----------
    rows
        Columns line (what the row is of), lives, failures, b10, b10_low, b10_high (in the unit of the clock).
    clock
        "hours" or "months".
    """
    told = rows.with_columns(pl.format("{} failed of {}", "failures", "lives").alias("counts"))
    tips = [
        alt.Tooltip("line:N").title("Parts"),
        alt.Tooltip("b10:Q").title("One in ten failed by").format(",.0f"),
        alt.Tooltip("b10_low:Q").title("At least").format(",.0f"),
        alt.Tooltip("b10_high:Q").title("At most").format(",.0f"),
    ]
    layers = words_above(told, "line", "line", "counts")
    layers += dots_with_limits(told, "line", ("b10_low", "b10", "b10_high"), f"one in ten failed by {AGE_TITLES[clock]}", tips)
    return laid(layers, height_of(told))
