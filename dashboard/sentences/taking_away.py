"""What a table that is taken away is, and what it was made from, in sentences.

In: the grain and key of a table, the head of its answer, the filters. Out: Markdown.
Elsewhere: the columns themselves (`terms.package_tables`).
"""

from collections.abc import Mapping, Sequence
from typing import Any

from dashboard.sentences.plain import counted, day, literal


def what_it_is(grain: str, key: Sequence[str], rows: int) -> str:
    """Say what one row of a table is, how many there are, and what tells them apart."""
    names = ", ".join(f"`{name}`" for name in key)
    return f"{literal(grain[:1].upper() + grain[1:])}: **{counted(rows, 'row', 'rows')}**, told apart by {names}."


def made_from(head: Mapping[str, Any], query: Mapping[str, str], currency: str) -> str:
    """Say which version of the ledger a table is made from, under which filters, and in which money."""
    filters = ", ".join(f"{name.replace('_', ' ')} {literal(word)}" for name, word in query.items()) or "the whole fleet"
    money = f" Money in {currency}." if currency else ""
    return (
        f"Made from ledger version {head['ledger_version']} as of {day(head['as_of'])}, which holds "
        f"{counted(head['records'], 'record', 'records')} that count and {head['left_out']:,} left out. Filters: {filters}.{money}"
    )


WHOLE = (
    "One zip holds every table with a descriptor that programs check (Frictionless Data Package), a dictionary to print, and two scripts, "
    "in Python and in R, that make the main figures again and say how far apart they are."
)
UNCHANGED = "No figure is rounded on the way out; cells that a spreadsheet would run as a formula begin with an apostrophe in CSV."
