"""A picture as a file: PNG or SVG, made on this machine and asking nothing of any other.

In: a specification that `theme.dressed` gave, its tones, a width. Out: bytes.
On a page a picture is as wide as the page and lies on its ground; as a file it has a width and a ground of its own.
Elsewhere: the pictures themselves (the other modules of this room), when one is made (`drawing`).
"""

import re
from datetime import date
from typing import Any

import vl_convert

from dashboard.charts.theme import DAY, NIGHT

FORMS = {"png": "image/png", "svg": "image/svg+xml"}
"""{form of a file: its media type}."""
WIDTH = 760
SHARPNESS = 2.0
MARGIN = 14
FONT = "Liberation Sans, Arial, Helvetica, sans-serif"
"""The first comes with the program that draws, so a machine without fonts draws words too; a name with a figure would stop all words."""
NOBODY: list[str] = []
UNDRAWABLE = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029\ufffe\uffff]")
"""Letters without a shape: in a word to be drawn they would end the whole program, not this picture alone."""
LONGEST = 240
"""Letters of a word that are drawn; a picture has no room for more, and laying out a note of 100,000 takes minutes."""
EXPRESSIONS = ("$schema", "expr", "labelExpr", "calculate", "filter", "test")
"""Parts of a specification that hold no words."""


def still(specification: dict[str, Any], form: str, *, night: bool = False, width: int = WIDTH) -> bytes:
    """Return a picture as the bytes of a file.

    Parameters
    ----------
    specification
        Of Vega-Lite, with its data inside.
    form
        `png` (two dots a pixel, so that it prints) or `svg`.
    night
        Whether its tones are those of the night.
    width
        Of the plot with its axes, in pixels.
    """
    config = {**specification["config"], "font": FONT}
    whole = {**_drawable(specification), "config": config, "width": width, "background": (NIGHT if night else DAY).paper, "padding": MARGIN}
    if form == "svg":
        return vl_convert.vegalite_to_svg(whole, allowed_base_urls=NOBODY).encode()
    return vl_convert.vegalite_to_png(whole, scale=SHARPNESS, allowed_base_urls=NOBODY)


def _drawable(part: Any) -> Any:
    """Return a part of a specification with every word in it fit to be drawn."""
    if isinstance(part, dict):
        return {key: value if key in EXPRESSIONS else _drawable(value) for key, value in part.items()}
    if isinstance(part, list):
        return [_drawable(item) for item in part]
    if isinstance(part, date):
        return part.isoformat()
    if not isinstance(part, str):
        return part
    plain = UNDRAWABLE.sub("\N{REPLACEMENT CHARACTER}", part)
    return plain if len(plain) <= LONGEST else plain[: LONGEST - 1] + "…"
