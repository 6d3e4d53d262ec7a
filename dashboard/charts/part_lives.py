"""How long parts last: the share still running by age, and the age by which one in ten has failed.

In: the curve, the fitted line and the figures of rows of `fits`. Out: charts. Steps are what was seen; the smooth line is the fitted
Weibull, dashed where it goes past the ages that were seen, with its limits as fine lines.
Elsewhere: the estimates (`fits`).
"""

import math
from typing import Any

import altair as alt
import polars as pl

from dashboard.charts.labelled_rows import BELOW, dots_with_limits, height_of, lines_down, reach_of, words_above
from dashboard.charts.theme import ADVISED, BAND, BEYOND, FIGURE, FITTED, HALO, MEASURED, NOTE, laid

HEIGHT = 300
MOST_POINTS = 400
LOWEST_NAME = 0.1
AGE_TITLES = {"hours": "age (engine hours)", "months": "age (months)"}
STILL = "still running"
FINE = [2, 3]


def survival_chart(curve: pl.DataFrame, line: pl.DataFrame | None, clock: str) -> alt.LayerChart:
    """Draw the share still running as steps with their limits, the fitted Weibull with its own over them, the number watched below.

    Parameters
    ----------
    curve
        Columns age, at_risk (parts watched just before that age), events, surviving, low, high (0 to 1), one row an age, rising. It begins
        where all are running: at age 0, or at the age from which enough were watched; all shares are of those that reach that age.
    line
        The fitted Weibull: age, surviving, low, high, rising ages from where the curve begins; `None`: there is no fit, and no line.
    clock
        "hours" or "months".
    """
    seen = thinned(curve)
    start, last = float(seen["age"][0]), float(seen["age"][-1])
    end = last if line is None else float(line["age"][-1])
    ages = _round_ages(end)
    age = alt.X("age:Q").title(AGE_TITLES[clock]).scale(domain=[0, end], nice=False).axis(values=ages, titlePadding=26, grid=False)
    title = STILL if start == 0 else f"{STILL}, of those that reach {start:,.0f}"
    layers = [*_steps(seen, age, title), *watched_below(seen, "age", ages, HEIGHT)]
    if line is not None:
        layers += _smooth(line, last, title)
    return laid(layers, HEIGHT)


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


def watched_below(seen: pl.DataFrame, across: str, places: list[float], height: int) -> list[alt.Chart]:
    """Write under each mark of an axis `height` pixels down how many were watched there; the word for it at its left."""
    counts = [seen.filter(pl.col(across) >= place)["at_risk"].first() for place in places]
    frame = pl.DataFrame({across: places, "watched": counts}, schema={across: pl.Float64, "watched": pl.Float64}, strict=False).drop_nulls()
    below = alt.value(height + 23)
    numbers = alt.Chart(frame).mark_text(style=FIGURE, baseline="top")
    name = alt.Chart(pl.DataFrame({"words": ["watched"]})).mark_text(style=NOTE, align="right", baseline="top")
    return [
        numbers.encode(x=alt.X(f"{across}:Q"), y=below, text=alt.Text("watched:Q").format(",.0f")),
        name.encode(x=alt.value(-14), y=below, text="words:N"),
    ]


def _round_ages(end: float, most: int = 5) -> list[float]:
    """Return round ages from 0 to `end`, at most `most` steps apart, for the axis and the number watched."""
    rough = end / most
    power = 10 ** math.floor(math.log10(rough))
    step = next(power * times for times in (1, 2, 2.5, 5, 10) if power * times >= rough * 0.999)
    return [step * place for place in range(int(end / step) + 1)]


def _smooth(line: pl.DataFrame, last: float, title: str) -> list[alt.Chart]:
    """Draw the Weibull within the ages seen, dashed beyond them, its limits as fine lines, and name both where they stand."""
    within, beyond = line.filter(pl.col("age") <= last), line.filter(pl.col("age") >= last)
    share = alt.Y("surviving:Q").title(title)
    middle = (float(within["age"][0]) + last) / 2
    return [
        *(_limit(line, end, title) for end in ("low", "high")),
        alt.Chart(within).mark_line(style=FITTED).encode(x="age:Q", y=share),
        alt.Chart(beyond).mark_line(style=BEYOND).encode(x="age:Q", y=share),
        *_named("fitted Weibull", line, middle, share, align="left", dx=8, dy=-8),
        *_named("beyond what was seen", line, float(line["age"][-1]), share, align="right", dx=0, dy=15),
    ]


def _limit(line: pl.DataFrame, end: str, title: str) -> alt.Chart:
    fine = alt.Chart(line.select("age", end)).mark_line(style=FITTED, strokeWidth=1, strokeDash=FINE, clip=True)
    return fine.encode(x="age:Q", y=alt.Y(f"{end}:Q").title(title))


def _named(words: str, line: pl.DataFrame, age: float, share: alt.Y, **place: Any) -> list[alt.Chart]:
    """Write `words` beside the Weibull near `age`, on a ground of its own so that lines behind do not cross them."""
    height = line.filter(pl.col("age") >= age - 1e-9)["surviving"][0]
    frame = pl.DataFrame({"age": [age], "surviving": [max(LOWEST_NAME, height)], "words": [words]})
    base = alt.Chart(frame).encode(x="age:Q", y=share, text="words:N")
    return [base.mark_text(style=HALO, fontStyle="italic", **place), base.mark_text(style=NOTE, **place)]


def life_ranges_chart(rows: pl.DataFrame, clock: str) -> alt.LayerChart:
    """Draw the age by which one in ten has failed, raw and with what is known beforehand, each with its limits, one line a row.

    Parameters
    ----------
    rows
        Columns line (what the row is of), lives, failed, b10, b10_low, b10_high (by the fitted Weibull), drawn_b10, drawn_low, drawn_high
        (posterior); in the unit of the clock.
    clock
        "hours" or "months".
    """
    told = rows.with_columns(pl.format("{} failed of {}", "failed", "lives").alias("counts"))
    layers = words_above(told, "line", "line", "counts")
    title, reach = f"one in ten failed by {AGE_TITLES[clock]}", _reach(rows)
    layers += dots_with_limits(told, "line", ("b10_low", "b10", "b10_high"), title, reach, _tips())
    return laid([*layers, *_with_prior(told, reach)], height_of(told))


def _reach(rows: pl.DataFrame) -> float:
    """Return where the picture ends: by the raw figures; where there is none, by the others."""
    if rows["b10"].is_not_null().any():
        return reach_of(rows, "b10", "b10_high")
    return reach_of(rows, "drawn_b10", "drawn_high")


def _tips() -> list[alt.Tooltip]:
    told = {
        "b10": "One in ten failed by",
        "b10_low": "At least",
        "b10_high": "At most",
        "drawn_b10": "With the prior",
        "drawn_low": "At least",
        "drawn_high": "At most",
    }
    return [alt.Tooltip("line:N").title("Parts"), *(alt.Tooltip(f"{name}:Q").title(words).format(",.0f") for name, words in told.items())]


def _with_prior(rows: pl.DataFrame, reach: float) -> list[alt.Chart]:
    """Draw the posterior beneath the raw figure: a hollow diamond on a fine line."""
    base = alt.Chart(rows).encode(y=lines_down("line"), tooltip=_tips())
    scale = alt.Scale(domain=[0, reach], clamp=True, nice=True)
    line = base.mark_rule(style=ADVISED, strokeWidth=1.5, yOffset=BELOW, invalid="filter")
    mark = base.mark_point(style=ADVISED, shape="diamond", size=64, filled=False, yOffset=BELOW, invalid="filter")
    return [line.encode(x=alt.X("drawn_low:Q").scale(scale), x2="drawn_high:Q"), mark.encode(x=alt.X("drawn_b10:Q").scale(scale))]
