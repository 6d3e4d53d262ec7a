"""Figures as they stand on paper: shortened for reading, never given more digits than they bear.

In: figures. Out: words; what is missing is a dash.
Elsewhere: the same figures whole (`answer`).
"""

import math
from datetime import date

from pipelines.exports.papers.blocks import NOTHING


def figure(value: float | None, decimals: int = 0, unit: str = "") -> str:
    """Return a figure with its unit."""
    if value is None or not math.isfinite(value):
        return NOTHING
    return f"{value:,.{decimals}f} {unit}".rstrip()


def day(value: date | None) -> str:
    """Return an ISO 8601 day."""
    return value.isoformat() if value else NOTHING


def span(low: float | None, high: float | None, decimals: int = 0, unit: str = "") -> str:
    """Return two limits as one stretch; a missing upper one is open."""
    if low is None and high is None:
        return NOTHING
    upper = "…" if high is None or not math.isfinite(high) else f"{high:,.{decimals}f}"
    return f"{figure(low, decimals)} to {upper} {unit}".rstrip()


def share(value: float | None) -> str:
    """Return a share of one as per cent, never rounded to nought or to all."""
    if value is None or not math.isfinite(value):
        return NOTHING
    if 0 < value < 0.005:
        return "under 1 %"
    if 0.995 < value < 1:
        return "over 99 %"
    return f"{value:.0%}".replace("%", " %")


def interval(hours: float | None, months: float | None, never: str = "only when it fails") -> str:
    """Return an interval in hours and months, whichever comes first; `never` where there is neither."""
    said = [figure(hours, 0, "h") if hours is not None else "", figure(months, 0, "months") if months is not None else ""]
    return " or ".join(word for word in said if word) or never


def counted(number: float, one: str, many: str) -> str:
    """Return a number with its noun in the right form."""
    return f"{number:,.0f} {one if number == 1 else many}"
