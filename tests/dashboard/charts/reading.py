"""Reading a chart's specification as a test needs it: its layers, its axes, its data, its roles."""

from typing import Any

import altair as alt


def layers(chart: alt.LayerChart) -> list[dict[str, Any]]:
    """Return every layer of the chart."""
    return chart.to_dict()["layer"]


def rows(chart: alt.LayerChart, style: str) -> list[dict[str, Any]]:
    """Return the rows that the layers of a role draw."""
    whole = chart.to_dict()
    names = [layer.get("data", whole.get("data", {})).get("name") for layer in whole["layer"] if layer["mark"].get("style") == style]
    return [row for name in dict.fromkeys(names) for row in whole["datasets"][name]]


def every_row(chart: alt.LayerChart) -> list[dict[str, Any]]:
    """Return all rows of all data of the chart."""
    return [row for data in chart.to_dict()["datasets"].values() for row in data]


def titles(chart: alt.LayerChart, channel: str) -> set[str]:
    """Return the titles of an axis, over all layers that have one."""
    found = (layer.get("encoding", {}).get(channel, {}) for layer in layers(chart))
    return {axis["title"] for axis in found if axis.get("title")}


def styles(chart: alt.LayerChart) -> set[str]:
    """Return the roles that the marks play."""
    return {layer["mark"].get("style") for layer in layers(chart)}


def marks(chart: alt.LayerChart, style: str) -> list[dict[str, Any]]:
    """Return the marks of a role."""
    return [layer["mark"] for layer in layers(chart) if layer["mark"].get("style") == style]
