"""Which boats stand out after chance is allowed for: each boat's rate against its hours, between limits that narrow with hours.

In: the rows and limits of the pattern `boats`. Out: a chart. A boat that stands out has a shape and its name, not a colour alone.
Elsewhere: the limits (`fits`), what is said of them (`sentences`).
"""

import altair as alt
import polars as pl

from dashboard.charts.theme import ALARM, BAND, CEILING, FIGURE, HALO, MEASURED, NOTE, NOW, laid

HEIGHT = 320
RATE_TITLE = "per 1,000 engine hours"
HOURS_TITLE = "engine hours watched"
MOST_NAMES = 8


def boats_chart(rows: pl.DataFrame, limits: pl.DataFrame) -> alt.LayerChart:
    """Draw a mark a boat, the fleet's rate across, and the limits that chance alone keeps 95 and 99.8 of 100 like boats within.

    Parameters
    ----------
    rows
        Columns name, events, exposure_h, rate, fleet_rate, standing.
    limits
        Columns exposure_h, fleet_rate, warn_low, warn_high, act_low, act_high (per 1,000 engine hours), rising hours.
    """
    top = _top(rows, limits)
    most = float(limits["exposure_h"].max()) * 1.02  # pyright: ignore[reportArgumentType]
    hours = alt.X("exposure_h:Q").title(HOURS_TITLE).scale(domain=[0, most], nice=False).axis(grid=False, tickCount=5, format=",.0f")
    scale = alt.Scale(domain=[0, top], clamp=True)
    rate = alt.Y("rate:Q").title(RATE_TITLE).scale(scale).axis(tickCount=5)
    out, look = pl.col("standing").str.starts_with("stands out"), pl.col("standing").str.starts_with("worth a look")

    def of(which: pl.Expr) -> alt.Chart:
        return alt.Chart(rows.filter(which)).encode(x=hours, y=rate, tooltip=_tips())

    named = rows.filter(out | look).sort(out, pl.col("rate"), descending=True).head(MOST_NAMES)
    names = alt.Chart(named).encode(x=hours, y=rate, text="name:N")
    return laid(
        [
            *_limits(limits, hours, scale),
            of(~out & ~look).mark_point(style=MEASURED, size=45, filled=True),
            of(look).mark_point(style=NOW, shape="diamond", size=90),
            of(out).mark_point(style=ALARM, shape="triangle-up", size=110, filled=True),
            names.mark_text(style=HALO, align="left", dx=9, dy=-2),
            names.mark_text(style=FIGURE, align="left", dx=9, dy=-2),
        ],
        HEIGHT,
    )


def _top(rows: pl.DataFrame, limits: pl.DataFrame) -> float:
    """Return where the picture ends: above every boat and the outer limit of the middle of the hours."""
    middle = float(limits["act_high"].median() or 0.0)  # pyright: ignore[reportArgumentType]
    return 1.1 * max(float(rows["rate"].max()), middle)  # pyright: ignore[reportArgumentType]


def _limits(limits: pl.DataFrame, hours: alt.X, scale: alt.Scale) -> list[alt.Chart]:
    base = alt.Chart(limits).encode(x=hours)
    band = base.mark_area(style=BAND, clip=True).encode(y=alt.Y("warn_low:Q").title(RATE_TITLE).scale(scale), y2="warn_high:Q")
    outer = [
        base.mark_line(style=CEILING, strokeWidth=1, strokeDash=[5, 4], clip=True).encode(
            y=alt.Y(f"{end}:Q").title(RATE_TITLE).scale(scale)
        )
        for end in ("act_low", "act_high")
    ]
    fleet = base.mark_line(style=NOW, strokeDash=[2, 4]).encode(y=alt.Y("fleet_rate:Q").title(RATE_TITLE).scale(scale))
    last = limits.tail(1)
    words = {"act_high": "99.8 of 100 like boats", "warn_high": "95 of 100", "fleet_rate": "the fleet"}
    frame = pl.DataFrame(
        {"exposure_h": [last["exposure_h"][0]] * 3, "rate": [last[name][0] for name in words], "words": list(words.values())}
    )
    names = alt.Chart(frame).encode(x=hours, y=alt.Y("rate:Q").title(RATE_TITLE).scale(scale), text="words:N")
    told = [names.mark_text(style=style, align="right", baseline="bottom", dy=-3) for style in (HALO, NOTE)]
    return [band, *outer, fleet, *told]


def _tips() -> list[alt.Tooltip]:
    return [
        alt.Tooltip("name:N").title("Boat"),
        alt.Tooltip("standing:N").title("Standing"),
        alt.Tooltip("events:Q").title("Events").format(","),
        alt.Tooltip("exposure_h:Q").title("Engine hours").format(",.0f"),
        alt.Tooltip("rate:Q").title("Per 1,000 h").format(".3~g"),
    ]
