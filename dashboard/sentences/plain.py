"""Figures and foreign words as people read them.

In: figures, days, words from the records. Out: text. Words from the records are shown as they stand: nothing in them can become a link,
a picture or a heading.
Elsewhere: what is said about them (`calls`, `lives`, `advice`, `work`, `account`).
"""

import re
from datetime import date
from typing import Any

import polars as pl

from pipelines.terms.spoken import spoken_day

UNBROKEN = "\u00a0"
MARKUP = re.compile(r"([\\`*_{}\[\]()<>#+\-.!|~:$&@])")


def literal(word: Any) -> str:
    """Return a word from the records so that Markdown shows it letter by letter, on one line."""
    return MARKUP.sub(r"\\\1", " ".join(str(word).split()))


def link_words(label: str) -> str:
    """Return the words of a link to another page as Markdown, in the tone of a link."""
    return f":primary[**{literal(label)}**]"


def day(value: date | str | None) -> str:
    """Write a day as 30 Sep 2025; an unknown one as a dash."""
    if value is None:
        return "–"
    return spoken_day(as_day(value))


def as_day(value: date | str) -> date:
    """Return a day, written in ISO 8601 or not, as a day."""
    return date.fromisoformat(value[:10]) if isinstance(value, str) else value


def figure(value: float | None) -> str:
    """Write a figure with as many places as matter: 12,340, 57, 3.4, 0.071; an unknown one as a dash."""
    if value is None:
        return "–"
    if abs(value) >= 10 or value == round(value):
        return f"{value:,.0f}"
    return f"{value:.2g}"


def counted(number: int, one: str, many: str) -> str:
    """Write a count with its noun in the right number."""
    return f"{number:,} {one if number == 1 else many}"


def money(value: float | None, currency: str) -> str:
    """Write money to the whole unit with its currency; the sign stands before the figure."""
    if value is None:
        return "–"
    return f"{value:,.0f}{UNBROKEN}{currency}".rstrip().replace("-", "−")


def percent(share: float) -> str:
    """Write a chance or share in whole per cent, never 0 % or 100 % unless it is exactly that."""
    if 0 < share < 0.01:
        return f"under 1{UNBROKEN}%"
    if 0.99 < share < 1:
        return f"over 99{UNBROKEN}%"
    return f"{100 * share:.0f}{UNBROKEN}%"


def row_name(component: str, group: dict[str, Any] | None) -> str:
    """Name a row of an answer: the part, and its group where it has one."""
    named = [str(value) for value in (group or {}).values() if value is not None]
    return " · ".join([component, *named])


def heading(column: str) -> str:
    """Write the name of a column as a heading, its unit after a comma: `exposure_h` as exposure, h."""
    for ending, unit in (("_h", "h"), ("_months", "months")):
        if column.endswith(ending):
            return f"{column.removesuffix(ending).replace('_', ' ')}, {unit}"
    return column.replace("_", " ")


def is_share(column: str) -> bool:
    """Return whether a column holds shares or chances between 0 and 1."""
    return column in ("share", "surviving", "service_level") or "probability" in column


def places(cells: pl.Series, *, is_money: bool = False) -> int:
    """Return how many decimals a column is shown with: none if all are whole, two for money, else fewer, the larger the figures are."""
    if (cells.drop_nulls() % 1 == 0).all():
        return 0
    if is_money:
        return 2
    largest = float(cells.abs().max() or 0.0)  # pyright: ignore[reportArgumentType]
    return next(decimals for decimals, least in ((0, 1000.0), (1, 100.0), (2, 10.0), (3, 0.0)) if largest >= least)
