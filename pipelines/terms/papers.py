"""The papers that can be printed: their names, titles and what each is for.

In: nothing. Out: `PAPERS`, `SIZES`. Elsewhere: what stands on them (`exports.papers`).
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Paper:
    """One paper: its title, what it is for in a sentence, and whether it can be had as a table too."""

    title: str
    purpose: str
    as_table: bool = False


PAPERS: dict[str, Paper] = {
    "job-cards": Paper("Job card", "one page a boat: what is due, with parts, cautions and boxes to fill in"),
    "visit-cards": Paper(
        "Visit card", "one page a visit: the jobs of one boat that are best done together, and why, with parts and cautions"
    ),
    "inspection-sheets": Paper("Inspection sheet", "one page a boat: what to look at and test, with boxes"),
    "pick-list": Paper("Pick list", "the parts that the due work takes off the shelf, by base"),
    "boat-cards": Paper("Boat card", "one page a boat: engines, hours, what is fitted and how old, fuel and range"),
    "briefing": Paper("Crew briefing", "what to tell a crew before they cast off, from what strands this fleet"),
    "season-report": Paper("Season report", "twelve months on a page, for owner and insurer"),
    "plan": Paper("Intervals for signature", "where the advice differs from the plan in force, to sign"),
    "order-list": Paper("Order list", "what to order now, by supplier", as_table=True),
    "shelf-list": Paper("Shelf list", "every part on every shelf with its reorder point, to count against", as_table=True),
    "kit-list": Paper("Kit list", "one page a type of boat: the spares and aids that belong aboard, and what no kit covers", as_table=True),
}

TABLE_FORMS = ("xlsx", "csv")
"""Endings of a file that a paper with a table can have besides `pdf`."""

SIZES = {"a4": "a4", "letter": "us-letter"}
"""{word of the command: name of the sheet to the typesetter}."""
