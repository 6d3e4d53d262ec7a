"""Every picture of every screen as a file: PNG and SVG, made here, with its words, units and limits."""

import json
import struct
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import altair as alt
import polars as pl
import pytest

from dashboard import drawing
from dashboard.charts.cause_rates import rates_chart
from dashboard.charts.stills import still
from dashboard.charts.theme import dressed
from dashboard.sentences.calls import rate_lines
from tests.dashboard import invented
from tests.support.hostile import EVERY
from tests.support.screens import SCREENS, open_screen

UNITS = (
    "hours",
    "month",
    "year",
    "per 1,000",
    "share",
    "running",
    "failed",
    "failures",
    "calls",
    "pieces",
    "EUR",
    "money",
    "date",
    "in stock",
    "came",
    "foretold",
    "times the value",
    "chance",
    "where in its forecast",
)
"""What an axis can be measured in: its title holds one of these, or its marks are percentages or days."""
WIDTHS = (760, 360)


LOOKS = ("Weibull paper", "hazard", "what they die of", "groups")
PATTERNS = ("time of year", "boats", "adding up", "costs")
PAGES = (
    *((screen, {}) for screen in SCREENS if screen not in ("records", "this_week", "take_the_figures")),
    ("one_boat", {"boat": "W3"}),
    *(("how_long_parts_last", {"look": look}) for look in LOOKS),
    *(("what_strands_us", {"pattern": pattern}) for pattern in PATTERNS),
)
"""Every address that draws a picture of its own."""


@pytest.fixture(params=PAGES, ids=lambda page: "-".join([page[0], *page[1].values()]))
def drawn(request: pytest.FixtureRequest, invented_flow: Path, monkeypatch: pytest.MonkeyPatch) -> list[drawing.Drawn]:
    """Every picture that a screen draws from invented figures."""
    found: list[drawing.Drawn] = []
    specified = drawing.Drawn.specification

    def kept(self: drawing.Drawn) -> dict[str, Any]:
        found.append(self)
        return specified(self)

    monkeypatch.setattr(drawing.Drawn, "specification", kept)
    page = open_screen(request.param[0], invented_flow, request.param[1])
    assert not page.exception
    assert found
    return list(found)


def words_of(svg: bytes) -> list[str]:
    return [
        " ".join("".join(element.itertext()).split()) for element in ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}text")
    ]


def axes_of(part: Any, ways: tuple[str, ...] = ("x", "y")) -> list[dict[str, Any]]:
    """Every measured encoding of a specification along some ways, where its axis is not turned off."""
    if isinstance(part, list):
        return [axis for each in part for axis in axes_of(each, ways)]
    held = part.get("encoding", {})
    own = [held[way] for way in ways if isinstance(held.get(way), dict) and held[way].get("type") in ("quantitative", "temporal")]
    return [axis for axis in own if axis.get("axis", {}) is not None] + axes_of(part.get("layer", []), ways)


def has_unit(axis: dict[str, Any]) -> bool:
    title, form = axis.get("title"), str((axis.get("axis") or {}).get("format", ""))
    return "%" in form or axis["type"] == "temporal" or (isinstance(title, str) and any(unit in title for unit in UNITS))


@pytest.mark.slow
def test_every_picture_of_a_screen_can_be_taken_away_with_its_words(drawn: list[drawing.Drawn]):
    for picture in drawn:
        svg, png = picture.as_file("svg"), picture.as_file("png")
        assert png.startswith(b"\x89PNG")
        titles = {axis["title"] for axis in axes_of(picture.specification()) if isinstance(axis.get("title"), str)}
        told = words_of(svg)
        assert told, picture.draw.__name__
        assert not titles or any(title in told for title in titles), (picture.draw.__name__, titles, told)


@pytest.mark.slow
@pytest.mark.parametrize("way", ["x", "y"])
def test_every_axis_says_what_it_measures(drawn: list[drawing.Drawn], way: str):
    """Marks of one plot share an axis, which is titled by any of them."""
    for picture in drawn:
        axes = axes_of(picture.specification(), (way,))
        assert not axes or any(has_unit(axis) for axis in axes) or all(axis.get("title", "") is None for axis in axes), (
            picture.draw.__name__
        )


@pytest.mark.slow
def test_limits_are_drawn_wherever_there_are_limits(drawn: list[drawing.Drawn]):
    for picture in drawn:
        specification = picture.specification()
        held = {name for rows in specification.get("datasets", {}).values() for row in rows for name in row}
        if {"low", "high"} <= held:
            assert '"low' in json.dumps(specification["layer"]), picture.draw.__name__
            assert '"high' in json.dumps(specification["layer"]), picture.draw.__name__


def test_a_still_is_as_wide_as_asked_and_twice_as_sharp_as_png():
    specification = dressed(rates_chart(rate_lines(invented.rates(), 6)))
    for width in WIDTHS:
        assert f'width="{width}"'.encode() in still(specification, "svg", width=width)[:300]
        across, _ = struct.unpack(">II", still(specification, "png", width=width)[16:24])
        assert across == 2 * width


def test_day_and_night_lie_on_grounds_of_their_own():
    chart = rates_chart(rate_lines(invented.rates(), 6))
    day, night = (still(dressed(chart, night=dark), "svg", night=dark) for dark in (False, True))
    assert b'fill="#FBF8F0"' in day
    assert b'fill="#111E29"' in night


def test_a_picture_that_would_look_elsewhere_for_its_data_is_not_drawn():
    chart = alt.Chart(alt.UrlData(url="https://example.invalid/figures.csv")).mark_point().encode(x="x:Q")
    with pytest.raises(ValueError, match=r"(?i)url|access|allow"):
        still({**chart.to_dict(), "config": {}}, "svg")


@pytest.mark.parametrize("word", EVERY, ids=range(len(EVERY)))
def test_words_of_a_record_are_only_words_in_a_picture(word: str):
    rows = invented.rates().with_columns(pl.lit(word).alias("group")).head(1)
    specification = dressed(rates_chart(rate_lines(rows)))
    svg = still(specification, "svg")
    tags = {element.tag.split("}")[-1] for element in ElementTree.fromstring(svg).iter()}
    assert tags <= {"svg", "g", "path", "rect", "line", "text", "tspan", "defs", "clipPath", "title", "circle"}, tags
    assert b"alert(" not in svg.replace(b"&lt;", b"").split(b"<text")[0]
    assert still(specification, "png").startswith(b"\x89PNG")
    assert json.loads(json.dumps(specification)) == specification
