"""One column of a table to read: its heading and the figures it is made of.

In: names of columns. Out: `Shown`.
Elsewhere: which columns a table shows (`listings`, `listed_beside`), how they are written (`text_table`).
"""

from dataclasses import dataclass

WIDEST = 60
WHOLE = 100_000
"""Width of a column that is never cut: what somebody could be hurt by not reading."""


@dataclass(frozen=True)
class Shown:
    """One column of a listing: heading, how many decimals, the columns it is made of (value, or low and high), and its greatest width."""

    heading: str
    names: tuple[str, ...]
    decimals: int = 0
    widest: int = WIDEST


def one(name: str, heading: str, decimals: int = 0) -> Shown:
    """Show one column."""
    return Shown(heading, (name,), decimals)


def limits(low: str, high: str, heading: str, decimals: int = 0) -> Shown:
    """Show two columns as a range."""
    return Shown(heading, (low, high), decimals)
