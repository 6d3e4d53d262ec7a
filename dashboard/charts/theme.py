"""How every picture looks: two sets of tones, for day and for night, and the roles that marks play.

In: an Altair chart whose marks name a role (`style`). Out: its specification in the tones asked for, ready to be shown.
A chart function never names a colour, so the same picture is drawn by day and by night. Tones are ours: the buff and
the tide blue of a working chart, the red oxide of a hull on the slip. No two tones used for data lie closer than a
distance of 14 in CIELAB for any of the three kinds of colour blindness, and shape or place always says the same again.
Elsewhere: the tones of the pages themselves (`dashboard/.streamlit/config.toml`), which a test holds equal to these.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

import altair as alt

Draw: TypeAlias = Callable[..., alt.LayerChart]
"""A function of this room: what is to be shown in, a chart out."""

# The height given is that of the plot, whatever its axes need; a bottom of our own keeps Streamlit from adding one.
FRAME = {"autosize": {"type": "fit-x", "contains": "padding"}, "padding": {"left": 2, "right": 6, "top": 4, "bottom": 2}}

FONT = "Source Sans, Source Sans 3, Source Sans Pro, sans-serif"


@dataclass(frozen=True)
class Tones:
    """One set of colours, as #RRGGBB.

    Attributes
    ----------
    paper, wash, line
        Ground of the page, of what lies on it, and of faint lines.
    ink, pencil
        Words that are read first, and second.
    sea, oxide, brass, weed, stone
        Data: what was measured, what wants attention, what holds now, what is advised, what is unknown.
    """

    paper: str
    wash: str
    line: str
    ink: str
    pencil: str
    sea: str
    oxide: str
    brass: str
    weed: str
    stone: str


DAY = Tones("#FBF8F0", "#F1ECDD", "#DDD6C3", "#1C2A35", "#5A636D", "#1D5B87", "#B0482A", "#B98200", "#3B9C88", "#67635A")
NIGHT = Tones("#111E29", "#1B2B38", "#334653", "#ECE6D8", "#A9B1B6", "#5FA8DA", "#DE7448", "#F2D27E", "#7FD9BF", "#8E959B")

BAND = "band"
MEASURED = "measured"
SPAN = "span"
UNKNOWN = "unknown"
UNKNOWN_SPAN = "unknown_span"
FITTED = "fitted"
BEYOND = "beyond"
ADVISED = "advised"
ADVISED_SPAN = "advised_span"
SUPPORTED = "supported"
HELD = "held"
NOW = "now"
CEILING = "ceiling"
ALARM = "alarm"
LABEL = "label"
FIGURE = "figure"
NOTE = "note"
HALO = "halo"


def laid(layers: Sequence[alt.Chart], height: int) -> alt.LayerChart:
    """Lay marks over one another in one plot, as wide as the page gives and `height` pixels high, without its axes."""
    return alt.LayerChart(layer=list(layers), width="container", height=height)


def dressed(chart: alt.Chart | alt.LayerChart, *, night: bool = False) -> dict[str, Any]:
    """Return the Vega-Lite specification of `chart` in the tones of the day or of the night; its data are unchanged."""
    return {**chart.to_dict(), "config": _config(NIGHT if night else DAY), **FRAME}


def _config(tones: Tones) -> dict[str, Any]:
    return {
        "background": None,
        "font": FONT,
        "view": {"stroke": None},
        "axis": _axis(tones),
        "axisX": {"labelFlush": True},
        "axisY": {"domain": False, "titleAngle": 0, "titleAlign": "left", "titleAnchor": "end", "titleX": 0, "titleY": -9},
        "style": _roles(tones),
    }


def _axis(tones: Tones) -> dict[str, Any]:
    return {
        "gridColor": tones.line,
        "gridOpacity": 0.7,
        "domainColor": tones.pencil,
        "tickColor": tones.line,
        "labelColor": tones.pencil,
        "labelFontSize": 12,
        "titleColor": tones.pencil,
        "titleFontSize": 12,
        "titleFontWeight": "normal",
        "titlePadding": 8,
    }


def _roles(tones: Tones) -> dict[str, Any]:
    words = {"fontSize": 14, "color": tones.ink, "fontWeight": "normal"}
    return {
        BAND: {"color": tones.sea, "opacity": 0.16},
        MEASURED: {"color": tones.sea, "strokeWidth": 2, "opacity": 1},
        SPAN: {"color": tones.sea, "strokeWidth": 5, "strokeCap": "round", "opacity": 0.38},
        UNKNOWN: {"color": tones.stone, "fill": tones.paper, "strokeWidth": 2, "opacity": 1},
        UNKNOWN_SPAN: {"color": tones.stone, "strokeWidth": 5, "strokeCap": "round", "opacity": 0.38},
        FITTED: {"color": tones.oxide, "strokeWidth": 1.75},
        BEYOND: {"color": tones.oxide, "strokeWidth": 1.75, "strokeDash": [5, 4]},
        ADVISED: {"color": tones.weed, "strokeWidth": 2, "opacity": 1},
        ADVISED_SPAN: {"color": tones.weed, "strokeWidth": 8, "opacity": 0.35},
        SUPPORTED: {"color": tones.weed, "opacity": 0.13},
        HELD: {"color": tones.sea, "opacity": 0.3},
        NOW: {"color": tones.brass, "fill": tones.paper, "strokeWidth": 2, "opacity": 1},
        CEILING: {"color": tones.oxide, "strokeWidth": 2, "opacity": 1},
        ALARM: {"color": tones.oxide, "strokeWidth": 1.5, "opacity": 1},
        LABEL: words,
        FIGURE: {**words, "fontSize": 13, "color": tones.pencil},
        NOTE: {**words, "fontSize": 13, "fontStyle": "italic", "color": tones.pencil},
        HALO: {"fontSize": 13, "color": tones.paper, "stroke": tones.paper, "strokeWidth": 4, "strokeJoin": "round"},
    }
