"""Spare boats in words: how many the fullest month needs, each base and class, what was counted, and how to read it.

In: the rows of `spare_boats` and what they were counted from. Out: Markdown, and rows with words for drawing.
Elsewhere: the figures (`advice`), their picture (`charts.spare_boats`).
"""

from collections.abc import Mapping
from typing import Any

import polars as pl

from dashboard.sentences.plain import counted, figure, literal, percent

TO_READ = """
One line a month, all boats taken to be booked. **Broad bar:** boats expected to be out of use at once. **Thin line:** where that expected
number lies with 90 %. **❘ upright stroke:** spare boats that replace every boat that is down, with the chance picked above, at any
moment of the month.

- Boats that are down come and go by chance: one month can see two at once where 0.6 are expected. The stroke allows for that.
- A stoppage is a call, or work on a ticket that says how long it took the boat. Stoppages are counted by engine hours, so a month of much
  use has more; hours of downtime are taken as hours of the clock unless the settings say how many make a day.
- A spare boat kept for one class at one base helps no other: by class and base the numbers add to more than for one pool.

[How it is worked out](how-it-is-worked-out#spares)
"""

_HARDLY = 0.005


def pool_of(rows: pl.DataFrame) -> pl.DataFrame:
    """Return the rows of the fleet as one pool; of the only group where there is one."""
    pool = rows.filter(pl.col("group").is_null())
    return rows if pool.is_empty() else pool


def month_rows(rows: pl.DataFrame) -> pl.DataFrame:
    """Add to the rows of one group line (the month) and told (spare boats in words), for drawing."""
    lines = [f"{month:%B %Y}" for month in rows["month"]]
    words = [_month(row) for row in rows.to_dicts()]
    return rows.with_columns(pl.Series("line", lines, pl.String), pl.Series("told", words, pl.String))


def _month(row: Mapping[str, Any]) -> str:
    if row["boats_down"] < _HARDLY:
        return "none needed, hardly any down" if row["boats_down"] else "none needed, laid up"
    spares = counted(row["spares_needed"], "spare boat", "spare boats") if row["spares_needed"] else "none needed"
    return f"{spares}, {row['boats_down']:.2f} down"


def spare_boats_words(pool: pl.DataFrame, service_level: float) -> str:
    """Say how many spare boats the month needs that needs most, and what they and one more cover, as Markdown."""
    most = pool.sort("spares_needed", "boats_down", descending=True).row(0, named=True)
    month = f"{most['month']:%B %Y}"
    if not most["spares_needed"]:
        return f"**No month needs a spare boat** with a chance of {percent(service_level)}; most boats are down in {month}."
    told = f"**{counted(most['spares_needed'], 'spare boat', 'spare boats')} for {month}**, the month that needs most"
    lost = f"{figure(most['boat_days_lost'])} boat-days are lost in it without any, {figure(most['boat_days_short'])} with them"
    return f"{told}: enough at any moment with a chance of {percent(most['chance_enough'])}. {lost}; {_one_more(most)}."


def _one_more(row: Mapping[str, Any]) -> str:
    return f"one more would cover {figure(row['one_more_covers'])} of these"


def group_lines(rows: pl.DataFrame) -> list[str]:
    """Write for each base and class that needs spare boats how many in which months, as Markdown; nothing where there is one group."""
    groups = rows.filter(pl.col("group").is_not_null())
    if rows.height == groups.height:
        return []
    lines = []
    for held in groups.partition_by("group", maintain_order=True):
        name = " · ".join(str(word) for word in held["group"][0].values() if word) or "no base or class"
        needed = held.filter(pl.col("spares_needed") > 0)
        if needed.height:
            lines.append(f"**{literal(name)}** ({counted(held['boats'][0], 'boat', 'boats')}): {_months(needed)}")
    return lines


def _months(needed: pl.DataFrame) -> str:
    """Write numbers with the months they are for: `1 in June and July; 2 in August`."""
    told = []
    for (count,), held in needed.sort("spares_needed", "month").group_by("spares_needed", maintain_order=True):
        names = [f"{month:%B}" for month in held["month"]]
        told.append(f"{count} in {', '.join(names[:-1])}{' and ' if names[1:] else ''}{names[-1]}")
    return "; ".join(told)
